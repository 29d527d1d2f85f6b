"""Invariant I11: two worlds that differ only in what somebody may not see answer them alike, byte for byte.

Numbers and hashes of the book are no secret among members: they count what others wrote, and are blanked here.
"""

import re
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import pytest
from django.db import transaction
from django.utils import timezone

from stewardship.journal.ids import new_id
from stewardship.journal.models import Revision
from stewardship.journal.references import references
from stewardship.sync.verbs import VERBS
from tests.api.asking import get, hand_in
from tests.api.routes import routes
from tests.api.samples import FIELDS
from tests.api.scene import Scene
from tests.api.test_foreign_ids import put
from tests.api.test_sync import lines, pull
from tests.api.test_sync_edges import rescue
from tests.cast import AT, sent
from tests.ground import fl_oz

HIDDEN = (
    "neighbour_notice", "training", "credential", "credit", "incident_details", "notification_settings", "invitation",
    "personal_details", "emergency_contact", "consent", "to_settle",
)  # fmt: skip
"""Types of which a volunteer sees their own records, or none."""

ADDRESSES = {route.view.cls.model.kind: route.view.cls.at for route in routes() if route.is_records}
COUNTED = re.compile(rb'"(q|seq|head|backoff_s)":\d+|"(head_hash|cursor)":"[^"]*"')


class Setting(NamedTuple):
    """What stands in every world: ids of records that the volunteer sees, and where their copy ended before."""

    scene: Scene
    place: str
    line: str
    since: str


@pytest.fixture
def setting(cast, monkeypatch):
    """Let one of each visible type stand there, and a line of the volunteer's own that was corrected since."""
    monkeypatch.setattr(timezone, "now", lambda: AT)
    scene, does = Scene(cast.coordinator), cast.volunteer.does
    for kind, op in FIELDS:
        if op == "create" and kind not in HIDDEN:
            scene.id(kind)
    scene.rule_of_training()
    own = {"applicator": cast.volunteer.member.id, "started_at": "2027-05-01T09:00:00-05:00"}
    session = does("session", "create", unit=scene.id("unit"), **own).record.id
    used = {"species": scene.id("species"), "method": "basal_bark", "mix": fl_oz("5"), "how_known": "measured"}
    line = does("application", "create", session=session, batch=scene.id("batch"), stems=3, **used).record.id
    since = lines(pull(cast.volunteer))[-1]["cursor"]
    cast.coordinator.does("application", "amend", id=line, stems=4, reason="counted again")
    return Setting(scene, scene.id("property"), str(line), since)


def hides_nothing(cast, setting) -> None:
    """Let there be nothing that the volunteer may not see."""


def hides_one_of_each(cast, setting) -> None:
    """Let the coordinator have one of each; another volunteer sent what is held."""
    held = cast.other_volunteer.pushes(
        sent("property", "create", {"id": UNMADE, "name": "Not hers to enter"}),
        sent("application", "amend", {"stems": 9}, id=setting.line, base_rev=1, reason="counted from the road"),
    )
    setting.scene.made["to_settle"] = held.results[0]["to_settle"]
    for kind in HIDDEN:
        setting.scene.id(kind)


def hides_more_and_says_otherwise(cast, setting) -> None:
    """Let there be more, and what can be corrected say something else."""
    hides_one_of_each(cast, setting)
    scene, does = setting.scene, setting.scene.coordinator.does
    for kind in HIDDEN:
        if (kind, "amend") in VERBS:
            does(kind, "amend", id=scene.id(kind), **FIELDS[kind, "amend"](scene))
    for n in range(20):
        cast.other_volunteer.does("emergency_contact", "create", name=f"Pip {n}", phone="555 0100")


UNMADE = str(new_id())
"""The id under which somebody else's held entry would make a property."""


@pytest.fixture
def answers(cast, setting):
    """Return a function: what the volunteer is answered in a world, with these hidden ids tried in every place."""

    def asked(hides: Callable[..., None], ids: dict[str, str] | None = None) -> tuple[dict[str, bytes], dict[str, str]]:
        begin, made = transaction.savepoint(), dict(setting.scene.made)
        try:
            before = Revision.objects.filter(group_id=cast.group.id).count()
            hides(cast, setting)
            hidden = Revision.objects.filter(group_id=cast.group.id, seq__gt=before)
            assert not hidden.filter(audience__in=["group", str(cast.volunteer.person.id)]).exists()
            ids = ids or {kind: setting.scene.id(kind) for kind in HIDDEN}
            setting.scene.made |= ids  # so that the samples name them, there or not
            told = {name: COUNTED.sub(rb'"":', body) for name, body in _asked(cast.volunteer, setting, ids)}
        finally:
            transaction.savepoint_rollback(begin)
            setting.scene.made = made
        return told, ids

    return asked


