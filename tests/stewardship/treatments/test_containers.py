"""A numbered bottle goes out and comes back; what was used of it is the one less the other."""

import pytest

from stewardship.errors import Unreadable
from stewardship.journal.ids import new_id
from stewardship.treatments.models import Batch, Container
from stewardship.treatments.services.batches import BatchInUse
from stewardship.treatments.services.containers import ContainerShared
from tests.cast import sent
from tests.ground import fl_oz
from tests.planning import Plan, at
from tests.stewardship.treatments.bottles import BACK, came_back, line, shared, taken_out, used

OUNCE = 29_573_529.5625
"""Nanolitres of a US fluid ounce: 231/128 cubic inches of 2.54 cm (NIST Handbook 44, Appendix C)."""


def ounces(count):
    """Return so many fluid ounces in nanolitres; what is the one less the other may be off by one."""
    return pytest.approx(round(count * OUNCE), rel=0, abs=1)


def codes(record):
    return [mark["code"] for mark in record.marks]


def test_used_is_what_was_filled_less_what_came_back(ground):
    bottle = taken_out(ground, ground.batch())
    assert (bottle.used_nl, bottle.unshared_nl, bottle.how_known) == (None, None, "")

    back = came_back(ground, bottle.id, "6")

    assert (back.used_nl, back.unshared_nl) == (ounces(10), ounces(10))
    assert (back.how_known, back.back_tap) == ("read_off_container", None)


@pytest.mark.parametrize(
    ("tap", "back_in_16"), [("full", "16"), ("3/4", "12"), ("1/2", "8"), ("1/4", "4"), ("empty", "0")]
)
def test_a_tap_is_a_part_of_what_was_filled(ground, tap, back_in_16):
    bottle = taken_out(ground, ground.batch())

    back = came_back(ground, bottle.id, {"tap": tap})

    assert (back.back_value, back.back_unit, back.back_tap) == (back_in_16, "fl_oz", tap)
    assert back.back_nl == ounces(int(back_in_16))
    assert back.how_known == "read_off_container"


def test_a_tap_is_a_part_of_the_capacity_where_that_is_stated(ground):
    bottle = taken_out(ground, ground.batch(), capacity=fl_oz("20"))

    back = came_back(ground, bottle.id, {"tap": "1/2"})

    assert (back.back_value, back.used_nl) == ("10", ounces(6))


def test_a_measured_back_is_known_as_measured(ground):
    bottle = taken_out(ground, ground.batch())

    back = came_back(ground, bottle.id, {"value": "180", "unit": "ml"}, how_known="measured")

    assert (back.how_known, back.back_nl) == ("measured", 180_000_000)


@pytest.mark.parametrize(
    "values",
    [
        {"back": {"tap": "1/2"}, "how_known": "measured"},
        {"back": {"tap": "1/3"}},
        {"back": {"tap": "1/2", "value": "8", "unit": "fl_oz"}},
        {"back": {"value": "8"}},
        {"back": {}},
        {"back": {"value": "-1", "unit": "fl_oz"}},
        {"back": {"value": "8", "unit": "acre"}},
        {"back": {"tap": "1/2"}, "how_known": "apportioned"},
    ],
    ids=str,
)
def test_what_cannot_be_read_as_what_came_back_is_told_at_its_place(ground, values):
    bottle = taken_out(ground, ground.batch())

    with pytest.raises(Unreadable) as refused:
        came_back(ground, bottle.id, values["back"], **{k: v for k, v in values.items() if k != "back"})

    assert all(
        error["pointer"].startswith(("/back", "/how_known")) or error["pointer"] == ""
        for error in refused.value.facts["errors"]
    )
    assert Container.objects.get().back_at is None


def test_one_unit_and_another_may_differ_by_a_nanolitre_and_nobody_brings_back_more(ground):
    """32 fluid ounces are 946,352,946 nL."""
    bottle = taken_out(ground, ground.batch(), filled=fl_oz("32"))

    back = came_back(ground, bottle.id, {"value": "946.352947", "unit": "ml"})

    assert (back.back_nl, back.used_nl) == (back.filled_nl, 0)


def test_brought_back_again_with_the_same_figures_changes_nothing(ground, coordinator):
    bottle = taken_out(ground, ground.batch())
    came_back(ground, bottle.id, "6")

    (again,) = coordinator.pushes(
        sent("container", "bring_back", {"back": fl_oz("6"), "back_at": BACK}, id=bottle.id)
    ).results

    assert (again["outcome"], again["rev"]) == ("noop", 2)


def test_anybody_who_records_work_brings_a_bottle_back_and_only_its_author_corrects_it(ground, volunteer):
    bottle = taken_out(ground, ground.batch())

    back = came_back(ground, bottle.id, "6", volunteer)

    assert back.used_nl == ounces(10)


