"""The catalogue is entered, corrected and retired; each refusal has its test."""

from fractions import Fraction

import pytest

from stewardship.catalog.labels import ingredient_snapshot, label_facts
from stewardship.catalog.models import ActiveIngredient, Product, ProductIngredient, Species
from stewardship.errors import NotPermitted, RuleViolation, Unavailable, Unreadable
from stewardship.journal.ids import new_id
from stewardship.rules.figures import from_exact_text
from stewardship.rules.strength import g_per_l
from tests.cast import AT, sent
from tests.published import published, within_print
from tests.stewardship.catalog.entries import (
    FOSAMINE,
    GLYPHOSATE_IPA,
    TRICLOPYR_ESTER,
    active,
    code_of,
    ester,
    pointers,
    product,
)

pytestmark = pytest.mark.django_db

BUCKTHORN = {
    "scientific_name": "Rhamnus cathartica", "common_name": "common buckthorn", "growth_form": "shrub",
    "usda_symbol": "RHCA3", "itis_tsn": 28573, "eppo_code": "RHACT",
    "look_alikes": [{"name": "Prunus americana", "differs": "leaf stalks with glands", "source": "from memory"}],
}  # fmt: skip


# -- species ---------------------------------------------------------------------------------------


def test_a_coordinator_enters_and_corrects_a_species(coordinator):
    species = coordinator.does("species", "create", **BUCKTHORN).record

    coordinator.does("species", "amend", id=species.id, common_name="European buckthorn")

    kept = Species.objects.get(id=species.id)
    assert (kept.common_name, kept.eppo_code, kept.rev) == ("European buckthorn", "RHACT", 2)
    assert kept.look_alikes == BUCKTHORN["look_alikes"]


@pytest.mark.parametrize(
    ("field", "value"),
    [("usda_symbol", "RHC"), ("usda_symbol", "rhca3"), ("eppo_code", "RHACTA"), ("eppo_code", "1RHAG")],
)
def test_a_malformed_identifier_is_refused(coordinator, field, value):
    with pytest.raises(Unreadable) as refused:
        coordinator.does("species", "create", **(BUCKTHORN | {field: value}))

    assert pointers(refused) == [(f"/{field}", "identifier_malformed")]
    assert not Species.objects.exists()


def test_a_serial_number_is_a_positive_whole_number(coordinator):
    with pytest.raises(Unreadable) as refused:
        coordinator.does("species", "create", **(BUCKTHORN | {"itis_tsn": 0}))

    assert pointers(refused) == [("/itis_tsn", "value_invalid")]


@pytest.mark.parametrize("who", ["volunteer", "reviewer"])
@pytest.mark.parametrize("op", ["create", "amend", "retire", "reinstate"])
def test_only_a_coordinator_changes_the_catalogue(cast, coordinator, who, op):
    species = coordinator.does("species", "create", **BUCKTHORN).record
    values = BUCKTHORN if op == "create" else {}

    with pytest.raises(NotPermitted):
        getattr(cast, who).does("species", op, id=None if op == "create" else species.id, **values)


def test_a_retired_row_stays_and_comes_back(coordinator):
    species = coordinator.does("species", "create", **BUCKTHORN).record

    coordinator.does("species", "retire", id=species.id)
    again = coordinator.does("species", "retire", id=species.id)

    assert Species.objects.get(id=species.id).retired_at == AT
    assert again.result["outcome"] == "noop"
    coordinator.does("species", "reinstate", id=species.id)
    assert Species.objects.get(id=species.id).retired_at is None


# -- active ingredients ----------------------------------------------------------------------------


@pytest.mark.parametrize("row", [r for r in published("acid_equivalent_factors") if r["use"] == "test"], ids=str)
def test_the_acid_in_a_gram_follows_from_the_two_formulas(coordinator, row):
    formulas = {"acid_formula": row["acid_formula"], "formula": row["form_formula"]}

    kept = coordinator.does("active_ingredient", "create", name="acid", form="its form", **formulas).record

    assert within_print(from_exact_text(kept.ae_per_ai), row["factor"])


def test_without_a_formula_of_the_acid_its_equivalent_stays_unknown(coordinator):
    kept = coordinator.does("active_ingredient", "create", **FOSAMINE).record

    assert kept.ae_per_ai == ""


