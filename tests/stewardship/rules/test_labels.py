"""What follows from the facts of a label, against labels in print."""

from dataclasses import FrozenInstanceError, astuple
from fractions import Fraction

import pytest

from stewardship.rules.chemistry import acid_equivalent_factor
from stewardship.rules.labels import LabelFactOutOfRange, LabelFacts, completed
from stewardship.rules.strength import StrengthUnknowable, g_per_l, product_fraction
from tests.published import half_last_digit, printed_number, published, within_print

PERCENTS = published("acid_equivalent_percent")
VOLUMES = published("acid_equivalent_volume")
NOTHING_KNOWN = LabelFacts()


def rows(table, use):
    return [row for row in table if row["use"] == use]


def percent_ae(row):
    facts = LabelFacts(
        ai_percent_w_w=Fraction(row["ai_percent"]),
        ae_per_ai=acid_equivalent_factor(row["acid_formula"], row["form_formula"]),
    )
    return completed(facts).ae_percent_w_w


def in_a_volume(row):
    """Return what the printed figure should be, worked out from the given one through completed facts."""
    given_g_l = g_per_l(row["given"]) if row["given_unit"] == "lb_gal" else Fraction(row["given"])
    factor = acid_equivalent_factor(row["acid_formula"], row["form_formula"])
    facts = completed(LabelFacts(**{f"{row['given_of']}_g_per_l": given_g_l}, ae_per_ai=factor))
    found = getattr(facts, f"{row['printed_of']}_g_per_l")
    return found / g_per_l(1) if row["printed_unit"] == "lb_gal" else found


@pytest.mark.parametrize("row", rows(PERCENTS, "test"), ids=str)
def test_the_acid_in_a_labelled_percentage_is_what_is_printed(row):
    assert within_print(percent_ae(row), row["ae_percent"])


@pytest.mark.parametrize("row", rows(PERCENTS, "negative"), ids=str)
def test_a_wrong_acid_percentage_is_not_repeated(row):
    assert not within_print(percent_ae(row), row["ae_percent"])


def test_two_salts_in_one_product_add_up_to_the_acid_on_its_label():
    salts = [row for row in PERCENTS if row["id"] == "A15"]

    assert len(salts) == 2
    assert within_print(sum(percent_ae(row) for row in salts), "38.6")  # A15, specimen label of a mixed amine


def test_the_acid_of_22_6_per_cent_needs_27_7_per_cent_of_the_imazapyr_salt():
    factor = acid_equivalent_factor("C13H15N3O3", "C16H24N4O3")
    facts = completed(LabelFacts(ae_percent_w_w=Fraction("22.6"), ae_per_ai=factor))

    assert within_print(facts.ai_percent_w_w, "27.7")  # A13, computed


@pytest.mark.parametrize("row", rows(VOLUMES, "test"), ids=str)
def test_what_is_in_a_volume_is_what_is_printed(row):
    assert within_print(in_a_volume(row), row["printed"])


@pytest.mark.parametrize("row", rows(VOLUMES, "negative"), ids=str)
def test_what_a_label_rounds_or_contradicts_is_not_reproduced(row):
    assert not within_print(in_a_volume(row), row["printed"])


@pytest.mark.parametrize("row", published("label_density"), ids=str)
def test_per_cent_by_weight_and_density_give_the_printed_weight_in_a_gallon(row):
    percent = Fraction(row["percent"])
    facts = LabelFacts(ai_percent_w_w=percent, density_g_per_ml=g_per_l(row["density_lb_gal"]) / 1000)

    lb_gal = completed(facts).ai_g_per_l / g_per_l(1)

    printed_density = half_last_digit(row["density_lb_gal"]) * percent / 100
    tolerance = max(printed_density, half_last_digit(row["content_lb_gal"]) if row["id"] == "A09" else 0)
    assert abs(lb_gal - printed_number(row["content_lb_gal"])) <= tolerance


def test_pounds_in_a_gallon_do_not_follow_from_a_per_cent_without_a_density():
    retail = LabelFacts(ae_percent_w_w=Fraction("6.31"))  # A09

    assert completed(retail).ae_g_per_l is None
    with pytest.raises(StrengthUnknowable, match="acid equivalent in a volume of product is not known"):
        product_fraction("1", "ae_w_v", retail)


FACTOR, DENSITY = Fraction(3, 4), Fraction(6, 5)
WHOLE = LabelFacts(Fraction(40), Fraction(30), Fraction(480), Fraction(360), FACTOR, DENSITY)


@pytest.mark.parametrize("stated", ["ai_percent_w_w", "ae_percent_w_w", "ai_g_per_l", "ae_g_per_l"])
def test_one_content_with_factor_and_density_leads_to_all_four(stated):
    facts = LabelFacts(**{stated: getattr(WHOLE, stated)}, ae_per_ai=FACTOR, density_g_per_ml=DENSITY)

    assert completed(facts) == WHOLE


def test_without_a_factor_there_is_no_acid_and_without_a_density_no_volume():
    by_density = completed(LabelFacts(ai_percent_w_w=Fraction(40), density_g_per_ml=DENSITY))
    by_factor = completed(LabelFacts(ai_percent_w_w=Fraction(40), ae_per_ai=FACTOR))

    assert astuple(by_density) == (40, None, 480, None, None, DENSITY)
    assert astuple(by_factor) == (40, 30, None, None, FACTOR, None)


def test_stated_facts_that_disagree_are_both_kept():
    label = LabelFacts(ai_g_per_l=Fraction(480), ae_g_per_l=Fraction(356), ae_per_ai=FACTOR)

    assert completed(label) == label


def test_neither_factor_nor_density_is_derived_from_rounded_contents():
    label = LabelFacts(Fraction(41), Fraction("30.4"), Fraction(480), Fraction(356))

    assert completed(label) == label
    assert completed(NOTHING_KNOWN) == NOTHING_KNOWN


@pytest.mark.parametrize(
    ("fact", "least", "most"),
    [
        ("ai_percent_w_w", 0, 100),
        ("ae_percent_w_w", 0, 100),
        ("ai_g_per_l", 0, 3000),
        ("ae_g_per_l", 0, 3000),
        ("ae_per_ai", Fraction(1, 10**6), 1),
        ("density_g_per_ml", Fraction(1, 10**6), 3),
    ],
)
def test_a_label_fact_is_kept_at_both_edges_and_refused_past_them(fact, least, most):
    for edge in (least, most):
        assert getattr(LabelFacts(**{fact: Fraction(edge)}), fact) == edge
    for past in (least - Fraction(1, 10**6), most + Fraction(1, 10**6)):
        with pytest.raises(LabelFactOutOfRange, match="No product can have this") as caught:
            LabelFacts(**{fact: past})
        assert (caught.value.code, caught.value.where) == ("label_fact_out_of_range", fact)


@pytest.mark.parametrize("value", [41.0, 41, "41"])
def test_a_label_fact_is_a_fraction(value):
    with pytest.raises(TypeError):
        LabelFacts(ai_percent_w_w=value)


def test_label_facts_do_not_change():
    with pytest.raises(FrozenInstanceError):
        WHOLE.ae_per_ai = FACTOR


def test_facts_that_lead_to_more_acid_than_product_are_refused():
    with pytest.raises(
        LabelFactOutOfRange, match="per cent of active ingredient: it must be from 0 to 100 %"
    ) as caught:
        completed(LabelFacts(ae_percent_w_w=Fraction(50), ae_per_ai=Fraction("0.3")))

    assert caught.value.where == "ai_percent_w_w"
