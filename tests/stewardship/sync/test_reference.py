"""The reference files: every row cited, every identifier well formed, loaded once."""

import re
from collections import Counter
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from stewardship.catalog.models import ActiveIngredient, Limit, Product, Reference, RuleProfile, Species
from stewardship.credentials.models import CredentialType
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book
from stewardship.rules.figures import from_exact_text
from stewardship.rules.identifiers import check_identifier
from stewardship.sync import reference
from stewardship.sync.models import Mutation
from stewardship.sync.reference import FILES, FOLDER, NoCoordinator, load_reference, reference_id, reference_rows
from stewardship.workdays.models import Practice
from tests.cast import AT
from tests.published import published, within_print

MODELS: tuple[type[Reference], ...] = (Species, ActiveIngredient, Product, Limit, RuleProfile, Practice, CredentialType)
TYPES = [type for type, _ in FILES]
EVERY_ROW = [pytest.param(row, id=f"{type}:{row['reference_key']}") for type in TYPES for row in reference_rows(type)]

PLAIN_WORDS = {
    "glyphosate", "triclopyr", "imazapyr", "aminopyralid", "picloram", "fosamine", "isopropylamine",
    "triisopropanolamine", "potassium", "ammonium", "salt", "ester", "amine", "acid", "aquatic", "in", "oil", "ready",
    "to", "use", "lb", "gal", "a", "i", "e",
}  # fmt: skip
"""The words that a product is described with; anything else could be a brand."""


@pytest.fixture
def loaded(db, cast):
    load_reference(cast.group.id, at=AT)
    return cast.group


# -- the files -------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", EVERY_ROW)
def test_every_row_has_a_source_and_a_key(row):
    assert row["source"].strip()
    assert re.fullmatch(r"[a-z0-9-]+", row["reference_key"])


@pytest.mark.parametrize("type", TYPES)
def test_the_keys_of_a_file_are_unique(type):
    assert set(Counter(row["reference_key"] for row in reference_rows(type)).values()) == {1}


@pytest.mark.parametrize(("type", "name"), FILES)
def test_every_file_says_first_what_in_it_is_not_verified(type, name):
    about = reference.orjson.loads((FOLDER / name).read_bytes())["about"]

    assert len(about) >= 2
    assert type in ("product", "limit") or "from memory" in " ".join(about)


@pytest.mark.parametrize("row", reference_rows("species"), ids=lambda row: row["reference_key"])
def test_the_identifiers_of_species_are_well_formed(row):
    check_identifier("usda_symbol", row["usda_symbol"])
    check_identifier("eppo_code", row["eppo_code"])
    assert re.fullmatch(r"[A-Z][a-z]+ [a-z]+", row["scientific_name"])
    assert row["usda_symbol"][:2] in {
        f"{name[0]}{name[1]}".upper() for name in (row["scientific_name"], *row.get("synonyms", []))
    }
    assert row["itis_tsn"] is None or row["itis_tsn"] > 0


@pytest.mark.parametrize("field", ["scientific_name", "usda_symbol", "eppo_code", "itis_tsn"])
def test_no_two_species_share_an_identifier(field):
    stated = [row[field] for row in reference_rows("species") if row[field]]

    assert len(stated) == len(set(stated))


@pytest.mark.parametrize("row", reference_rows("active_ingredient"), ids=lambda row: row["reference_key"])
def test_the_registry_numbers_of_active_ingredients_check(row):
    check_identifier("cas", row["cas"])


@pytest.mark.parametrize("row", reference_rows("product"), ids=lambda row: row["reference_key"])
def test_a_product_is_described_in_plain_words_under_an_invented_number(row):
    words = set(re.findall(r"[a-z]+", row["name"].lower()))

    assert words <= PLAIN_WORDS
    assert row["registration_no"].startswith("99990-")
    assert "invented" in row["source"]


def test_a_cut_stump_range_whose_author_and_basis_nobody_knows_is_not_shipped():
    """Cut-stump 5-15 % rests on an authorless hand-out and mixes product with active ingredient."""
    stumps = [row for row in reference_rows("limit") if (row["what"], row.get("method")) == ("strength", "cut_stump")]

    assert stumps
    assert not [row for row in stumps if row["low"] in ("5", "10") or row["high"] == "15"]


def test_published_limits_that_disagree_stand_side_by_side():
    waits = [row for row in reference_rows("limit") if row["what"] == "cut_to_treat"]

    assert {(row["high"], row["unit"]) for row in waits} >= {("30", "s"), ("1", "min"), ("2", "h"), ("24", "h")}
    assert len({row["source"] for row in waits}) >= 4