def test_an_acid_heavier_than_its_salt_is_refused(coordinator):
    swapped = {"acid_formula": "C6H17N2O5P", "formula": "C3H8NO5P"}

    with pytest.raises(RuleViolation) as refused:
        active(coordinator, **(GLYPHOSATE_IPA | swapped))

    assert code_of(refused) == "acid_too_heavy"
    assert not ActiveIngredient.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("formula", "C6H17N2O5X", "element_unknown"),
        ("formula", "6HC", "formula_unreadable"),
        ("cas", "1071-83-7", "identifier_malformed"),
        ("acids", 0, "value_invalid"),
    ],
)
def test_a_malformed_active_ingredient_is_refused(coordinator, field, value, code):
    with pytest.raises(Unreadable) as refused:
        active(coordinator, **(GLYPHOSATE_IPA | {field: value}))

    assert pointers(refused) == [(f"/{field}", code)]


def test_a_corrected_formula_corrects_the_products_that_hold_it(coordinator):
    wrong = {**GLYPHOSATE_IPA, "formula": "C3H8NO5P"}
    id = active(coordinator, **wrong)
    held = product(coordinator, ingredients=[{"active_ingredient": id, "ai": {"value": "480", "unit": "g_l"}}])
    assert held.ingredients[0]["ae_g_l"] == "480"

    coordinator.does("active_ingredient", "amend", id=id, formula="C6H17N2O5P")

    kept = Product.objects.get(id=held.id)
    assert within_print(from_exact_text(kept.ingredients[0]["ae_g_l"]), "355.7")
    assert kept.rev == 2


def test_a_correction_in_the_same_push_reaches_a_product_that_it_just_entered(coordinator):
    id, product_id = str(new_id()), str(new_id())
    stated = [{"active_ingredient": id, "ai": {"value": "480", "unit": "g_l"}}]

    coordinator.pushes(
        sent("active_ingredient", "create", {"id": id, "name": "glyphosate", "form": "isopropylamine salt"}),
        sent("product", "create", {"id": product_id, "name": "p", "formulation": "salt", "ingredients": stated}),
        sent("active_ingredient", "amend", {"acid_formula": "C3H8NO5P", "formula": "C6H17N2O5P"}, id=id),
    )

    assert from_exact_text(Product.objects.get(id=product_id).ingredients[0]["ae_g_l"]) > 355


# -- products --------------------------------------------------------------------------------------


def test_a_product_keeps_what_its_label_prints_and_what_follows_from_it(coordinator):
    kept = ester(coordinator)

    [ingredient] = kept.ingredients
    assert ingredient["ae"] == {"value": "4", "unit": "lb_gal"}
    assert from_exact_text(ingredient["ae_g_l"]) == g_per_l(4)
    assert within_print(from_exact_text(ingredient["ae_g_l"]), "479.3")
    assert within_print(from_exact_text(ingredient["ai_g_l"]) / g_per_l(1), "5.562")  # 4 / (256.46 / 356.63)
    assert ingredient["ai_percent_w_w"] is None


def test_the_snapshot_of_a_product_is_what_a_batch_keeps(coordinator):
    kept = ester(coordinator)

    [snapshot] = ingredient_snapshot(Product.objects.get(id=kept.id))

    assert snapshot.keys() == {"active_ingredient", "name", "ai_g_l", "ae_g_l"}
    assert snapshot["name"] == "triclopyr"
    assert from_exact_text(snapshot["ae_g_l"]) == g_per_l(4)


def test_per_cent_by_weight_alone_leaves_the_weight_in_a_litre_unknown(coordinator):
    """A retail 8.8 % amine: lb/gal is not derivable without its density (UF/IFAS Monroe County treatment sheet)."""
    id = active(coordinator, name="triclopyr", form="triethylamine salt", acid_formula="C7H4Cl3NO3",
                formula="C13H19Cl3N2O3")  # fmt: skip

    kept = product(coordinator, ingredients=[{"active_ingredient": id, "ai_percent_w_w": "8.8"}])

    [ingredient] = kept.ingredients
    assert (ingredient["ai_g_l"], ingredient["ae_g_l"]) == (None, None)
    facts = label_facts(kept, ingredient)
    assert facts.ae_g_per_l is None
    assert within_print(facts.ae_percent_w_w, "6.31")


