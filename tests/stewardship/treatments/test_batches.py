"""A batch as it is mixed and corrected."""

import pytest
from django.db import IntegrityError, connection

from stewardship.catalog.models import Product
from stewardship.errors import AlreadyVoided, Unavailable, Unreadable
from stewardship.treatments.models import Batch
from stewardship.treatments.services.batches import BatchInUse, PartsAboveMix, PartTwice
from stewardship.treatments.services.facts import NotVoided
from stewardship.workdays.models import WorkDay
from tests.ground import FL_OZ, fl_oz
from tests.planning import ON, Plan, at, licence
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)


def part(ground, ounces):
    return {"product": str(ground.product), "volume": fl_oz(ounces)}


def problems(refused):
    return [(each["pointer"], each["code"]) for each in refused.value.facts["errors"]]


def test_a_batch_keeps_what_was_entered_and_what_the_label_said(ground):
    batch = Batch.objects.get(id=ground.batch(adjuvants=[{"name": "blue dye", "volume": fl_oz("0.32")}]))

    (part,) = batch.parts
    assert (batch.mix_value, batch.mix_unit, batch.mix_nl) == ("64", "fl_oz", 1_892_705_892)
    assert part["volume"] == {"value": "12.8", "unit": "fl_oz", "nl": 378_541_178}
    assert part["nl"] == 378_541_178
    assert part["registration_no"] == "99990-101"
    assert [each["name"] for each in part["ingredients"]] == ["triclopyr"]
    assert batch.adjuvants[0]["name"] == "blue dye"
    assert (batch.left_nl, batch.used_parts, batch.lines) == (batch.mix_nl, [0], 0)


def test_a_batch_keeps_the_strength_of_the_label_though_the_product_is_corrected_later(ground, coordinator):
    id = ground.batch()
    before = Batch.objects.get(id=id).parts
    (stated,) = Product.objects.get(id=ground.product).ingredients
    doubled = {"active_ingredient": stated["active_ingredient"], "ae": {"value": "8", "unit": "lb_gal"}}

    coordinator.does("product", "amend", id=ground.product, ingredients=[doubled])
    (active,) = ground.line(ground.session(), id, "5").products[0]["actives"]

    assert Batch.objects.get(id=id).parts == before
    assert active["ae_ug"] == 14_174_762  # 1 fl oz of 4 lb a.e./gal: 0.03125 lb


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"mix": {"value": "1000000000", "unit": "gal"}}, ("/mix", "amount_absurd")),
        ({"mix": {"value": "-1", "unit": "gal"}}, ("/mix", "amount_negative")),
        ({"mix": {"value": "0", "unit": "gal"}}, ("/mix", "amount_not_positive")),
        ({"mix": {"value": "0.0000001", "unit": "ml"}}, ("/mix", "amount_not_positive")),
        ({"mix": {"value": "2", "unit": "each"}}, ("/mix", "unit_unknown")),
        ({"mix": {"value": "2", "unit": "acre"}}, ("/mix", "unit_wrong_dimension")),
        ({"mix": {"value": "2"}}, ("/mix/unit", "field_missing")),
        ({"how_known": "guessed"}, ("/how_known", "value_invalid")),
        ({"carrier": "beer"}, ("/carrier", "value_invalid")),
        ({"parts": []}, ("", "value_invalid")),
        ({"mixed_at": "2027-05-01T09:00:00"}, ("/mixed_at", "value_invalid")),
        ({"mixed_at": "0001-01-01T00:00:00Z"}, ("/mixed_at", "value_invalid")),
    ],
    ids=str,
)
def test_a_batch_that_cannot_be_read_says_where(ground, values, expected):
    with pytest.raises(Unreadable) as refused:
        ground.batch(**values)

    assert problems(refused) == [expected]
    assert not Batch.objects.exists()