# -- loading ---------------------------------------------------------------------------------------


def test_every_row_becomes_a_record_of_the_group(loaded):
    for (type, _), model in zip(FILES, MODELS, strict=True):
        keys = {row["reference_key"] for row in reference_rows(type)}
        records = model.objects.filter(group=loaded.id)
        assert {record.reference_key for record in records} == keys
        assert all(record.source for record in records)
        assert {record.id for record in records} == {reference_id(loaded.id, type, key) for key in keys}


def test_loading_twice_changes_nothing(loaded):
    before = Book.objects.get(group=loaded.id).head, Mutation.objects.count()

    assert load_reference(loaded.id, at=AT + timedelta(days=1)) == 0

    assert (Book.objects.get(group=loaded.id).head, Mutation.objects.count()) == before


def test_what_the_group_has_amended_stays_amended(loaded, coordinator):
    id = reference_id(loaded.id, "species", "rhamnus-cathartica")
    coordinator.does("species", "amend", id=id, common_name="our buckthorn")

    load_reference(loaded.id, at=AT)

    assert Species.objects.get(id=id).common_name == "our buckthorn"


def test_only_new_rows_are_added(loaded, monkeypatch):
    new = {"reference_key": "planta-nova", "scientific_name": "Planta nova", "source": "invented"}
    changed = reference_rows("species")[0] | {"common_name": "another name"}
    files = {"species": [changed, new]}
    monkeypatch.setattr(reference, "reference_rows", lambda type: files.get(type, []))

    assert load_reference(loaded.id, at=AT) == 1

    assert Species.objects.filter(reference_key="planta-nova").count() == 1
    assert not Species.objects.filter(common_name="another name").exists()


def test_two_groups_have_rows_of_their_own(loaded, stranger):
    load_reference(stranger.group_id, at=AT)

    assert Species.objects.filter(reference_key="rosa-multiflora").count() == 2


def test_the_names_between_rows_become_ids(loaded):
    knotweed = Species.objects.get(reference_key="reynoutria-japonica")
    ester = Product.objects.get(reference_key="triclopyr-bee-4")

    ceilings = Limit.objects.filter(what="area_year_ceiling")

    assert {limit.species_id for limit in ceilings} == {knotweed.id}
    active = ActiveIngredient.objects.get(reference_key="triclopyr-bee")
    assert ester.ingredients[0]["active_ingredient"] == str(active.id)


def test_the_factors_of_the_reference_rows_are_the_published_ones(loaded):
    factors = {
        row["form_formula"]: row["factor"] for row in published("acid_equivalent_factors") if row["use"] == "test"
    }
    printed = ActiveIngredient.objects.filter(formula__in=factors)

    assert {"glyphosate-ipa", "glyphosate-k", "triclopyr-tea", "imazapyr-ipa", "aminopyralid-tipa"} <= {
        active.reference_key for active in printed
    }
    for active in printed:
        assert within_print(from_exact_text(active.ae_per_ai), factors[active.formula])


def test_unknown_label_facts_stay_unknown(loaded):
    def contents(key):
        [ingredient] = Product.objects.get(reference_key=key).ingredients
        return ingredient["ai_g_l"], ingredient["ae_g_l"]

    assert contents("triclopyr-tea-8-8") == (None, None)
    ai, ae = contents("fosamine-4")
    assert ae is None
    assert within_print(from_exact_text(ai), "479.3")


def test_a_group_without_a_coordinator_is_refused(db):
    with pytest.raises(NoCoordinator):
        load_reference(new_id(), at=AT)


def test_a_row_that_is_held_is_told(cast, monkeypatch):
    broken = {"reference_key": "broken", "scientific_name": "", "source": "none"}
    monkeypatch.setattr(reference, "reference_rows", lambda type: [broken] if type == "species" else [])

    with pytest.raises(reference.ReferenceHeld) as refused:
        load_reference(cast.group.id, at=AT)

    assert (refused.value.code, refused.value.count) == ("reference_held", 1)


def test_the_command_loads_one_group_or_all(cast, stranger):
    told = StringIO()
    call_command("load_reference", str(cast.group.id), stdout=told)
    call_command("load_reference", stdout=told)

    rows = sum(len(reference_rows(type)) for type in TYPES)
    assert told.getvalue().count(f"{rows} reference rows added") == 2
    assert told.getvalue().count(" 0 reference rows added") == 1


def test_the_command_says_what_went_wrong(db):
    with pytest.raises(CommandError, match="no coordinator"):
        call_command("load_reference", str(new_id()))