def test_a_density_makes_the_weight_in_a_litre_known(coordinator):
    id = active(coordinator, **GLYPHOSATE_IPA)
    kept = product(coordinator, ingredients=[{"active_ingredient": id, "ai_percent_w_w": "41.0"}])

    coordinator.does("product", "amend", id=kept.id, density={"value": "1.17", "unit": "g_ml"})

    [ingredient] = Product.objects.get(id=kept.id).ingredients
    assert from_exact_text(ingredient["ai_g_l"]) == Fraction("479.7")
    coordinator.does("product", "amend", id=kept.id, density=None)
    assert Product.objects.get(id=kept.id).ingredients[0]["ai_g_l"] is None


def test_without_acid_equivalent_it_stays_unknown(coordinator):
    id = active(coordinator, **FOSAMINE)

    kept = product(coordinator, ingredients=[{"active_ingredient": id, "ai": {"value": "4", "unit": "lb_gal"}}])

    assert kept.ingredients[0]["ae_g_l"] is None
    assert from_exact_text(kept.ingredients[0]["ai_g_l"]) == g_per_l(4)


def test_the_rows_of_a_product_name_its_active_ingredients(coordinator):
    kept = ester(coordinator)
    other = active(coordinator, **GLYPHOSATE_IPA)

    coordinator.does("product", "amend", id=kept.id, ingredients=[{"active_ingredient": other}])

    rows = ProductIngredient.objects.filter(product=kept.id)
    assert [str(row.active_ingredient_id) for row in rows] == [other]


def test_an_amended_name_leaves_the_label_facts_alone(coordinator):
    kept = ester(coordinator)

    coordinator.does("product", "amend", id=kept.id, name="another description")

    assert Product.objects.get(id=kept.id).ingredients == kept.ingredients


def test_one_active_ingredient_stands_once_in_a_product(coordinator):
    id = active(coordinator, **GLYPHOSATE_IPA)

    with pytest.raises(RuleViolation) as refused:
        product(coordinator, ingredients=[{"active_ingredient": id}, {"active_ingredient": id}])

    assert code_of(refused) == "ingredient_twice"


def test_a_product_names_at_least_one_active_ingredient(coordinator):
    with pytest.raises(Unreadable) as refused:
        product(coordinator, ingredients=[])

    assert pointers(refused) == [("/ingredients", "value_invalid")]


def test_a_dry_product_has_no_weight_in_a_volume(coordinator):
    id = active(coordinator, **GLYPHOSATE_IPA)
    stated = [{"active_ingredient": id, "ai": {"value": "4", "unit": "lb_gal"}}]

    with pytest.raises(RuleViolation) as refused:
        product(coordinator, is_dry=True, ingredients=stated)

    assert code_of(refused) == "dry_product_by_volume"


@pytest.mark.parametrize(
    "stated",
    [
        {"ai": {"value": "3", "unit": "lb_gal"}, "ae": {"value": "4", "unit": "lb_gal"}},
        {"ai_percent_w_w": "30.4", "ae_percent_w_w": "41.0"},
    ],
)
def test_more_acid_than_active_is_refused(coordinator, stated):
    id = active(coordinator, **GLYPHOSATE_IPA)

    with pytest.raises(RuleViolation) as refused:
        product(coordinator, ingredients=[{"active_ingredient": id, **stated}])

    assert code_of(refused) == "acid_above_active"


def test_label_facts_that_no_product_can_have_are_refused(coordinator):
    id = active(coordinator, **GLYPHOSATE_IPA)

    with pytest.raises(RuleViolation) as refused:
        product(coordinator, ingredients=[{"active_ingredient": id, "ai_percent_w_w": "141.0"}])

    assert code_of(refused) == "label_fact_out_of_range"