def test_a_part_of_nothing_is_refused_where_it_stands(ground):
    with pytest.raises(Unreadable) as refused:
        ground.batch(parts=[part(ground, "12.8"), part(ground, "0")])

    assert problems(refused) == [("/parts/1/volume", "amount_not_positive")]


def test_parts_and_adjuvants_above_the_mix_are_refused(ground):
    with pytest.raises(PartsAboveMix) as refused:
        ground.batch(parts=[part(ground, "60")], adjuvants=[{"name": "oil", "volume": fl_oz("4.1")}])

    assert (refused.value.code, refused.value.where) == ("parts_above_mix", "parts")


def test_parts_that_fill_the_mix_are_taken_whatever_their_rounding(ground):
    """A gallon is exact and a fluid ounce is rounded up: 128 of them exceed it by 56 nL, two entries by one."""
    adjuvants = [{"name": "oil", "volume": fl_oz("63.9")}, {"name": "dye", "volume": fl_oz("0.3")}]

    batch = ground.batch(mix={"value": "1", "unit": "gal"}, parts=[part(ground, "63.8")], adjuvants=adjuvants)

    assert Batch.objects.get(id=batch).mix_nl == 3_785_411_784


def test_a_product_that_stands_twice_is_refused(ground):
    with pytest.raises(PartTwice) as refused:
        ground.batch(parts=[part(ground, "6.4"), part(ground, "6.4")])

    assert (refused.value.code, refused.value.where) == ("part_twice", "parts")


@pytest.mark.parametrize("field", ["mixed_by", "work_day", "parts"])
def test_a_batch_of_something_unknown_is_refused(ground, cast, field):
    theirs = cast.stranger.member.id
    values = {"parts": [{"product": str(theirs), "volume": fl_oz("1")}]} if field == "parts" else {field: theirs}

    with pytest.raises(Unavailable):
        ground.batch(**values)


def test_undiluted_product_that_does_not_come_to_the_mix_is_marked(ground):
    short = Batch.objects.get(id=ground.batch(carrier="none"))
    whole = Batch.objects.get(id=ground.batch(carrier="none", parts=[part(ground, "64")]))

    assert [mark["code"] for mark in short.marks] == ["credential_missing", "parts_below_mix", "carrier_not_on_label"]
    assert [mark["code"] for mark in whole.marks] == ["credential_missing", "carrier_not_on_label"]


# -- correcting ----------------------------------------------------------------------------------


def test_a_batch_is_made_of_something_else_while_nothing_was_drawn(ground, coordinator):
    id = ground.batch(carrier="none")

    batch = coordinator.does(
        "batch", "amend", id=id, reason="two bottles", carrier="oil", mix=fl_oz("32"), **tank_mix(ground)
    ).record

    assert (batch.mix_nl, batch.carrier) == (946_352_946, "oil")
    assert [each["volume"]["value"] for each in batch.parts] == ["12.8", "3.2"]
    assert batch.used_parts == [0, 0]
    assert "parts_below_mix" not in [mark["code"] for mark in batch.marks]


@pytest.mark.parametrize("field", ["mix", "parts", "adjuvants", "carrier"])
def test_a_batch_in_use_is_not_remade(ground, coordinator, field):
    id = ground.batch()
    ground.line(ground.session(), id, "5")
    remade = {
        "mix": fl_oz("63"),
        "parts": [part(ground, "12.7")],
        "adjuvants": [{"name": "dye", "volume": fl_oz("1")}],
        "carrier": "water",
    }

    with pytest.raises(BatchInUse) as refused:
        coordinator.does("batch", "amend", id=id, reason="misread", **{field: remade[field]})

    assert refused.value.code == "batch_in_use"


def test_a_batch_in_use_is_corrected_in_what_no_line_rests_on(ground, coordinator, volunteer):
    id = ground.batch()
    ground.line(ground.session(), id, "5")

    batch = coordinator.does(
        "batch", "amend", id=id, reason="wrong name", mixed_by=volunteer.member.id, how_known="estimated",
        mix=fl_oz("64.0"), parts=[part(ground, "12.8")],
    ).record  # fmt: skip

    assert (batch.mixed_by_id, batch.how_known, batch.mix_value) == (volunteer.member.id, "estimated", "64.0")
    assert batch.used_nl == 5 * FL_OZ - 2  # 147,867,648: five fluid ounces, rounded once
    assert batch.lines == 1


