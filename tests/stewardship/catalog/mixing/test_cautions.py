"""What is always said beside a mix, and what its contents call for."""

import re

import pytest

from stewardship.catalog.mixing.cautions import ALWAYS, BY_ACTIVE
from stewardship.catalog.models import Species
from tests.stewardship.catalog.mixing.shelves import (
    codes,
    ester,
    fl_oz,
    glyphosate,
    id_of,
    ingredient,
    part,
    planned,
    product,
)

JUDGING = re.compile(r"\b(allowed|go|safe|safely)\b", re.IGNORECASE)
HEAVEN = Species(
    id=id_of("heaven"), scientific_name="Ailanthus altissima", source="USDA PLANTS",
    cautions=[{"text": "Do not cut it first.", "source": "Rutgers Plant & Pest Advisory"}],
    look_alikes=[{"name": "Rhus typhina", "differs": "No glands on the leaflets.", "source": ""}],
)  # fmt: skip


def cautions(stuff, percent="20", **body):
    return planned(stuff, make=fl_oz("64"), parts=[part(stuff, percent)], **body)["cautions"]


def text_of(told, code):
    return [each["text"] for each in told if each["code"] == code]


def test_the_usual_cautions_stand_first_on_every_mix():
    assert codes(cautions(glyphosate(aquatic=True))) == [
        "label_is_law", "reference_not_advice", "local_rules", "restricted_products", "ppe_for_this_task",
    ]  # fmt: skip


def test_every_caution_has_words_and_a_source():
    told = cautions(ester(restricted_use=True, ppe_mixing="Goggles.", signal_word="danger"), species=HEAVEN)

    assert all(each["text"].strip() and each["source"].strip() for each in told)
    assert len(told) == len({each["text"] for each in told})


def test_no_caution_judges():
    told = [text for _, text, _ in ALWAYS] + [text for each in BY_ACTIVE.values() for _, text, _ in each]
    told += [each["text"] for each in cautions(ester(restricted_use=True, ppe_mixing="Goggles."), species=HEAVEN)]

    assert not [text for text in told if JUDGING.search(text)]


def test_an_ester_is_told_apart_in_heat():
    assert text_of(cautions(ester()), "ester_in_heat")
    assert not text_of(cautions(glyphosate()), "ester_in_heat")


def test_what_is_not_marked_as_aquatic_keeps_away_from_water():
    assert text_of(cautions(glyphosate()), "near_water")
    assert not text_of(cautions(glyphosate(aquatic=True)), "near_water")


@pytest.mark.parametrize("name", ["imazapyr", "aminopyralid", "triclopyr", "Triclopyr "])
def test_what_passes_through_roots_is_said(name):
    stuff = product("stuff", ingredient(name) | {"name": name})

    [text] = text_of(cautions(stuff), "root_transfer")

    assert text.startswith(name)


def test_what_passes_through_no_roots_is_not_said_to():
    assert not text_of(cautions(glyphosate()), "root_transfer")


@pytest.mark.parametrize("name", ["aminopyralid", "clopyralid", "picloram"])
def test_what_persists_in_compost_is_said(name):
    assert text_of(cautions(product("stuff", ingredient(name))), "no_compost")


def test_an_undiluted_product_is_called_a_concentrate():
    ready = ester(carriers=["none"])

    assert text_of(cautions(ready, "100"), "undiluted")
    assert not text_of(cautions(ester()), "undiluted")


def test_the_mixing_gear_and_signal_word_of_the_product_are_cited_from_its_label():
    told = cautions(ester(ppe_mixing="Goggles.", signal_word="danger_poison"))

    assert text_of(told, "ppe_mixing") == ["For mixing ester: Goggles."]
    assert text_of(told, "signal_word") == ["Signal word of ester: DANGER/POISON."]
    assert {each["source"] for each in told if each["code"] in ("ppe_mixing", "signal_word")} == {
        "Label of ester, invented"
    }


def test_a_restricted_product_is_called_so():
    assert text_of(cautions(ester(restricted_use=True)), "restricted_use")
    assert not text_of(cautions(ester()), "restricted_use")


def test_a_species_brings_its_own_cautions_and_look_alikes():
    told = cautions(ester(), species=HEAVEN)

    assert text_of(told, "species") == ["Do not cut it first."]
    assert text_of(told, "look_alike") == [
        "Native look-alike of Ailanthus altissima: Rhus typhina. No glands on the leaflets."
    ]
    assert told[-1]["source"] == "USDA PLANTS"


def test_two_products_with_one_caution_say_it_once():
    one, other = glyphosate(), glyphosate()
    other.id, other.name = id_of("other"), "glyphosate again"
    other.ingredients = [ingredient("imazapyr")]
    one.ingredients = [ingredient("imazapyr")]

    answer = planned(one, other, make=fl_oz("64"), parts=[part(one, "2"), part(other, "2")])

    assert len(text_of(answer["cautions"], "root_transfer")) == 1