MIDS: list[Any] = [new_id() for _ in range(400)]


def _asked(volunteer, setting: Setting, ids: dict[str, str]) -> Iterator[tuple[str, bytes]]:
    """Give each answer: pulls whole, in pages and since; pushes, a rescue, a gap; reads, one by one and in lists."""
    yield "pull", pull(volunteer).content
    yield "pull since", pull(volunteer, setting.since).content
    yield from _paged(volunteer)
    sendings = [{**each, "mid": str(mid), "n": n} for n, (each, mid) in enumerate(_tried(setting, ids), 1)]
    yield "gap", hand_in(volunteer, sendings[1]).content
    for place in range(0, len(sendings), 40):
        yield f"push {place}", hand_in(volunteer, *sendings[place : place + 40]).content
    yield "replay", hand_in(volunteer, *sendings[:40]).content
    yield "rescue", rescue(volunteer, len(sendings) + 1, "{").content
    yield "pull of what became of it", pull(volunteer, setting.since).content
    for kind in HIDDEN:
        yield f"GET {kind}", get(volunteer, ADDRESSES[kind]).content
        yield f"GET one {kind}", get(volunteer, f"{ADDRESSES[kind]}/{ids[kind]}").content


def _paged(volunteer) -> Iterator[tuple[str, bytes]]:
    cursor, number, more = None, 0, True
    while more:
        page = pull(volunteer, cursor, limit=7)
        end = lines(page)[-1]
        cursor, number, more = end["cursor"], number + 1, end["more"]
        yield f"page {number}", page.content


def _tried(setting: Setting, ids: dict[str, str]) -> Iterator[tuple[dict[str, Any], Any]]:
    """Give (what is sent, its id): hidden ids as targets and in every field that names such a record; a conflict."""
    several = [*_on_hidden(setting, ids), *_naming_hidden(setting, ids), *_on_what_is_seen(setting)]
    assert len(several) <= len(MIDS)
    yield from zip(several, MIDS, strict=False)


def _on_hidden(setting: Setting, ids: dict[str, str]) -> Iterator[dict[str, Any]]:
    for kind, op in VERBS:
        if kind in HIDDEN and op != "create":
            fields = FIELDS[kind, op](setting.scene)
            beside = {"reason": fields.pop("reason", "why not"), "base_rev": 1}
            yield {"type": kind, "op": op, "id": ids[kind], "set": fields, **beside}


def _naming_hidden(setting: Setting, ids: dict[str, str]) -> Iterator[dict[str, Any]]:
    for (kind, op), verb in VERBS.items():
        for reference in references(verb.fields):
            if reference.model.kind in HIDDEN and op == "create":
                fields = put(FIELDS[kind, op](setting.scene), reference.path, ids[reference.model.kind])
                yield {"type": kind, "op": op, "set": fields | {"id": str(UNMADE)}}


def _on_what_is_seen(setting: Setting) -> Iterator[dict[str, Any]]:
    slip = {"type": "application", "op": "amend", "id": setting.line, "reason": "a slip"}
    yield slip | {"set": {"stems": 7}, "base_rev": 1}
    yield slip | {"set": {"note": "by the ditch"}, "base_rev": 1}
    yield slip | {"set": {"stems": 9}, "base_rev": 1, "base": {"stems": 9}}
    yield {"type": "unit", "op": "create", "set": {"name": "North", "property": UNMADE}}
    yield {"type": "property", "op": "amend", "set": {"name": "Fen"}, "id": setting.place, "base_rev": 99}
    yield {"type": "moon", "op": "land", "set": {}}


@pytest.mark.parametrize("hides", [hides_one_of_each, hides_more_and_says_otherwise])
def test_what_is_hidden_changes_no_answer(cast, setting, answers, hides):
    with_it, ids = answers(hides)
    without, _ = answers(hides_nothing, ids)

    assert with_it.keys() == without.keys()
    assert {name: body for name, body in with_it.items() if body != without[name]} == {}


def test_whoever_may_see_it_is_answered_otherwise(cast, setting):
    """What is compared above is really there."""
    bare = {put["t"] for put in lines(pull(cast.coordinator))[1:-1]}
    hides_one_of_each(cast, setting)

    seen = {put["t"] for put in lines(pull(cast.coordinator))[1:-1]}

    assert bare & set(HIDDEN) == set()
    assert seen >= set(HIDDEN)
