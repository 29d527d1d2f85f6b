"""What was used of a batch, and what was worked without herbicide."""

from fractions import Fraction

import pytest
from django.db import IntegrityError, connection

from stewardship.errors import AlreadyVoided, Unavailable, Unreadable
from stewardship.rules.shares import BatchOverdrawn
from stewardship.treatments.models import ActiveUse, Application, Batch, ProductUse
from stewardship.treatments.services.facts import NotVoided
from stewardship.treatments.services.lines import UnitElsewhere
from tests.cast import sent
from tests.ground import FL_OZ, fl_oz
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)

GAL, LB = 3_785_411_784, 453_592_370
"""A US gallon [nL] and an avoirdupois pound [ug], exactly: NIST Handbook 44, Appendix C."""


def drawn(ground, *ounces, **values):
    """Return the lines that took these amounts, and their batch as it stands after them."""
    batch, session = ground.batch(**values), ground.session()
    lines = [ground.line(session, batch, each) for each in ounces]
    return lines, Batch.objects.get(id=batch)


# -- product, a.i. and a.e. ----------------------------------------------------------------------


def test_forty_of_sixty_four_ounces_used_as_25_and_15_use_5_and_3_ounces_of_product(ground):
    """Product used in a place = product in the batch x the share of the batch used there.

    Source of the rule: New York State, Pesticide Reporting Law guidance, "common problems" tables. The figures
    (64 fl oz at 20 % v/v of a 4 lb a.e./gal ester) are our own arithmetic: 40 of 64 use 8.0 fl oz and 0.250 lb,
    24 are left with 4.8 fl oz and 0.150 lb.
    """
    lines, batch = drawn(ground, "25", "15")

    products = [line.products[0]["nl"] for line in lines]
    acid = sum(line.products[0]["actives"][0]["ae_ug"] for line in lines)
    left = batch.parts[0]["nl"] - batch.used_parts[0]
    assert [round(Fraction(nl * 128, GAL), 6) for nl in (*products, sum(products), left)] == [5, 3, 8, Fraction("4.8")]
    assert round(Fraction(acid, LB), 8) == Fraction("0.25")
    assert round(Fraction(batch.left_nl * 128, GAL), 6) == 24


@pytest.mark.parametrize(
    ("mix", "product", "used", "products_ml", "acid_g"),
    [
        (("2", "l"), ("400", "ml"), (("1250", "ml"), ("250", "ml")), [250, 50], 144),
        (("10", "l"), ("150", "ml"), (("4", "l"), ("6", "l")), [60, 90], 72),
        (("946", "ml"), ("946", "ml"), (("1", "ml"),), [1], Fraction("0.48")),
    ],
)
def test_it_holds_in_other_numbers_too(ground, coordinator, mix, product, used, products_ml, acid_g):
    """A product of 480 g a.e./L: by hand, product = product in the batch x used / mix; acid = product x 480 g/L."""
    active = coordinator.does("active_ingredient", "create", name="glyphosate", form="acid").record.id
    stated = {"active_ingredient": str(active), "ae": {"value": "480", "unit": "g_l"}}
    told = {"name": "480 g a.e./L", "formulation": "salt", "carriers": ["water"], "ingredients": [stated]}
    salt = coordinator.does("product", "create", **told).record.id
    volume = dict(zip(("value", "unit"), product, strict=True))
    mixed = dict(zip(("value", "unit"), mix, strict=True))
    batch, session = ground.batch(mix=mixed, parts=[{"product": str(salt), "volume": volume}]), ground.session()

    lines = [
        ground.line(session, batch, "1", mix=dict(zip(("value", "unit"), each, strict=True))).products[0]
        for each in used
    ]

    assert [Fraction(line["nl"], 10**6) for line in lines] == products_ml
    assert sum(line["actives"][0]["ae_ug"] for line in lines) == acid_g * 10**6


