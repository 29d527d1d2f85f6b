"""Products in memory, as the planner gets them: no database. Contents of labels in print, numbers invented."""

from typing import Any
from uuid import UUID, uuid5

import msgspec
import pytest

from stewardship.catalog.labels import completed_ingredient, named_ingredient
from stewardship.catalog.mixing import MixPlan, Shelf, plan
from stewardship.catalog.models import ActiveIngredient, Limit, Product
from stewardship.journal.fields import read_checked
from stewardship.rules.chemistry import acid_equivalent_factor
from stewardship.rules.figures import exact_text
from stewardship.rules.refusals import RuleViolation

SPACE = UUID(int=7)
FORMULAS = {
    "triclopyr": ("C7H4Cl3NO3", "C13H16Cl3NO4"),  # butoxyethyl ester
    "glyphosate": ("C3H8NO5P", "C6H17N2O5P"),  # isopropylamine salt
    "imazapyr": ("C13H15N3O3", "C16H24N4O3"),
    "aminopyralid": ("C6H4Cl2N2O2", "C15H25Cl2N3O5"),
}


def id_of(name: str) -> UUID:
    return uuid5(SPACE, name)


def ingredient(name: str, density: dict[str, str] | None = None, **stated: Any) -> dict[str, Any]:
    """Return what a product keeps of an active ingredient; one without formulas has no acid equivalent."""
    factor = exact_text(acid_equivalent_factor(*FORMULAS[name])) if name in FORMULAS else ""
    active = ActiveIngredient(id=id_of(f"active {name}"), name=name, form="a form", ae_per_ai=factor)
    nothing = dict.fromkeys(("ai_percent_w_w", "ae_percent_w_w", "ai", "ae"))
    return completed_ingredient(named_ingredient(nothing | stated, active), density)


def lb_gal(value: str) -> dict[str, str]:
    return {"value": value, "unit": "lb_gal"}


def product(name: str, *ingredients: dict[str, Any], **values: Any) -> Product:
    stated = {"formulation": "salt", "carriers": ["water"], "label_version": "invented", **values}
    return Product(id=id_of(name), name=name, ingredients=list(ingredients), **stated)


def ester(**values: Any) -> Product:
    """Return a 4 lb a.e./gal ester (60.45 % by weight) that goes into oil."""
    held = ingredient("triclopyr", ai_percent_w_w="60.45", ae=lb_gal("4"))
    return product("ester", held, **{"formulation": "ester", "carriers": ["oil"], **values})


def glyphosate(**values: Any) -> Product:
    """Return a 41 % salt of 4 lb a.i./gal and 3 lb a.e./gal."""
    held = ingredient("glyphosate", ai_percent_w_w="41.0", ai=lb_gal("4"), ae=lb_gal("3"))
    return product("glyphosate", held, **values)


def fosamine() -> Product:
    """Return a product whose label states no acid equivalent."""
    return product("fosamine", ingredient("fosamine", ai=lb_gal("4")))


def strength_limit(**values: Any) -> Limit:
    stated = {
        "what": "strength", "low": "10", "high": "20", "unit": "product_v_v", "method": "basal_bark", "carrier": "oil",
        "wording": "Low-volume mixes of 10 to 20 %.", "source": "Basal bark application, PNW Handbooks",
    }  # fmt: skip
    return Limit(id=id_of("limit"), **(stated | values))


def asked(body: dict[str, Any]) -> MixPlan:
    """Read a request as the API does."""
    return msgspec.convert(body, MixPlan, dec_hook=read_checked)


def part(product: Product, value: str | None = None, basis: str = "product_v_v") -> dict[str, Any]:
    strength = None if value is None else {"value": value, "basis": basis}
    return {"product": str(product.id), "strength": strength}


def fl_oz(value: str) -> dict[str, str]:
    return {"value": value, "unit": "fl_oz"}


def planned(*products: Product, limits: Any = (), species: Any = None, mass_unit: str = "lb", **body: Any):
    """Plan a mix on a shelf of these products."""
    shelf = Shelf({p.id: p for p in products}, limits=limits, species=species, mass_unit=mass_unit)
    return plan(asked(body), shelf)


def codes(told: list[dict[str, str]]) -> list[str]:
    return [each["code"] for each in told]


def refusal(*products, **body) -> str:
    """Return the code with which a plan is refused."""
    with pytest.raises(RuleViolation) as refused:
        planned(*products, **body)
    return refused.value.code


def poured(answer):
    """Return [(what, value, unit)] of everything that is poured."""
    return [
        (
            each.get("name") or each.get("adjuvant") or each.get("carrier"),
            each["amount"]["value"],
            each["amount"]["unit"],
        )
        for each in answer["pour"]
    ]
