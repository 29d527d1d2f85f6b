"""What the tests of the catalogue enter: invented products on published chemistry."""

from typing import Any

from tests.cast import Someone

TRICLOPYR_ESTER = {
    "name": "triclopyr", "form": "butoxyethyl ester", "acid_formula": "C7H4Cl3NO3", "formula": "C13H16Cl3NO4",
}  # fmt: skip
GLYPHOSATE_IPA = {
    "name": "glyphosate", "form": "isopropylamine salt", "acid_formula": "C3H8NO5P", "formula": "C6H17N2O5P",
}  # fmt: skip
FOSAMINE = {"name": "fosamine", "form": "ammonium salt", "formula": "C3H11N2O4P"}


def active(who: Someone, **values: Any) -> str:
    """Enter an active ingredient; return its id."""
    return str(who.does("active_ingredient", "create", **values).record.id)


def ester(who: Someone, **changes: Any):
    """Enter an ester with 4 lb acid equivalent in a gallon; return the product."""
    ingredient = {"active_ingredient": active(who, **TRICLOPYR_ESTER), "ae": {"value": "4", "unit": "lb_gal"}}
    return product(who, **{"ingredients": [ingredient], "formulation": "ester", "carriers": ["oil"], **changes})


def product(who: Someone, **values: Any):
    """Enter a product; return it."""
    stated = {"name": "a described product", "formulation": "salt", "carriers": ["water"], **values}
    return who.does("product", "create", **stated).record


def limit(who: Someone, **changes: Any):
    """Enter a limit on the strength of basal-bark mixes; return it."""
    values = {
        "what": "strength", "low": "10", "high": "20", "unit": "product_v_v", "method": "basal_bark", "carrier": "oil",
        "wording": "Low-volume mixes of 10 to 20 %.", "source": "Basal bark application, PNW Handbooks",
    }  # fmt: skip
    return who.does("limit", "create", **(values | changes)).record


def registration(who: Someone, product: Any, **changes: Any):
    """Enter a product's registration in Illinois, from an invented register; return it."""
    values = {"jurisdiction": "US-IL", "number": "99990-101", "source": "The state's register of products (invented)"}
    return who.does("product_registration", "create", product=product, **(values | changes)).record


def code_of(refused) -> str:
    """Return the code of a refusal."""
    return refused.value.code


def pointers(refused) -> list[tuple[str, str]]:
    """Return where each problem is, and its code."""
    return [(problem["pointer"], problem["code"]) for problem in refused.value.facts["errors"]]