def test_a_tank_mix_gives_a_row_for_each_product(ground):
    lines, _ = drawn(ground, "32", **tank_mix(ground))

    rows = {row.product_nl for row in ProductUse.objects.filter(application=lines[0])}
    assert [round(Fraction(nl * 128, GAL), 6) for nl in sorted(rows)] == [Fraction("1.6"), Fraction("6.4")]
    assert ActiveUse.objects.filter(application=lines[0]).count() == 2


def test_what_a_label_does_not_say_stays_unknown(ground):
    lines, _ = drawn(ground, "64", **tank_mix(ground))

    ester, salt = (product["actives"][0] for product in lines[0].products)
    assert ester["ae_ug"] is not None
    assert salt["ae_ug"] is None
    assert round(Fraction(salt["ai_ug"], LB), 8) == Fraction("0.05")  # 3.2 fl oz of 2 lb a.i./gal
    assert list(ActiveUse.objects.filter(ae_ug=None).values_list("ai_ug", flat=True)) == [salt["ai_ug"]]


def test_the_line_that_empties_the_batch_takes_all_product_that_is_left(ground):
    """A third of 10 nL three times is 3 + 3 + 4: nothing is lost to rounding."""
    parts = [{"product": str(ground.product), "volume": {"value": "0.00001", "unit": "ml"}}]
    third = {"value": "0.00001", "unit": "ml"}
    batch, session = ground.batch(mix={"value": "0.00003", "unit": "ml"}, parts=parts), ground.session()

    nl = [ground.line(session, batch, "1", mix=third).products[0]["nl"] for _ in range(3)]

    assert nl == [3, 3, 4]


# -- more than there is --------------------------------------------------------------------------


def test_more_than_is_left_is_refused_and_takes_nothing(ground):
    lines, batch = drawn(ground, "40")

    with pytest.raises(BatchOverdrawn) as refused:
        ground.line(lines[0].session_id, batch.id, "25")

    assert (refused.value.code, refused.value.where) == ("batch_overdrawn", "mix")
    assert Batch.objects.get(id=batch.id).used_nl == batch.used_nl


def test_more_than_is_left_is_held_when_it_is_pushed_and_what_fits_is_taken(ground, coordinator):
    batch, session = ground.batch(), ground.session()
    told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "method": "cut_stump"}

    taken = coordinator.pushes(
        *(
            sent("application", "create", told | {"mix": fl_oz(each), "how_known": "measured"})
            for each in ("40", "25", "24")
        )
    )

    assert [result["outcome"] for result in taken.results] == ["applied", "held", "applied"]
    assert taken.results[1]["code"] == "batch_overdrawn"
    assert Batch.objects.get(id=batch).left_nl == 0


def test_a_gallon_gives_128_ounces_though_each_was_rounded_up(ground):
    """128 rounded fluid ounces exceed a gallon by 56 nL: the last takes what is left and keeps its text."""
    parts = [{"product": str(ground.product), "volume": {"value": "0.2", "unit": "gal"}}]
    batch, session = ground.batch(mix={"value": "1", "unit": "gal"}, parts=parts), ground.session()
    told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "method": "cut_stump"}
    ounce = told | {"mix": fl_oz("1"), "how_known": "measured"}

    taken = ground.coordinator.pushes(*(sent("application", "create", ounce) for _ in range(129)))

    outcomes = [result["outcome"] for result in taken.results]
    last = Application.objects.get(id=taken.results[127]["id"])
    assert outcomes == ["applied"] * 128 + ["held"]
    assert (last.mix_value, last.mix_nl) == ("1", FL_OZ - 56)
    assert Batch.objects.get(id=batch).used_nl == GAL
    assert sum(ProductUse.objects.values_list("product_nl", flat=True)) == round(Fraction(GAL, 5))


def test_an_empty_batch_gives_nothing_not_even_by_rounding(ground):
    lines, batch = drawn(ground, "64")

    with pytest.raises(BatchOverdrawn):
        ground.line(lines[0].session_id, batch.id, "1", mix={"value": "0.000001", "unit": "ml"})


