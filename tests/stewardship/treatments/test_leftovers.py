"""What is left is measured, ends, is found without a tag and identified; it draws nothing."""

from datetime import UTC, datetime

import pytest

from stewardship.errors import NotPermitted
from stewardship.journal.models import Revision
from stewardship.rules.mixes.compositions import ContentsUnknown
from stewardship.treatments.models import Application, Batch, Leftover, ProductUse
from stewardship.treatments.services.sessions import EndsBeforeItBegins
from tests.ground import fl_oz, nl

pytestmark = pytest.mark.django_db(transaction=True)

NOON, ONE = "2027-05-01T12:00:00-05:00", "2027-05-01T13:00:00-05:00"


def over(record):
    return [mark["detail"] for mark in record.marks if mark["code"] == "batch_over"]


def test_a_leftover_is_a_measure_and_draws_nothing(ground):
    batch = ground.batch()
    id = ground.leftover(batch, "24", kept_where="shed, locked", property=ground.property)

    left = Leftover.objects.get(id=id)
    assert (left.volume_nl, left.measured_at) == (nl("24"), datetime(2027, 5, 1, 17, tzinfo=UTC))
    assert (left.on_date.isoformat(), left.end, left.marks) == ("2027-05-01", "", [])
    assert Batch.objects.get(id=batch).used_nl == 0


def test_used_by_its_own_name_it_draws_on_its_batch(ground, volunteer):
    batch, session = ground.batch(), ground.session()
    left = ground.leftover(batch, "24")

    line = ground.line(session, None, "5", volunteer, leftover=str(left))

    assert (line.batch_id, line.leftover_id) == (batch, left)
    assert Batch.objects.get(id=batch).used_nl == nl("5")


def test_it_ends_once_and_not_before_it_was_measured(ground, coordinator):
    left = ground.leftover(ground.batch(), "24")
    with pytest.raises(EndsBeforeItBegins):
        coordinator.does("leftover", "end", id=left, ended_at="2027-05-01T11:59:59-05:00", end="used")

    coordinator.does("leftover", "end", id=left, ended_at=NOON, end="measured_again")
    again = coordinator.does("leftover", "end", id=left, ended_at=NOON, end="measured_again")

    assert (again.result["outcome"], Leftover.objects.get(id=left).end) == ("noop", "measured_again")
    with pytest.raises(EndsBeforeItBegins):
        coordinator.does("leftover", "amend", id=left, measured_at=ONE, reason="the clock was wrong")


# -- two people log one batch -------------------------------------------------------------------------


def log_it_twice(ground, volunteer, other_volunteer, mine, twice, left):
    """Two people log one batch: A the crew's amounts, Z one that is in A's already; then what is left is measured."""
    batch = ground.batch()
    session = ground.session(volunteer)
    lines = [ground.line(session, batch, ounces, volunteer).id for ounces in mine]
    lines.append(ground.line(ground.session(other_volunteer), batch, twice, other_volunteer).id)
    return batch, lines, ground.leftover(batch, left, volunteer)


@pytest.mark.parametrize(
    ("mine", "twice", "left", "told"),
    [(("25", "15"), "10", "24", "10"), (("30", "8"), "6", "26", "6")],
)
def test_what_two_people_logged_is_over_by_what_one_of_them_logged_twice(
    ground, volunteer, other_volunteer, mine, twice, left, told
):
    batch, lines, leftover = log_it_twice(ground, volunteer, other_volunteer, mine, twice, left)

    assert not any(over(Application.objects.get(id=line)) for line in lines)
    (detail,) = over(Leftover.objects.get(id=leftover))
    assert f"over by {told} US fluid ounces" in detail
    assert "the 64 US fluid ounces that were mixed" in detail
    assert Batch.objects.get(id=batch).lines == 3


def test_the_line_that_comes_after_the_measure_is_marked_and_the_next_is_not_once_one_is_voided(
    ground, volunteer, other_volunteer, coordinator
):
    batch, session = ground.batch(), ground.session()
    ground.line(session, batch, "40")
    ground.leftover(batch, "24")

    line = ground.line(session, batch, "10", other_volunteer)

    assert "over by 10 US fluid ounces" in over(line)[0]
    coordinator.does("application", "amend", id=line.id, mix=fl_oz("0.5"), reason="half an ounce")
    assert over(Application.objects.get(id=line.id)) == []
    coordinator.does("application", "void", id=line.id, reason="in the total of the crew")
    again = coordinator.does("application", "reinstate", id=line.id, reason="no, it was not")
    assert over(again.record) == []


def test_a_mark_of_its_own_stays_when_the_session_is_corrected(ground, coordinator):
    batch, session = ground.batch(), ground.session()
    ground.line(session, batch, "40")
    ground.leftover(batch, "24")
    line = ground.line(session, batch, "10")

    told = {"started_at": "2027-04-30T09:30:00-05:00", "ended_at": None}
    coordinator.does("session", "amend", id=session, reason="the day before", **told)

    assert len(over(Application.objects.get(id=line.id))) == 1


def test_what_is_used_of_the_leftover_later_is_not_over(ground):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")
    left = ground.leftover(batch, "24")

    later = ground.session(started_at="2027-05-02T09:30:00-05:00")

    assert over(ground.line(later, None, "20", leftover=str(left))) == []


def test_a_corrected_measure_is_judged_anew(ground, coordinator):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")
    left = ground.leftover(batch, "34")
    assert over(Leftover.objects.get(id=left))

    coordinator.does("leftover", "amend", id=left, volume=fl_oz("24"), reason="misread")
    assert over(Leftover.objects.get(id=left)) == []
    coordinator.does("leftover", "amend", id=left, volume=fl_oz("34"), reason="no")
    coordinator.does("leftover", "void", id=left, reason="another can")
    assert over(coordinator.does("leftover", "reinstate", id=left, reason="no").record)


# -- an unknown bottle ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("ounces", "used"), [("20", "44"), ("7.5", "56.5")])
def test_an_unknown_bottle_is_kept_apart_until_it_is_identified(ground, volunteer, coordinator, ounces, used):
    """The scene of the unknown bottle: in no total, refused for any use, then of the batch that lacks it."""
    batch, session = ground.batch(), ground.session()
    ground.line(session, batch, used)
    found = ground.leftover(None, ounces, volunteer, how_known="estimated", container="jug without a tag")
    left = Leftover.objects.get(id=found)
    assert (left.batch_id, left.how_known) == (None, "estimated")

    with pytest.raises(ContentsUnknown) as refused:
        ground.line(session, None, "5", volunteer, leftover=str(found))
    assert (refused.value.code, refused.value.where) == ("contents_unknown", "leftover")
    with pytest.raises(ContentsUnknown):
        ground.line(session, batch, "5", volunteer, leftover=str(found))
    assert ProductUse.objects.count() == 1

    told = {"id": found, "batch": batch, "evidence": "dye and smell; the tag lay beside it", "reason": "tag found"}
    with pytest.raises(NotPermitted):
        volunteer.does("leftover", "identify", **told)
    coordinator.does("leftover", "identify", **told)

    left = Leftover.objects.get(id=found)
    assert (left.batch_id, left.evidence[:3], left.marks) == (batch, "dye", [])
    assert left.identified_at is not None
    assert Revision.objects.get(record_id=found, rev=2).reason == "tag found"
    assert ground.line(session, None, "5", leftover=str(found)).batch_id == batch
