"""Every error is a problem (RFC 9457), wherever it arises."""

import json

import pytest
from django.db import DataError, OperationalError
from django.test import Client
from django.urls import get_resolver, path, reverse
from rest_framework.exceptions import Throttled

from api.permissions import Endpoint
from api.problems import MEDIA_TYPE, status_of
from stewardship import errors
from stewardship.rules.units import UnitUnknown
from stewardship.sync.negotiating import ProtocolUnknown, SchemaUnknown
from stewardship.sync.perform import DeviceForked, Gap, MutationReused
from stewardship.sync.pull import CursorGone, CursorUnreadable
from stewardship.sync.rates import TooManyHeld, TooMuch
from tests.api.asking import at, get, patch, post
from tests.api.routes import routes

MEMBERS = {"type", "title", "status", "code", "detail"}


def is_problem(response, status, code):
    body = response.json()
    assert (response.status_code, body["code"]) == (status, code)
    assert response["Content-Type"] == MEDIA_TYPE
    assert body.keys() >= MEMBERS
    assert body["status"] == status
    assert body["type"] == f"urn:stewardship:problem:{code}"
    assert response["Cache-Control"] == "no-store"
    return body


class Refuses(Endpoint):
    permission_classes = []
    error: Exception = Throttled(wait=7.2)

    def get(self, request):
        raise self.error


class Breaks(Endpoint):
    permission_classes = []

    def get(self, request):
        raise ZeroDivisionError


urlpatterns = [
    path("api/v1/slow-down", Refuses.as_view()),
    path("api/v1/no-database", Refuses.as_view(error=OperationalError("gone"))),
    path("api/v1/odd-value", Refuses.as_view(error=DataError("NUL"))),
    path("api/v1/breaks", Breaks.as_view()),
]
handler400, handler404, handler500 = (
    "api.problems.bad_request",
    "api.problems.page_not_found",
    "api.problems.server_error",
)


@pytest.fixture
def faults(settings):
    settings.ROOT_URLCONF = __name__
    return Client(raise_request_exception=False)


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/api/v1/nothing", "/api/", "/api/v2/me", "/api/v1/me/", "/api/v1/groups/"])
def test_an_address_that_leads_nowhere(client, address):
    is_problem(client.get(address), 404, "not_found")


def test_an_address_outside_is_a_page_not_found(client, db):
    assert "json" not in client.get("/nothing")["Content-Type"]


def test_who_is_not_signed_in_is_told_how(client, db):
    response = client.get("/api/v1/me")

    is_problem(response, 401, "not_authenticated")
    assert response["WWW-Authenticate"] == 'Bearer realm="api"'


def test_a_method_that_does_not_exist_is_named_so_everywhere(cast):
    ids = dict.fromkeys(("group", "id", "parent"), str(cast.group.id)) | {"number": "1", "sha256": "0" * 64}
    client = cast.coordinator.client()
    for route in routes():
        wanted = get_resolver("api.urls").reverse_dict[route.name][0][0][1]
        address = reverse(route.name, kwargs={name: ids[name] for name in wanted})

        if "sha256" not in wanted:  # a file is put
            is_problem(client.put(address), 405, "method_not_allowed")
        is_problem(client.options(address), 405, "method_not_allowed")


def test_an_answer_in_another_form_than_json(coordinator):
    response = coordinator.client().get("/api/v1/me", headers={"Accept": "application/xml"})

    is_problem(response, 406, "not_acceptable")


def test_a_broken_rule_tells_its_code_and_a_sentence(coordinator):
    body = is_problem(post(coordinator, f"members/{coordinator.member.id}/end"), 409, "last_coordinator")

    assert body["detail"] == "This is the group's only coordinator. Make somebody else a coordinator first."
    assert body["title"] == "Last coordinator"