def test_filling_more_than_the_batch_has_left_with_the_bottles_that_are_out_is_marked(ground):
    batch = ground.batch()
    first = [taken_out(ground, batch, number=str(n)) for n in range(4)]

    fifth = taken_out(ground, batch, "2", number="5")

    assert [codes(bottle) for bottle in first] == [[]] * 4
    assert codes(fifth) == ["filled_beyond_batch"]
    assert "0 US fluid ounces" in fifth.marks[0]["detail"]


def test_a_number_that_is_out_already_is_taken_out_again_and_marked(ground):
    batch = ground.batch()
    first = taken_out(ground, batch)

    second = taken_out(ground, batch, out_at="2027-05-01T10:40:00-05:00")

    assert (codes(first), codes(second)) == ([], ["bottle_already_out"])
    assert second.marks[0]["detail"].startswith("Bottle 3 was out already, since 2027-05-01 09:40.")
    assert second.marks[0]["field"] == "number"


def test_another_number_a_bottle_that_was_back_by_then_and_a_voided_outing_are_no_such_mark(ground):
    batch = ground.batch()
    taken_out(ground, batch, number="4")
    used(ground, batch)
    voided = taken_out(ground, batch, number="5")
    ground.coordinator.does("container", "void", id=voided.id, reason="typed twice")

    after = [taken_out(ground, batch, "1", number=number, out_at=BACK) for number in ("3", "5")]

    assert [codes(bottle) for bottle in after] == [[], []]


def test_a_bottle_that_came_back_only_later_was_out_at_that_time(ground):
    batch = ground.batch()
    used(ground, batch)

    assert codes(taken_out(ground, batch, "1", out_at="2027-05-01T10:40:00-05:00")) == ["bottle_already_out"]
    assert codes(taken_out(ground, batch, "1", out_at="2027-05-01T09:00:00-05:00")) == []


def test_a_device_hands_over_outings_of_one_number_and_only_what_was_out_is_marked(ground):
    batch, [first, second, third] = ground.batch(), [new_id() for _ in range(3)]
    out = {"number": "3", "batch": str(batch), "filled": fl_oz("1"), "holder": str(ground.coordinator.member.id)}
    times = {first: "2027-05-01T09:00:00-05:00", second: BACK, third: "2027-05-01T11:10:00-05:00"}
    creates = [sent("container", "create", out | {"id": str(id), "out_at": at}) for id, at in times.items()]
    back = sent("container", "bring_back", {"back": {"tap": "1/2"}, "back_at": BACK}, id=first)

    results = ground.coordinator.pushes(creates[0], back, *creates[1:]).results

    assert [result["outcome"] for result in results] == ["applied"] * 4
    marked = {id: [mark["code"] for mark in Container.objects.get(id=id).marks] for id in times}
    assert marked == {first: [], second: [], third: ["bottle_already_out"]}


def test_a_device_of_somebody_else_is_told_that_the_number_is_out(ground, volunteer):
    batch = ground.batch()
    taken_out(ground, batch)
    told = {
        "number": "3",
        "batch": str(batch),
        "filled": fl_oz("1"),
        "holder": str(volunteer.member.id),
        "out_at": BACK,
    }

    (result,) = volunteer.pushes(sent("container", "create", told)).results

    assert result["outcome"] == "applied"
    assert [mark["code"] for mark in result["warnings"]] == ["bottle_already_out"]


def test_a_corrected_number_or_time_is_judged_anew(ground):
    batch = ground.batch()
    taken_out(ground, batch)
    second = taken_out(ground, batch, "1", out_at=BACK)

    def amended(**values):
        return codes(ground.coordinator.does("container", "amend", id=second.id, reason="misread", **values).record)

    assert amended(note="by the gate") == ["bottle_already_out"]
    assert amended(number="8") == []
    assert amended(number="3") == ["bottle_already_out"]
    assert amended(out_at="2027-05-01T09:00:00-05:00") == []


def test_what_came_back_may_be_filled_again(ground):
    batch = ground.batch()
    for n in range(4):
        came_back(ground, taken_out(ground, batch, number=str(n)).id, "16")

    assert codes(taken_out(ground, batch, "64", number="5")) == []


def test_a_batch_tells_what_is_out_in_bottles_and_what_was_used_and_stands_in_no_line(ground):
    batch = ground.batch()
    taken_out(ground, batch, number="1")
    used(ground, batch, number="2")

    found = Batch.objects.get(id=batch)

    assert (found.bottles, found.out_nl, found.in_containers_nl) == (2, ounces(16), ounces(10))
    assert found.left_nl == found.mix_nl


def test_a_line_may_name_the_bottle_it_came_from_while_that_is_out(ground):
    batch = ground.batch()
    bottle = taken_out(ground, batch)
    ground.line(ground.session(), batch, "4", container=bottle.id)

    back = came_back(ground, bottle.id, "6")

    assert (back.in_lines_nl, back.unshared_nl, codes(back)) == (ounces(4), ounces(6), [])


