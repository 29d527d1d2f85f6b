"""The catalogue's herbicides on pages: entered from a label, corrected, taken out of use and back."""

import pytest

from stewardship.catalog.models import ActiveIngredient, Product
from stewardship.journal.ids import new_id
from tests.stewardship.web.filling import Person as Browser
from tests.stewardship.web.pages import body, send

AT = "/mix/products/"


@pytest.fixture
def lead(pages):
    return pages.coordinator.signed_in()


@pytest.fixture
def label(pages):
    """Give what a label states: an amine of 3 lb a.e. in a gallon, 44.4 % by weight, in the ground's ingredient."""
    active = ActiveIngredient.objects.get(group_id=pages.cast.group.id)
    return {
        "name": "triclopyr amine 3 lb a.e./gal", "registration_no": "99990-777", "formulation": "amine",
        "carriers": ["water", "none"], "first_active": active.id, "first_percent": "44.4", "first_ae": "3",
        "first_ae_unit": "lb_gal", "first_ai_unit": "lb_gal", "second_ai_unit": "lb_gal", "second_ae_unit": "lb_gal",
        "signal_word": "danger", "restricted_use": "on", "ppe_mixing": "Goggles", "label_version": "3 of 2026",
    }  # fmt: skip


def test_a_product_is_entered_from_its_label_and_mixed_with(lead, pages, label):
    send(lead, f"{AT}new/", **label)
    product = Product.objects.get(registration_no="99990-777")
    shown = body(lead.get(AT))
    card = lead.get("/mix/card/", {"make": "1", "make_unit": "gal", "product": product.id, "strength": "50",
                                   "basis": "product_v_v", "carrier": "water"})  # fmt: skip

    (told,) = product.ingredients
    assert (product.carriers, product.restricted_use, product.signal_word) == (["water", "none"], True, "danger")
    assert (told["ai_percent_w_w"], told["ae"], told["ai"]) == ("44.4", {"value": "3", "unit": "lb_gal"}, None)
    assert "triclopyr amine 3 lb a.e./gal restricted use Registration 99990-777, label 3 of 2026" in shown
    assert "triclopyr, 44.4 % by weight, 3 lb/gal a.e." in shown
    assert "Pour in this order" in body(card)


def test_an_ingredient_that_is_not_listed_is_entered_with_it(lead, label):
    told = label | {"first_active": "new", "new_name": "fosamine", "new_form": "ammonium salt"}

    send(lead, f"{AT}new/", **told)

    active = ActiveIngredient.objects.get(name="fosamine")
    (named,) = Product.objects.get(registration_no="99990-777").ingredients
    assert named["active_ingredient"] == str(active.id)


def test_a_correction_changes_what_was_changed_and_nothing_else(lead, pages):
    before = Product.objects.get(id=pages.ground.product)

    browser = Browser(lead, f"{AT}{before.id}/")
    browser.fills("registration_no", registration_no="99990-778", reentry="48 hours")

    after = Product.objects.get(id=before.id)
    assert browser.at == AT
    assert (after.registration_no, after.reentry, after.rev) == ("99990-778", "48 hours", before.rev + 1)
    assert (after.ingredients, after.carriers, after.name) == (before.ingredients, before.carriers, before.name)


def test_one_with_many_ingredients_keeps_them_when_it_is_corrected(lead, pages):
    does = pages.coordinator.does
    forms = [
        does("active_ingredient", "create", name="imazapyr", form=form).record.id for form in ("acid", "salt", "x")
    ]
    parts = [{"active_ingredient": str(id), "ai_percent_w_w": "1"} for id in forms]
    product = does("product", "create", name="Three in one", formulation="other", ingredients=parts).record

    browser = Browser(lead, f"{AT}{product.id}/")
    told = body(browser.page)
    browser.fills("note", note="Seldom used")

    after = Product.objects.get(id=product.id)
    assert "more than two active ingredients" in told
    assert (after.note, after.ingredients) == ("Seldom used", product.ingredients)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"name": ""}, "Please fill this in."),
        ({"first_active": ""}, "Please fill this in."),
        ({"first_active": "new"}, "Please fill this in."),
        ({"first_percent": "a lot"}, "This was not recorded"),
        ({"first_percent": "144.4"}, "This was not recorded"),
        ({"first_ai": "2", "first_ae": "3"}, "This was not recorded"),
    ],
)
def test_what_no_label_can_state_is_refused_and_stays_on_the_page(lead, label, told, words):
    response = send(lead, f"{AT}new/", **label | told)

    assert response.status_code in (400, 409)
    assert words in body(response)
    assert 'value="99990-777"' in response.content.decode()
    assert not Product.objects.filter(registration_no="99990-777").exists()


def test_one_is_taken_out_of_use_and_back(lead, pages):
    address = f"{AT}{pages.ground.product}/"

    send(lead, f"{address}retire/")
    gone = (body(lead.get(AT)), body(lead.get("/mix/")))
    send(lead, f"{address}reinstate/")

    assert "Out of use triclopyr ester" in gone[0]
    assert "triclopyr ester" not in gone[1]
    assert "Out of use" not in body(lead.get(AT))
    assert send(lead, f"{address}forget/").status_code == 404
    assert send(lead, f"{AT}{new_id()}/retire/").status_code == 404
