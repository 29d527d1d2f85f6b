"""The clock of a device: what it tells is kept beside ours, marked or held where it is off, and decides nothing."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import msgspec
import orjson
import pytest
from django.db import transaction

from stewardship.journal.ids import new_id
from stewardship.journal.models import Revision
from stewardship.sync.arriving import FROM_HERE, Arrival
from stewardship.sync.models import Mutation
from stewardship.sync.perform import push
from tests.cast import AT, sent, with_device
from tests.ground import lay_out

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
DONE_AT = AT - 5 * HOUR
"""When the work was done."""


def pushed(someone, *mutations, off=timedelta(0)):
    """Push mutations that say when they were done, all by a clock that is off."""
    numbered = [someone._numbered(mutation) for mutation in mutations]
    return push(numbered, actor=someone.actor, device_id=someone.device.id, at=AT, arrival=Arrival(sent_at=AT + off))


def at_the_fen(off=timedelta(0), **more):
    return sent("property", "create", {"name": "Fen"}, at=DONE_AT + off, **more)


def season(at):
    """Return an entry that tells dates itself."""
    return sent("season", "create", {"name": "2027", "first_on": "2027-01-01", "last_on": "2027-12-31"}, at=at)


@pytest.mark.parametrize("off", [timedelta(0), 10 * MINUTE, -10 * MINUTE])
def test_a_clock_within_ten_minutes_is_a_good_one(coordinator, off):
    (result,) = pushed(coordinator, at_the_fen(off), off=off).results

    assert (result["outcome"], "warnings" in result) == ("applied", False)


@pytest.mark.parametrize(
    ("off", "told"),
    [
        (11 * MINUTE, "11 minutes ahead"),
        (-25 * MINUTE, "25 minutes behind"),
        (119 * MINUTE, "119 minutes ahead"),
        (-2 * HOUR, "2 hours behind"),
        (24 * HOUR, "24 hours ahead"),
    ],
)
def test_a_clock_that_is_off_is_marked_in_the_answer_and_the_ledger(coordinator, off, told):
    (result,) = pushed(coordinator, at_the_fen(off), off=off).results

    line = Mutation.objects.get(mid=result["mid"])
    assert result["outcome"] == "applied"
    assert [mark["code"] for mark in result["warnings"]] == ["clock_off"]
    assert told in result["warnings"][0]["detail"]
    assert orjson.loads(line.result) == result


def test_the_mark_stands_beside_those_of_the_record(coordinator):
    ground = lay_out(coordinator)
    said = {"unit": str(ground.unit), "applicator": str(coordinator.member.id)}
    session = sent("session", "create", said | {"started_at": "2027-05-01T09:30:00-05:00"})

    (plain,) = pushed(coordinator, session).results
    (marked,) = pushed(coordinator, sent("session", "create", session.set, at=DONE_AT), off=HOUR).results

    codes = [mark["code"] for mark in plain.get("warnings", [])]
    assert [mark["code"] for mark in marked["warnings"]] == [*codes, "clock_off"]


def test_both_times_are_kept_and_the_one_by_our_clock(coordinator):
    (result,) = pushed(coordinator, at_the_fen(-HOUR), off=-HOUR).results

    line = Mutation.objects.get(mid=result["mid"])
    assert (line.said_at, line.sent_at) == (DONE_AT - HOUR, AT - HOUR)
    assert (line.received_at, line.estimated_at) == (AT, DONE_AT)


def test_what_says_no_time_is_estimated_none(coordinator):
    (result,) = pushed(coordinator, sent("property", "create", {"name": "Fen"}), off=HOUR).results

    line = Mutation.objects.get(mid=result["mid"])
    assert (line.said_at, line.sent_at, line.estimated_at) == (None, AT + HOUR, None)


def test_what_no_device_sent_has_no_clock(coordinator):
    done = coordinator.does("property", "create", name="Fen")

    line = Mutation.objects.get(mid=UUID(done.result["mid"]))
    assert (line.said_at, line.sent_at, line.estimated_at) == (None, None, None)
    assert FROM_HERE.warning_of(at_the_fen(999 * HOUR), AT) is None


@pytest.mark.parametrize(
    ("off", "told"), [(24 * HOUR + MINUTE, "24 hours ahead"), (-50 * HOUR, "2 days behind"), (9000 * HOUR, "375 days")]
)
def test_what_tells_a_time_by_a_clock_that_is_a_day_off_is_for_a_person_to_settle(coordinator, off, told):
    taken = pushed(coordinator, season(DONE_AT + off), off=off)

    assert [(r["outcome"], r["code"]) for r in taken.results] == [("held", "clock_far_off")]
    assert told in taken.results[0]["detail"]
    assert Mutation.objects.filter(outcome="held", payload__contains="2027-12-31").count() == 1


def test_a_time_is_found_however_deep_it_stands():
    class Part(msgspec.Struct):
        told: list[Any]

    assert Arrival(sent_at=AT).far_off(at_the_fen(50 * HOUR), Part([1, "2027", [Part([AT])]]), AT) is not None
    assert Arrival(sent_at=AT).far_off(at_the_fen(50 * HOUR), Part([1, "2027", [Part([])]]), AT) is None


def test_what_tells_no_time_is_taken_from_any_clock_and_marked(coordinator):
    (result,) = pushed(coordinator, at_the_fen(26 * HOUR), off=-26 * HOUR).results

    assert result["outcome"] == "applied"
    assert [mark["code"] for mark in result["warnings"]] == ["clock_off"]


def test_what_was_told_to_be_done_after_it_was_sent_is_off_too(coordinator):
    first, second = pushed(coordinator, season(AT + HOUR), season(AT + 25 * HOUR)).results

    assert (first["outcome"], first["warnings"][0]["code"]) == ("applied", "clock_off")
    assert (second["outcome"], second["code"]) == ("held", "clock_far_off")


def test_work_told_years_later_is_not_off(coordinator):
    (result,) = pushed(coordinator, sent("property", "create", {"name": "Fen"}, at=AT - 9000 * HOUR)).results

    assert (result["outcome"], "warnings" in result) == ("applied", False)


@pytest.mark.parametrize("year", [1900, 2999])
def test_a_clock_at_either_end_of_time_is_held_like_any_other(coordinator, year):
    told = season(datetime(year, 6, 1, tzinfo=UTC))

    taken = push(
        [coordinator._numbered(told)], actor=coordinator.actor, device_id=coordinator.device.id, at=AT,
        arrival=Arrival(sent_at=datetime(4899 - year, 6, 1, tzinfo=UTC)),
    )  # fmt: skip

    assert taken.results[0]["code"] == "clock_far_off"
    assert Mutation.objects.get(mid=told.mid).estimated_at is not None


# -- no result depends on a clock -------------------------------------------------------------------


def written(someone):
    """Return what a group's book and ledger say, without what says a time by the device's clock."""
    told = Revision.objects.filter(group_id=someone.group_id).order_by("seq")
    lines = Mutation.objects.filter(group_id=someone.group_id).order_by("mid")
    results = [(line.mid, line.n, line.outcome, line.received_at, unmarked(line.result)) for line in lines]
    columns = told.values_list("seq", "kind", "record_id", "rev", "op", "mid", "at", "reason", "content")
    return [(*row[:-1], untimed(row[1], row[-1])) for row in columns], results


def untimed(kind, content):
    """Return what a state says; of what is kept to settle without the times that its device told."""
    if kind != "to_settle":
        return content
    told = orjson.loads(content)
    said = orjson.loads(told["payload"])
    return told | {"said_at": None, "payload": said | {"at": None}}


def unmarked(result):
    told = orjson.loads(result)
    marks = [mark for mark in told.pop("warnings", []) if mark["code"] != "clock_off"]
    return told | ({"warnings": marks} if marks else {})


def test_no_result_depends_on_a_clock(coordinator):
    """Invariant I20: two devices do the same whatever their clocks say; only what tells a time by them differs."""
    tablet = with_device(coordinator.member, "tablet")
    fen, unit, mids = new_id(), new_id(), [new_id() for _ in range(6)]

    def played(off, other):
        first = [
            sent("property", "create", {"id": str(fen), "name": "Fen"}, mid=mids[0], at=DONE_AT + off, n=1),
            sent("unit", "create", {"id": str(unit), "name": "N", "property": str(fen)}, mid=mids[1], n=2),
            sent("property", "amend", {"name": "Fen Edge"}, id=fen, base_rev=1, mid=mids[2], at=AT + off, n=3),
        ]
        second = [
            sent("property", "amend", {"name": "Other"}, id=fen, base_rev=1, mid=mids[3], at=DONE_AT + other, n=1),
            sent("unit", "amend", {"note": "wet"}, id=unit, mid=mids[4], at=AT + other, n=2),
            sent("property", "create", {"name": ""}, mid=mids[5], at=AT + other, n=3),
        ]
        before = transaction.savepoint()
        pushed(coordinator, *first, off=off), pushed(tablet, *second, off=other)
        told = written(coordinator)
        transaction.savepoint_rollback(before)
        return told

    by_good_clocks = played(timedelta(0), timedelta(0))

    for off in (9 * MINUTE, 3 * HOUR, 26 * HOUR, 90_000 * HOUR):
        assert played(off, -off) == by_good_clocks
        assert played(-off, off) == by_good_clocks
        assert played(off, timedelta(0)) == by_good_clocks
