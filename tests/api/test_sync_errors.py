"""An error of HTTP means: keep your outbox untouched. So it leaves ledger, head and last_n as they were (I21)."""

import logging
from uuid import uuid4

import pytest
from django.db import OperationalError
from django.test import Client

from api.parsing import MAX_BYTES
from stewardship.accounts.models import Device
from stewardship.journal.models import Book
from stewardship.sync import perform
from tests.api.asking import at, hand_in
from tests.api.test_sync import lines, mutation, pull
from tests.api.test_sync_edges import body_of, told
from tests.database import everything


def asked(someone, path, body=b"{}", content_type="application/json", **headers):
    named = {"Authorization": f"Bearer {someone.token}"}
    named |= {name.replace("_", "-"): value for name, value in headers.items()}
    client = Client(raise_request_exception=False, headers=named)
    return client.generic("POST", at(someone, path), body, content_type)


def of_another(body, who):
    """Return a push under the id of somebody else's device."""
    other = Device.objects.exclude(person=who.person).first()
    return body.replace(str(who.device.id).encode(), str(other.id).encode())


ERRORS = {
    "body_unreadable": lambda who: asked(who, "sync/push", b"{"),
    "unreadable": lambda who: asked(who, "sync/push", body_of(who, mutation(2) | {"at": "today"})),
    "filter_unknown": lambda who: asked(who, "sync/push?all=1", body_of(who, mutation(2))),
    "version_invalid": lambda who: asked(who, "sync/push", body_of(who, mutation(2)), Sync_Schema="new"),
    "cursor_unreadable": lambda who: asked(who, "sync/pull", b'{"cursor": "v1.x"}'),
    "authentication_failed": lambda who: asked(who, "sync/push", body_of(who, mutation(2)), Authorization="Bearer x"),
    "not_this_device": lambda who: asked(who, "sync/push", of_another(body_of(who, mutation(2)), who)),
    "gap": lambda who: asked(who, "sync/push", body_of(who, mutation(2), mutation(4))),
    "device_forked": lambda who: asked(who, "sync/push", body_of(who, mutation(2), mutation(1))),
    "not_acceptable": lambda who: asked(who, "sync/push", body_of(who, mutation(2)), Accept="application/xml"),
    "body_too_large": lambda who: asked(who, "sync/push", body_of(who, mutation(2)) + b" " * MAX_BYTES),
    "unsupported_media_type": lambda who: asked(who, "sync/push", body_of(who, mutation(2)), "text/plain"),
    "protocol_unknown": lambda who: asked(who, "sync/push", body_of(who, mutation(2)), Sync_Protocol="2"),
    "schema_unknown": lambda who: asked(who, "sync/pull", Sync_Schema="2"),
}


def fingerprint(someone):
    """Return what must not change: ledger, book and the device's place, of every group."""
    rows = everything()
    return {table: rows[table] for table in ("sync_mutation", "sync_outbox", "journal_book", "journal_revision")}


@pytest.mark.parametrize("code", ERRORS)
def test_an_error_leaves_ledger_head_and_last_n_as_they_were(coordinator, code):
    """Invariant I21."""
    hand_in(coordinator, mutation(1))
    before = fingerprint(coordinator)

    refused = ERRORS[code](coordinator)

    assert (refused.status_code >= 400, refused.json()["code"]) == (True, code)
    assert fingerprint(coordinator) == before
    assert hand_in(coordinator, mutation(2)).json()["last_n"] == 2


def test_who_is_refused_the_group_or_the_measure_leaves_nothing_behind(coordinator, stranger, former, settings):
    """Invariant I21: 404, 403, 405, 429."""
    hand_in(coordinator, mutation(1))
    settings.SYNC_MUTATIONS_AN_HOUR = 1
    hand_in(coordinator, mutation(2), mutation(3))
    before = fingerprint(coordinator)

    answers = [
        stranger.client().post(at(coordinator, "sync/push"), body_of(stranger, mutation(1)), "application/json"),
        pull(former),
        coordinator.client().put(at(coordinator, "sync/push"), body_of(coordinator, mutation(4)), "application/json"),
        hand_in(coordinator, mutation(4)),
    ]

    assert [answer.status_code for answer in answers] == [404, 403, 405, 429]
    assert fingerprint(coordinator) == before


@pytest.mark.parametrize(("error", "status"), [(ZeroDivisionError(), 500), (OperationalError("gone"), 503)])
def test_a_service_that_fails_altogether_leaves_nothing_behind(coordinator, monkeypatch, caplog, error, status):
    """Invariant I21: 500 and 503, raised after everything else was written."""
    caplog.set_level(logging.CRITICAL)
    hand_in(coordinator, mutation(1))
    before = fingerprint(coordinator)

    def broken(*_):
        raise error

    with monkeypatch.context() as patch:
        patch.setattr(perform, "_write_ledger", broken)
        failed = asked(coordinator, "sync/push", body_of(coordinator, mutation(2), mutation(3)))

    assert failed.status_code == status
    assert failed.has_header("Retry-After") is (status == 503)
    assert fingerprint(coordinator) == before
    assert hand_in(coordinator, mutation(2)).json()["last_n"] == 2


def test_a_cursor_is_gone_and_everything_else_is_still_there(coordinator):
    """Invariant I21: 410."""
    cursor = lines(pull(coordinator))[-1]["cursor"]
    Book.objects.filter(group_id=coordinator.group_id).update(epoch=uuid4())
    before = fingerprint(coordinator)

    assert told(pull(coordinator, cursor)) == (410, "cursor_gone")
    assert fingerprint(coordinator) == before