def test_a_batch_is_not_amended_into_more_parts_than_mix(ground, coordinator):
    id = ground.batch()

    with pytest.raises(PartsAboveMix):
        coordinator.does("batch", "amend", id=id, reason="misread", mix=fl_oz("12"))


def test_a_batch_in_use_is_not_voided_until_its_lines_are(ground, coordinator):
    id = ground.batch()
    line = ground.line(ground.session(), id, "5")

    with pytest.raises(BatchInUse):
        coordinator.does("batch", "void", id=id, reason="typed twice")
    coordinator.does("application", "void", id=line.id, reason="typed twice")
    batch = coordinator.does("batch", "void", id=id, reason="typed twice").record

    assert batch.voided_at is not None


def test_a_voided_batch_gives_nothing_and_is_not_corrected_until_it_is_reinstated(ground, coordinator):
    id, session = ground.batch(), ground.session()
    coordinator.does("batch", "void", id=id, reason="typed twice")

    with pytest.raises(AlreadyVoided):
        ground.line(session, id, "5")
    with pytest.raises(AlreadyVoided):
        coordinator.does("batch", "amend", id=id, reason="misread", note="x")
    coordinator.does("batch", "reinstate", id=id, reason="it was real")

    assert ground.line(session, id, "5").products[0]["nl"] > 0


def test_what_was_not_voided_is_not_reinstated(ground, coordinator):
    with pytest.raises(NotVoided) as refused:
        coordinator.does("batch", "reinstate", id=ground.batch(), reason="it was real")

    assert refused.value.code == "not_voided"


def test_voiding_again_changes_nothing(ground, coordinator):
    id = ground.batch()
    coordinator.does("batch", "void", id=id, reason="typed twice")

    again = coordinator.does("batch", "void", id=id, reason="typed twice")

    assert again.result["outcome"] == "noop"


# -- the day and the licence ---------------------------------------------------------------------


def test_the_first_batch_sets_a_confirmed_day_under_way_by_its_own_clock(ground, cast):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    plan.does("confirm")

    batch = Batch.objects.get(id=ground.batch(cast.volunteer, work_day=plan.id, mixed_at=at("8:45")))

    assert WorkDay.objects.get(id=plan.id).state == "under_way"
    assert (batch.on_date.isoformat(), batch.marks) == (ON, [])


def test_another_mixer_is_judged_on_the_date_of_the_mixing(ground, cast):
    licence(cast.coordinator, cast.volunteer, "2027-05-01")
    id = ground.batch(cast.other_volunteer)

    marked = Batch.objects.get(id=id).marks
    his = cast.coordinator.does("batch", "amend", id=id, reason="it was he", mixed_by=cast.volunteer.member.id)
    late = cast.coordinator.does("batch", "amend", id=id, reason="a day on", mixed_at="2027-05-02T09:00:00-05:00")

    assert [(mark["code"], mark["field"]) for mark in marked] == [("credential_missing", "mixed_by")]
    assert "warnings" not in his.result
    assert late.record.on_date.isoformat() == "2027-05-02"
    assert [mark["code"] for mark in late.result["warnings"]] == ["credential_expired"]


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ("used_nl = mix_nl + 1", "a_batch_is_not_overdrawn"),
        ("used_nl = -1", "a_batch_is_not_overdrawn"),
        ("mix_nl = 0", "a_batch_holds_something"),
    ],
)
def test_the_database_keeps_the_balance_too(ground, change, name):
    ground.batch()

    with pytest.raises(IntegrityError, match=name), connection.cursor() as cursor:
        cursor.execute(f"UPDATE treatments_batch SET {change}")