def test_the_slack_is_a_nanolitre_for_each_entry_and_no_more(ground):
    parts = [{"product": str(ground.product), "volume": {"value": "10", "unit": "ml"}}]
    batch, session = ground.batch(mix={"value": "100", "unit": "ml"}, parts=parts), ground.session()
    ground.line(session, batch, "1", mix={"value": "50", "unit": "ml"})

    with pytest.raises(BatchOverdrawn):
        ground.line(session, batch, "1", mix={"value": "50.000003", "unit": "ml"})
    taken = ground.line(session, batch, "1", mix={"value": "50.000002", "unit": "ml"})

    assert (taken.mix_nl, taken.mix_value, taken.products[0]["nl"]) == (50_000_000, "50.000002", 5_000_000)


# -- what cannot be read -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "pointer", "code"),
    [
        ({"mix": {"value": "1000000000", "unit": "gal"}}, "/mix", "amount_absurd"),
        ({"mix": {"value": "-5", "unit": "fl_oz"}}, "/mix", "amount_negative"),
        ({"mix": {"value": "0", "unit": "fl_oz"}}, "/mix", "amount_not_positive"),
        ({"mix": {"value": "5", "unit": "bag"}}, "/mix", "unit_unknown"),
        ({"mix": {"value": "5", "unit": "oz"}}, "/mix", "unit_wrong_dimension"),
        ({"stems": 0}, "/stems", "value_invalid"),
        ({"stems": -3}, "/stems", "value_invalid"),
        ({"stems": 1_000_001}, "/stems", "value_invalid"),
        ({"stems": 2.5}, "/stems", "value_invalid"),
        ({"area": {"value": "0", "unit": "acre"}}, "/area", "amount_not_positive"),
        ({"area": {"value": "300000", "unit": "acre"}}, "/area", "amount_absurd"),
        ({"method": "pulling"}, "/method", "value_invalid"),
        ({"how_known": "felt"}, "/how_known", "value_invalid"),
        ({"colour": "red"}, "/colour", "field_unknown"),
    ],
    ids=str,
)
def test_a_line_that_cannot_be_read_says_where(ground, values, pointer, code):
    batch, session = ground.batch(), ground.session()

    with pytest.raises(Unreadable) as refused:
        ground.line(session, batch, "5", **values)

    assert [(each["pointer"], each["code"]) for each in refused.value.facts["errors"]] == [(pointer, code)]
    assert Batch.objects.get(id=batch).lines == 0


@pytest.mark.parametrize("field", ["session", "batch", "species", "unit"])
def test_a_line_of_something_unknown_is_refused_and_says_of_what(ground, stranger, field):
    values = {"session": ground.session(), "batch": ground.batch()} | {field: stranger.member.id}
    session, batch = values.pop("session"), values.pop("batch")

    with pytest.raises(Unavailable) as refused:
        ground.line(session, batch, "5", **values)

    assert refused.value.where == field


def test_a_unit_of_another_property_is_refused(ground, coordinator):
    far = coordinator.does("property", "create", name="Far Field").record.id
    unit = coordinator.does("unit", "create", property=far, name="Slope").record.id
    session, batch = ground.session(), ground.batch()
    line = ground.line(session, batch, "5", unit=ground.other_unit)

    with pytest.raises(UnitElsewhere) as refused:
        ground.line(session, batch, "5", unit=unit)
    with pytest.raises(UnitElsewhere):
        coordinator.does("application", "amend", id=line.id, reason="misread", unit=unit)

    assert (refused.value.code, refused.value.where) == ("unit_elsewhere", "unit")
    assert "Slope" in str(refused.value)
    assert (line.unit_id, line.property_id) == (ground.other_unit, ground.property)


# -- correcting ----------------------------------------------------------------------------------