def test_a_bottle_that_gave_less_than_its_lines_say_is_marked(ground):
    batch = ground.batch()
    bottle = taken_out(ground, batch)
    ground.line(ground.session(), batch, "12", container=bottle.id)

    back = came_back(ground, bottle.id, "6")

    assert codes(back) == ["lines_beyond_container"]
    assert "come to 12 US fluid ounces; by what came back, it gave 10 US fluid ounces." in back.marks[0]["detail"]
    assert back.unshared_nl == 0


def test_a_lines_correction_follows_on_its_bottle(ground, coordinator):
    batch = ground.batch()
    bottle = used(ground, batch)
    drawn = ground.line(ground.session(), batch, "4", container=bottle)

    coordinator.does("application", "amend", id=drawn.id, mix=fl_oz("7"), reason="misread")
    assert Container.objects.get().in_lines_nl == ounces(7)

    coordinator.does("application", "void", id=drawn.id, reason="typed twice")
    coordinator.does("application", "void", id=drawn.id, reason="typed twice")
    assert Container.objects.get().in_lines_nl == 0

    coordinator.does("application", "reinstate", id=drawn.id, reason="it was real")
    assert Container.objects.get().in_lines_nl == ounces(7)


def test_a_voided_line_is_not_put_back_once_its_bottle_stands_in_other_lines(ground, coordinator):
    batch, session = ground.batch(), ground.session()
    bottle = used(ground, batch)
    drawn = ground.line(session, batch, "4", container=bottle)
    coordinator.does("application", "void", id=drawn.id, reason="typed twice")
    shared(ground, bottle, session, line(ground))

    with pytest.raises(ContainerShared):
        coordinator.does("application", "reinstate", id=drawn.id, reason="it was real")


def test_a_corrected_filling_or_capacity_is_what_a_tap_is_of(ground, coordinator):
    bottle = taken_out(ground, ground.batch())
    came_back(ground, bottle.id, {"tap": "1/2"})

    smaller = coordinator.does("container", "amend", id=bottle.id, filled=fl_oz("12"), reason="misread").record
    assert (smaller.back_value, smaller.used_nl) == ("6", ounces(6))

    held = coordinator.does("container", "amend", id=bottle.id, capacity=fl_oz("20"), reason="it is the big one").record
    assert (held.back_value, held.used_nl) == ("10", ounces(2))

    none = coordinator.does("container", "amend", id=bottle.id, capacity=None, reason="it was not").record
    assert (none.capacity_nl, none.back_value) == (None, "6")


def test_what_came_back_is_corrected_with_a_reason(ground, coordinator):
    bottle = used(ground, ground.batch())

    read = coordinator.does(
        "container", "amend", id=bottle, back=fl_oz("5"), how_known="measured", reason="poured into a cup"
    ).record

    assert (read.used_nl, read.how_known, read.rev) == (ounces(11), "measured", 3)


def test_another_filling_is_judged_anew(ground, coordinator):
    bottle = taken_out(ground, ground.batch(), "65")
    assert codes(bottle) == ["filled_beyond_batch"]

    mended = coordinator.does("container", "amend", id=bottle.id, filled=fl_oz("16"), reason="misread").record

    assert codes(mended) == []


def test_a_voided_outing_counts_no_more_and_is_put_back(ground, coordinator):
    batch = ground.batch()
    bottle = used(ground, batch)

    coordinator.does("container", "void", id=bottle, reason="typed twice")
    coordinator.does("container", "void", id=bottle, reason="typed twice")
    assert Batch.objects.get().in_containers_nl == Batch.objects.get().bottles == 0

    coordinator.does("container", "reinstate", id=bottle, reason="it was real")
    assert (Batch.objects.get().in_containers_nl, Batch.objects.get().bottles) == (ounces(10), 1)


def test_a_batch_is_not_voided_under_its_bottles(ground, coordinator):
    batch = ground.batch()
    bottle = taken_out(ground, batch).id

    with pytest.raises(BatchInUse):
        coordinator.does("batch", "void", id=batch, reason="typed twice")

    coordinator.does("container", "void", id=bottle, reason="typed twice")
    coordinator.does("batch", "void", id=batch, reason="typed twice")


def test_a_bottle_of_another_date_than_its_day_is_marked_and_a_corrected_time_judged_anew(ground, coordinator):
    plan = Plan(coordinator)
    plan.does("open")
    bottle = taken_out(ground, ground.batch(), work_day=plan.id, out_at=at("9:40", "2027-07-02"))
    assert codes(bottle) == ["day_not_confirmed", "other_date"]

    mended = coordinator.does("container", "amend", id=bottle.id, out_at=at("9:40"), reason="a day on").record

    assert (codes(mended), mended.on_date.isoformat()) == (["day_not_confirmed"], "2027-07-01")