@pytest.mark.parametrize(
    ("stated", "pointer", "code"),
    [
        ({"ai_percent_w_w": "41 %"}, "/ingredients/0/ai_percent_w_w", "number_unreadable"),
        ({"ai": {"value": "4", "unit": "lb"}}, "/ingredients/0/ai/unit", "value_invalid"),
        ({"ai": "4 lb/gal"}, "/ingredients/0/ai", "value_invalid"),
        ({"ai": {"value": "-4", "unit": "lb_gal"}}, "/ingredients/0/ai/value", "number_unreadable"),
    ],
)
def test_a_figure_that_is_not_as_labels_print_them_is_refused(coordinator, stated, pointer, code):
    id = active(coordinator, **GLYPHOSATE_IPA)

    with pytest.raises(Unreadable) as refused:
        product(coordinator, ingredients=[{"active_ingredient": id, **stated}])

    assert (pointer, code) in pointers(refused)


def test_an_unknown_active_ingredient_is_refused(coordinator):
    with pytest.raises(Unavailable):
        product(coordinator, ingredients=[{"active_ingredient": str(new_id())}])


def test_an_active_ingredient_of_another_group_is_refused_like_an_unknown_one(coordinator, stranger):
    with pytest.raises(Unavailable):
        product(coordinator, ingredients=[{"active_ingredient": active(stranger, **GLYPHOSATE_IPA)}])


def test_tank_mix_partners_are_products_of_the_group(coordinator):
    one, other = ester(coordinator), ester(coordinator)

    coordinator.does("product", "amend", id=one.id, compatible_with=[str(other.id)])

    assert Product.objects.get(id=one.id).compatible_with == [str(other.id)]
    with pytest.raises(Unavailable):
        coordinator.does("product", "amend", id=one.id, compatible_with=[str(new_id())])


def test_a_product_is_no_partner_of_its_own(coordinator):
    one = ester(coordinator)

    with pytest.raises(RuleViolation) as refused:
        coordinator.does("product", "amend", id=one.id, compatible_with=[str(one.id)])

    assert code_of(refused) == "compatible_with_itself"


NUMBERS = [
    ("99990101", "registration_no_without_hyphens", "hyphens"),
    ("099990-00101", "registration_no_leading_zeros", "write 99990-101"),
    ("12345-NY-1", "establishment_no", "not the product"),
    ("99990-10%", "registration_no_malformed", "such as 99990-101"),
    ("a" * 41, "registration_no_malformed", "such as 99990-101"),
]


@pytest.mark.parametrize(("number", "code", "hint"), NUMBERS)
@pytest.mark.parametrize("op", ["create", "amend"])
def test_a_mistaken_registration_number_is_refused_with_a_hint(coordinator, op, number, code, hint):
    whole = {"name": "an ester", "formulation": "ester", "ingredients": [{"active_ingredient": str(new_id())}]}
    told = {"create": whole, "amend": {}}[op] | {"registration_no": number}
    id = None if op == "create" else ester(coordinator, registration_no="99990-101").id

    with pytest.raises(Unreadable) as refused:
        coordinator.does("product", op, id=id, **told)

    assert pointers(refused) == [("/registration_no", code)]
    assert hint in refused.value.facts["errors"][0]["detail"]


def test_a_product_may_have_no_registration_number(coordinator):
    assert ester(coordinator).registration_no == ""


# -- both doors ------------------------------------------------------------------------------------


@pytest.mark.parametrize("type", ["species", "active_ingredient", "product", "limit"])
def test_a_device_is_told_the_same_codes(volunteer, coordinator, type):
    held = volunteer.pushes(sent(type, "retire", id=new_id())).results[0]
    unknown = coordinator.pushes(sent(type, "retire", id=new_id())).results[0]

    assert (held["outcome"], held["code"]) == ("held", "not_permitted")
    assert (unknown["outcome"], unknown["code"]) == ("held", "target_unavailable")


def test_entering_products_costs_the_same_number_of_statements(coordinator, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    id = active(coordinator, **TRICLOPYR_ESTER)
    told = {"formulation": "ester", "ingredients": [{"active_ingredient": id}]}

    with CaptureQueriesContext(connection) as single:
        coordinator.pushes(sent("product", "create", told | {"name": "p"}))
    with django_assert_num_queries(len(single)):
        coordinator.pushes(*(sent("product", "create", told | {"name": f"p {i}"}) for i in range(10)))