def test_an_amendment_restates_its_own_line_alone(ground, coordinator):
    (first, second), batch = drawn(ground, "25", "15")

    amended = coordinator.does("application", "amend", id=first.id, reason="misread", mix=fl_oz("20")).record

    assert round(Fraction(amended.products[0]["nl"] * 128, GAL), 6) == 4
    assert Application.objects.get(id=second.id).products == second.products
    assert Application.objects.get(id=second.id).rev == 1
    assert round(Fraction(Batch.objects.get(id=batch.id).left_nl * 128, GAL), 6) == 29
    assert ProductUse.objects.get(application=first).product_nl == amended.products[0]["nl"]


def test_the_same_amount_in_other_words_restates_nothing(ground, coordinator):
    (line, _), _ = drawn(ground, "25", "39")

    amended = coordinator.does("application", "amend", id=line.id, reason="tidier", mix=fl_oz("25.0")).record

    assert (amended.mix_value, amended.mix_nl, amended.products) == ("25.0", line.mix_nl, line.products)


def test_an_amendment_beyond_what_is_left_is_refused_and_changes_nothing(ground, coordinator):
    (line, _), batch = drawn(ground, "25", "15")

    with pytest.raises(BatchOverdrawn):
        coordinator.does("application", "amend", id=line.id, reason="misread", mix=fl_oz("49.1"))

    assert Application.objects.get(id=line.id).mix_value == "25"
    assert Batch.objects.get(id=batch.id).used_nl == batch.used_nl


def test_an_area_is_stated_and_taken_back(ground, coordinator):
    (line,), _ = drawn(ground, "25")
    acre = {"value": "0.25", "unit": "acre"}

    stated = coordinator.does("application", "amend", id=line.id, reason="measured", area=acre).record
    square_mm, text = stated.area_mm2, stated.area_value
    bare = coordinator.does("application", "amend", id=line.id, reason="not measured", area=None).record

    assert (square_mm, text) == (1_011_714_106, "0.25")  # a quarter of 43,560 sq ft of (0.3048 m)^2
    assert (bare.area_mm2, bare.area_value, bare.area_unit) == (None, None, None)


def test_voiding_gives_back_mix_and_product_and_takes_the_line_out_of_the_sums(ground, coordinator):
    (line, _), batch = drawn(ground, "25", "39")

    coordinator.does("application", "void", id=line.id, reason="typed twice")
    coordinator.does("application", "void", id=line.id, reason="typed twice")

    after = Batch.objects.get(id=batch.id)
    assert (after.left_nl, after.lines) == (line.mix_nl, 1)
    assert batch.used_parts[0] - after.used_parts[0] == line.products[0]["nl"]
    assert not ProductUse.objects.filter(application=line).exists()
    assert not ActiveUse.objects.filter(application=line).exists()


def test_a_voided_line_is_not_corrected_and_comes_back_whole(ground, coordinator):
    (line, _), batch = drawn(ground, "25", "39")
    coordinator.does("application", "void", id=line.id, reason="typed twice")

    with pytest.raises(AlreadyVoided):
        coordinator.does("application", "amend", id=line.id, reason="misread", stems=3)
    back = coordinator.does("application", "reinstate", id=line.id, reason="it was real").record
    with pytest.raises(NotVoided):
        coordinator.does("application", "reinstate", id=line.id, reason="it was real")

    assert (back.mix_nl, back.products) == (line.mix_nl, line.products)
    assert Batch.objects.get(id=batch.id).left_nl == 0
    assert ProductUse.objects.filter(application=line).count() == 1


def test_a_line_is_not_reinstated_into_a_batch_that_was_used_up_meanwhile(ground, coordinator):
    (line,), batch = drawn(ground, "40")
    coordinator.does("application", "void", id=line.id, reason="typed twice")
    ground.line(line.session_id, batch.id, "30")

    with pytest.raises(BatchOverdrawn):
        coordinator.does("application", "reinstate", id=line.id, reason="it was real")


def test_the_database_refuses_a_line_of_nothing(ground):
    drawn(ground, "5")

    with pytest.raises(IntegrityError, match="an_application_uses_something"), connection.cursor() as cursor:
        cursor.execute("UPDATE treatments_application SET mix_nl = 0")