def test_everything_wrong_with_a_body_is_told_with_its_place(coordinator):
    body = {"display_name": "", "role": "king", "email": "nobody", "colour": "green", "a/b~c": 1}

    found = is_problem(post(coordinator, "members", body), 400, "unreadable")

    assert {error["pointer"] for error in found["errors"]} == {
        "/display_name", "/role", "/email", "/colour", "/a~1b~0c",
    }  # fmt: skip
    assert all(error.keys() == {"pointer", "code", "detail"} for error in found["errors"])


def test_everything_wrong_with_a_filter_is_told_with_its_name(coordinator):
    unknown = is_problem(get(coordinator, "members", colour="green", size="3"), 400, "filter_unknown")
    invalid = is_problem(get(coordinator, "members", role="king", person="x"), 400, "filter_invalid")

    assert [error["pointer"] for error in unknown["errors"]] == ["/colour", "/size"]
    assert {error["pointer"] for error in invalid["errors"]} == {"/role", "/person"}


def test_every_reason_of_a_refusal_is_told(coordinator):
    from tests.planning import Plan

    plan = Plan(coordinator)
    plan.does("open")

    body = is_problem(post(coordinator, f"work-days/{plan.id}/confirm"), 409, "day_not_ready")

    assert body["reasons"]
    assert all(reason.keys() >= {"code", "detail"} for reason in body["reasons"])


def test_who_asks_too_often_is_told_when_to_ask_again(faults):
    response = faults.get("/api/v1/slow-down")

    is_problem(response, 429, "throttled")
    assert response["Retry-After"] == "8"


def test_without_a_database_everybody_is_asked_to_come_again(faults, caplog):
    response = faults.get("/api/v1/no-database")

    is_problem(response, 503, "unavailable")
    assert int(response["Retry-After"]) > 0
    assert "database does not answer" in caplog.text


def test_a_value_that_the_database_refuses_is_bad_input(faults):
    is_problem(faults.get("/api/v1/odd-value"), 400, "request_invalid")


def test_a_fault_of_ours_is_a_problem_too(faults):
    body = is_problem(faults.get("/api/v1/breaks"), 500, "server_error")

    assert "ZeroDivision" not in json.dumps(body)


def test_a_host_that_is_not_ours_is_bad_input(client, db):
    is_problem(client.get("/api/v1/me", headers={"Host": "elsewhere.example"}), 400, "request_invalid")


@pytest.mark.parametrize(
    ("rule", "status"),
    [
        (errors.Unreadable([{"pointer": "", "code": "x", "detail": "x"}]), 400),
        (errors.NotPermitted(), 403),
        (errors.Unavailable(), 404),
        (errors.Conflict(), 409),
        (errors.IdTaken(), 409),
        (errors.RuleViolation(), 409),
        (MutationReused(), 422),
        (CursorUnreadable(), 400),
        (CursorGone(), 410),
        (Gap(expected=3), 409),
        (DeviceForked(), 409),
        (ProtocolUnknown(min=1, max=1), 426),
        (SchemaUnknown(min=1, max=1), 426),
        (TooMuch(wait_s=5), 429),
        (TooManyHeld(wait_s=5), 429),
        (UnitUnknown(shown="x", dimension="volume", units="ml"), 400),
    ],
    ids=lambda value: getattr(value, "code", None),
)
def test_each_refusal_has_its_status(rule, status):
    assert status_of(rule) == status


def test_a_conflict_is_a_failed_precondition_only_where_one_was_stated(coordinator):
    made = post(coordinator, "properties", {"name": "Heron Bend"}).json()
    patch(coordinator, f"properties/{made['id']}", {"name": "Heron"}, If_Match='"1"')

    is_problem(patch(coordinator, f"properties/{made['id']}", {"name": "Bend"}, If_Match='"1"'), 412, "conflict")


def test_a_cross_site_write_from_a_browser_is_refused(coordinator):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(coordinator.person)

    refused = browser.post(at(coordinator, "properties"), '{"name": "Heron Bend"}', "application/json")

    is_problem(refused, 403, "permission_denied")
