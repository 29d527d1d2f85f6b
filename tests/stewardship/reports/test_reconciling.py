"""The books are held against one another: what is off is found, named, and told by how much."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.errors import NotPermitted
from stewardship.jobs.models import Job
from stewardship.journal.ids import new_id
from stewardship.places.models import Unit
from stewardship.reports.reconciling import read, reconciled
from stewardship.reports.services.reconciliations import KIND, ask_nightly, ask_now, latest
from stewardship.rules.units import Dimension, to_base
from stewardship.treatments.models import Batch, Lot, LotDraw
from tests.cast import AT, sent
from tests.ground import FL_OZ, fl_oz, lb

pytestmark = pytest.mark.django_db


def found(ground):
    return reconciled(read(ground.coordinator.group_id))


def codes(ground):
    return [finding["code"] for finding in found(ground)["findings"]]


def leftover(by, ounces, batch=None, **values):
    told = {"volume": fl_oz(ounces), "how_known": "measured", "measured_at": "2027-05-01T12:00:00-05:00"}
    return by.does("leftover", "create", **told | ({"batch": batch} if batch else {}) | values).record


def lot(ground, ounces):
    return ground.coordinator.does("lot", "create", product=ground.product, received=fl_oz(ounces)).record.id


def drawn_from(ground, *ounces, poured="12.8"):
    lots = [{"lot": str(lot(ground, "100")), "volume": fl_oz(each)} for each in ounces]
    return [{"product": str(ground.product), "volume": fl_oz(poured), "lots": lots}]


# -- batches -------------------------------------------------------------------------------------


def test_books_that_balance_have_no_findings(ground):
    batch = ground.batch(parts=drawn_from(ground, "12.8"))
    ground.line(ground.session(), batch, "40")
    leftover(ground.coordinator, "24", batch)

    told = found(ground)

    assert told["findings"] == []
    assert (told["batches"], told["lines"], told["lots"], told["parts_without_lot"]) == (1, 1, 1, 0)


def test_a_seeded_gap_of_2_fl_oz_is_found_and_the_batch_named(ground, volunteer):
    ground.line(ground.session(), ground.batch(), "64")  # a batch that balances
    batch = ground.batch()
    line = ground.line(ground.session(volunteer), batch, "38", volunteer)
    left = leftover(ground.coordinator, "24", batch)

    (finding,) = found(ground)["findings"]

    assert (finding["code"], finding["id"], finding["unit"]) == ("batch_does_not_balance", str(batch), "fl_oz")
    assert abs(finding["by_nl"] - 2 * FL_OZ) <= 3
    assert finding["detail"] == (
        "Of the batch of 64 US fluid ounces, 2 US fluid ounces are missing; measuring explains 1.741 US fluid ounces."
    )
    assert [(each["what"], each["id"], each["entered_by"]) for each in finding["behind"]] == [
        ("applied", str(line.id), str(volunteer.person.id)),
        ("measured", str(left.id), str(ground.coordinator.person.id)),
    ]


def test_a_batch_that_nobody_measured_is_named_with_what_the_book_has_left(ground):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")

    (finding,) = found(ground)["findings"]

    assert (finding["code"], finding["id"]) == ("batch_not_measured", str(batch))
    assert abs(finding["by_nl"] - to_base("24", "fl_oz", Dimension.VOLUME)) <= 2


def test_a_closed_batch_is_found_once_its_account_changes(ground):
    coordinator, batch = ground.coordinator, ground.batch()
    ground.line(ground.session(), batch, "38")
    left = leftover(coordinator, "24", batch)
    coordinator.does("batch", "close", id=batch, closed_at="2027-05-01T13:00:00-05:00", reason="a spilled cup")
    assert codes(ground) == []

    coordinator.does("leftover", "amend", id=left.id, reason="misread", volume=fl_oz("16"))

    (finding,) = found(ground)["findings"]
    assert finding["code"] == "batch_changed_since_closed"
    assert abs(finding["by_nl"] - 8 * FL_OZ) <= 3


def test_a_bottle_that_was_used_and_stands_in_no_line_is_named_with_by_how_much(ground):
    coordinator, batch = ground.coordinator, ground.batch()
    told = {"number": "7", "batch": batch, "filled": fl_oz("16"), "holder": coordinator.member.id}
    bottle = coordinator.does("container", "create", out_at="2027-05-01T09:30:00-05:00", **told).record.id
    assert "container_not_shared" not in codes(ground)

    coordinator.does("container", "bring_back", id=bottle, back=fl_oz("9"), back_at="2027-05-01T11:00:00-05:00")

    finding = next(each for each in found(ground)["findings"] if each["code"] == "container_not_shared")
    assert finding["id"] == str(bottle)
    assert finding["detail"] == (
        "7 US fluid ounces were used out of bottle 7; 7 US fluid ounces of that stand in no line."
    )


def test_what_was_disposed_of_is_part_of_the_books(ground):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")
    told = {
        "what": "disposal",
        "by": ground.coordinator.member.id,
        "batch": batch,
        "volume": fl_oz("24"),
        "manner": "hazardous waste day",
    }
    coordinator = ground.coordinator
    coordinator.does("stock_movement", "create", happened_at="2027-05-01T15:00:00-05:00", **told)

    assert codes(ground) == []


def test_only_20_of_the_lines_behind_a_finding_are_named_and_the_rest_counted(ground):
    batch, session = ground.batch(), ground.session()
    for _ in range(22):
        ground.line(session, batch, "1")

    (finding,) = found(ground)["findings"]

    assert (len(finding["behind"]), finding["more_behind"]) == (20, 2)


def test_a_voided_batch_is_no_part_of_the_books(ground):
    ground.coordinator.does("batch", "void", id=ground.batch(), reason="never mixed")

    assert found(ground)["batches"] == 0
    assert codes(ground) == []


# -- columns, against what they are computed from ------------------------------------------------


@pytest.mark.parametrize("values", [{"used_nl": 63 * FL_OZ}, {"used_parts": [1]}], ids=lambda each: next(iter(each)))
def test_a_batch_s_column_that_is_not_what_its_lines_come_to_is_found(ground, values):
    batch = ground.batch(mix=fl_oz("64"))
    ground.line(ground.session(), batch, "64")
    right = Batch.objects.filter(id=batch).values(*values).get()

    Batch.objects.filter(id=batch).update(**values)
    assert codes(ground) == ["batch_column_wrong"]
    Batch.objects.filter(id=batch).update(**right)  # the audit after each test would find it too


def test_a_batch_s_column_counts_what_was_poured_on(ground):
    parent = ground.batch()
    child = {"parts": [], "poured_from": [{"batch": str(parent), "volume": fl_oz("64")}]}
    top = ground.batch(mix=fl_oz("64"), **child)
    ground.line(ground.session(), top, "64")

    assert codes(ground) == []


def test_a_lot_whose_column_is_not_what_came_and_went_is_found_by_how_much(ground):
    parts = drawn_from(ground, "12.8")
    ground.line(ground.session(), ground.batch(parts=parts), "64")
    id = parts[0]["lots"][0]["lot"]
    right = Lot.objects.get(id=id).left_nl

    Lot.objects.filter(id=id).update(left_nl=right - 7)
    (finding,) = found(ground)["findings"]
    assert (finding["code"], finding["id"], finding["by_nl"]) == ("lot_does_not_balance", id, -7)
    Lot.objects.filter(id=id).update(left_nl=right)


def test_a_draw_that_is_not_what_was_poured_is_found_at_the_batch(ground):
    batch = ground.batch(parts=drawn_from(ground, "12.8"))
    ground.line(ground.session(), batch, "64")
    draw = LotDraw.objects.get(batch=batch)

    LotDraw.objects.filter(id=draw.id).update(nl=draw.nl - FL_OZ)
    told = {finding["code"]: finding for finding in found(ground)["findings"]}
    assert told["part_differs_from_lots"]["id"] == str(batch)
    assert told["part_differs_from_lots"]["by_nl"] == -FL_OZ
    assert told["lot_does_not_balance"]["by_nl"] == -FL_OZ
    LotDraw.objects.filter(id=draw.id).update(nl=draw.nl)


def test_a_dry_product_is_held_against_its_lines_by_weight(ground):
    powder = str(ground.powder())
    mass = {"value": "2", "unit": "oz"}
    ground.line(ground.session(), ground.batch(carrier="water", parts=[{"product": powder, "mass": mass}]), "64")

    told = found(ground)

    assert (told["findings"], told["parts_without_lot"]) == ([], 1)


def test_a_gap_seeded_in_a_dry_lot_is_found_by_weight(ground):
    powder = str(ground.powder())
    lot = str(ground.lot(product=powder, received_mass=lb("5")))
    part = {"product": powder, "pieces": 3, "lots": [{"lot": lot, "mass": lb("1.5")}]}
    batch = ground.batch(carrier="water", parts=[part])
    ground.line(ground.session(), batch, "64")
    draw, right = LotDraw.objects.get(batch=batch), Lot.objects.get(id=lot).left_ug
    assert codes(ground) == []

    Lot.objects.filter(id=lot).update(left_ug=right - 7)
    (finding,) = found(ground)["findings"]
    assert (finding["code"], finding["id"], finding["by_nl"], finding["by_ug"]) == (
        "lot_does_not_balance", lot, None, -7,
    )  # fmt: skip
    assert "3.5 pounds of this lot are left" in finding["detail"]
    Lot.objects.filter(id=lot).update(left_ug=right)

    LotDraw.objects.filter(id=draw.id).update(ug=draw.ug - 453_592_370)
    told = {finding["code"]: finding for finding in found(ground)["findings"]}
    assert told["part_differs_from_lots"]["by_ug"] == told["lot_does_not_balance"]["by_ug"] == -453_592_370
    assert told["part_differs_from_lots"]["detail"].startswith("1.5 pounds of diuron powder 80 % went into this batch")
    LotDraw.objects.filter(id=draw.id).update(ug=draw.ug)


def test_parts_without_a_lot_are_counted_as_unknown_and_are_no_finding(ground):
    ground.line(ground.session(), ground.batch(), "64")

    assert found(ground)["parts_without_lot"] == 1
    assert codes(ground) == []


def test_a_unit_s_ledger_that_is_not_what_its_lines_come_to_is_found(ground):
    ground.line(ground.session(), ground.batch(), "64")
    right = Unit.objects.filter(id=ground.unit).values("used_in_years", "used_on").get()

    for wrong in ({"used_in_years": {}}, {"used_on": {}}):
        Unit.objects.filter(id=ground.unit).update(**wrong)
        (finding,) = found(ground)["findings"]
        assert (finding["code"], finding["id"], finding["by_nl"]) == ("unit_ledger_wrong", str(ground.unit), None)
        Unit.objects.filter(id=ground.unit).update(**right)


# -- side by side --------------------------------------------------------------------------------


def test_an_unknown_container_stands_beside_the_batch_that_lacks_as_much_and_is_not_linked(ground):
    ground.line(ground.session(), ground.batch(), "64")
    june = ground.batch(mixed_at="2027-06-05T09:00:00-05:00")
    ground.line(ground.session(started_at="2027-06-05T09:30:00-05:00"), june, "44")
    bottle = leftover(ground.coordinator, "20", how_known="estimated", property=str(ground.property))
    other = leftover(ground.coordinator, "5", how_known="estimated", property=str(ground.property))

    by_id = {each["id"]: each for each in found(ground)["unknown_containers"]}

    assert by_id[str(bottle.id)]["beside"] == [str(june)]
    assert by_id[str(other.id)]["beside"] == []
    bottle.refresh_from_db()
    assert bottle.batch_id is None


def test_lines_that_are_perhaps_the_same_work_are_told_until_one_is_voided(ground, volunteer):
    batch, session = ground.batch(), ground.session()
    first = ground.line(session, batch, "32")
    second = ground.line(session, batch, "32", volunteer)

    (finding,) = found(ground)["findings"]
    assert (finding["code"], finding["id"]) == ("possible_duplicate", str(second.id))
    assert {each["entered_by"] for each in finding["behind"]} == {
        str(volunteer.person.id),
        str(ground.coordinator.person.id),
    }

    ground.coordinator.does("application", "void", id=first.id, reason="in the other's total")
    assert "possible_duplicate" not in codes(ground)


# -- the job -------------------------------------------------------------------------------------


def test_a_coordinator_asks_and_a_worker_finds(ground, work):
    batch = ground.batch()

    job = ask_now(ground.coordinator.actor, AT)
    assert ask_now(ground.coordinator.actor, AT).id == job.id
    assert work() == 1

    done = latest(ground.coordinator.group_id)
    assert (done.id, done.state) == (job.id, "done")
    assert [finding["id"] for finding in done.result["findings"]] == [str(batch)]
    assert done.result["head"] > 0


def test_a_change_of_the_book_makes_it_work_of_its_own(ground):
    job = ask_now(ground.coordinator.actor, AT)
    ground.batch()

    assert ask_now(ground.coordinator.actor, AT).id != job.id


@pytest.mark.parametrize("who", ["volunteer", "reviewer"])
def test_nobody_else_asks(cast, who):
    with pytest.raises(NotPermitted):
        ask_now(getattr(cast, who).actor, AT)


def test_each_group_is_asked_for_once_a_night_by_its_own_clock(cast):
    two_at_home = AT.replace(day=2, hour=7, minute=59)  # 02:59 in Chicago, 01:59 in Denver
    assert ask_nightly(two_at_home) == 0

    assert ask_nightly(two_at_home + timedelta(minutes=1)) == 1
    assert ask_nightly(two_at_home + timedelta(minutes=11)) == 0
    assert Job.objects.get(kind=KIND).group_id == cast.group.id

    assert ask_nightly(two_at_home + timedelta(hours=1, minutes=1)) == 1
    assert ask_nightly(two_at_home + timedelta(days=1, minutes=1)) == 0  # the first is not done yet
    Job.objects.update(state="done", finished_at=AT)
    assert ask_nightly(two_at_home + timedelta(hours=2)) == 0
    assert ask_nightly(two_at_home + timedelta(days=1, minutes=1)) == 1


def test_the_findings_of_one_state_of_the_book_are_the_same_every_time(ground):
    for ounces in ("40", "41", "42"):
        ground.line(ground.session(), ground.batch(), ounces)

    assert found(ground) == found(ground)


# -- many ----------------------------------------------------------------------------------------


def season_of(ground, count, on_a_batch):
    """Push so many lines, of 1 fl oz each, on batches that they use up."""
    batches = [ground.batch(mix=fl_oz(str(on_a_batch)), parts=PARTS(ground)) for _ in range(count // on_a_batch)]
    session = str(ground.session())
    told = {"session": session, "species": str(ground.species), "method": "cut_stump", "mix": fl_oz("1")}
    told |= {"how_known": "measured", "stems": 3}
    lines = [
        sent("application", "create", told | {"id": str(new_id()), "batch": str(batches[i // on_a_batch])})
        for i in range(count)
    ]
    for start in range(0, count, 500):
        taken = ground.coordinator.pushes(*lines[start : start + 500])
        assert {result["outcome"] for result in taken.results} == {"applied"}
    return batches


def PARTS(ground):
    return [{"product": str(ground.product), "volume": fl_oz("1")}]


def statements(ground):
    with CaptureQueriesContext(connection) as seen:
        told = found(ground)
    return len(seen), told


def test_the_statements_stay_the_same_whatever_the_group_holds(ground):
    few, _ = statements(ground)
    season_of(ground, 100, 10)

    many, told = statements(ground)

    assert (many, told["lines"], told["findings"]) == (few, 100, [])
    assert many <= 10


@pytest.mark.heavy
def test_ten_thousand_applications_are_reconciled_in_one_pass(ground):
    batches = season_of(ground, 10_000, 20)
    ground.line(ground.session(), extra := ground.batch(), "62")

    count, told = statements(ground)

    assert count <= 10
    assert told["lines"] == 10_001
    assert [finding["id"] for finding in told["findings"]] == [str(extra)]
    assert len(batches) == 500
