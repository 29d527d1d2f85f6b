"""The catalogue is entered, corrected and taken out of use; what follows from a label is worked out here."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar
from uuid import UUID

from msgspec import UNSET

from stewardship.catalog import fields
from stewardship.catalog.labels import completed_ingredient, named_ingredient
from stewardship.catalog.limits import UNITS_OF
from stewardship.catalog.models import (
    ActiveIngredient,
    Limit,
    Product,
    ProductIngredient,
    Reference,
    RuleProfile,
    Species,
)
from stewardship.catalog.profiles.fields import AmendRuleProfile, NewRuleProfile
from stewardship.catalog.profiles.rows import read_profile
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, json_columns
from stewardship.rules.chemistry import acid_equivalent_factor
from stewardship.rules.decimals import exact
from stewardship.rules.figures import exact_text
from stewardship.rules.units import UNITS, Dimension

R = TypeVar("R", bound=Reference)
Values = dict[str, Any]


class IngredientTwice(RuleViolation):
    """One active ingredient stands twice in a product."""

    code = "ingredient_twice"
    message = "{name} stands twice in this product: give it once, with everything its label states."
    where = "ingredients"


class PieceInOtherMeasure(RuleViolation):
    """A dry product is weighed, a liquid one measured by volume."""

    code = "piece_in_other_measure"
    message = "A piece of a dry product is stated by weight, a piece of a liquid one by volume."
    where = "piece"


class DryProductByVolume(RuleViolation):
    """A weight in a volume of a product that is no liquid."""

    code = "dry_product_by_volume"
    message = "A dry product has no weight in a gallon or litre of it: give the per cent by weight on its label."
    where = "ingredients"


class AcidAboveActive(RuleViolation):
    """More acid equivalent than active ingredient."""

    code = "acid_above_active"
    message = "The label cannot state more acid equivalent than active ingredient of {name}: check the two figures."
    where = "ingredients"


class CompatibleWithItself(RuleViolation):
    """A product is no tank-mix partner of its own."""

    code = "compatible_with_itself"
    message = "A product is not its own tank-mix partner: name other products."
    where = "compatible_with"


class LimitWithoutValue(RuleViolation):
    """Nothing is limited."""

    code = "limit_without_value"
    message = "Give the lower end, the upper end or both: a limit without a value limits nothing."
    where = "low"


class LimitUpsideDown(RuleViolation):
    """The lower end is above the upper one."""

    code = "limit_upside_down"
    message = "The lower end of a limit cannot be above its upper end."
    where = "low"


class LimitUnitUnknown(RuleViolation):
    """The unit does not measure what is limited."""

    code = "limit_unit_unknown"
    message = "A limit on {what} is stated in one of: {units}."
    where = "unit"


def add_species(entry: Entry, new: fields.NewSpecies) -> Species:
    """Enter a species."""
    return entry.create(Species, id=new.id, **json_columns(new))


def amend_species(entry: Entry, wish: fields.AmendSpecies) -> Species:
    """Correct a species."""
    return entry.change(entry.get(Species, wish.id), **json_columns(wish))


def add_active_ingredient(entry: Entry, new: fields.NewActiveIngredient) -> ActiveIngredient:
    """Enter an active ingredient; its acid equivalent follows from its formulas, or is unknown."""
    values = json_columns(new)
    return entry.create(ActiveIngredient, id=new.id, ae_per_ai=_ae_per_ai(values), **values)


def amend_active_ingredient(entry: Entry, wish: fields.AmendActiveIngredient) -> ActiveIngredient:
    """Correct an active ingredient, and with it what the products that hold it state."""
    active = entry.get(ActiveIngredient, wish.id)
    values = vars(active) | json_columns(wish)
    entry.change(active, **json_columns(wish), ae_per_ai=_ae_per_ai(values))
    for product in _products_with(entry, active.id):
        named = [_renamed(each, active) for each in product.ingredients]
        entry.change(product, ingredients=_completed(named, product.density))
    return active


def add_product(entry: Entry, new: fields.NewProduct) -> Product:
    """Enter a product with what its label states."""
    values = json_columns(new)
    values["ingredients"] = _completed(_named(entry, values), values["density"])
    _check_product(values)
    return entry.create(Product, id=new.id, **values | _partners(entry, new.id, new))


def amend_product(entry: Entry, wish: fields.AmendProduct) -> Product:
    """Correct a product; what was mixed from it keeps what it was mixed with."""
    product = entry.get(Product, wish.id)
    values = json_columns(wish) | _partners(entry, wish.id, wish)
    named = _named(entry, values) if "ingredients" in values else product.ingredients
    values["ingredients"] = _completed(named, values.get("density", product.density))
    _check_product(vars(product) | values)
    return entry.change(product, **values)


def add_limit(entry: Entry, new: fields.NewLimit) -> Limit:
    """Enter a published limit; it names its source."""
    values = json_columns(new)
    _check_limit(entry, values)
    return entry.create(Limit, id=new.id, **values)


def amend_limit(entry: Entry, wish: fields.AmendLimit) -> Limit:
    """Correct a limit."""
    limit, values = entry.get(Limit, wish.id), json_columns(wish)
    _check_limit(entry, vars(limit) | values)
    return entry.change(limit, **values)


def add_rule_profile(entry: Entry, new: NewRuleProfile) -> RuleProfile:
    """Enter what a jurisdiction asks of a record; it names its source."""
    values = json_columns(new)
    read_profile(values, key="new")
    return entry.create(RuleProfile, id=new.id, **values)


def amend_rule_profile(entry: Entry, wish: AmendRuleProfile) -> RuleProfile:
    """Correct a rule profile, or say when it ended; records are judged by what it says then."""
    profile, values = entry.get(RuleProfile, wish.id), json_columns(wish)
    read_profile(vars(profile) | values, key=str(wish.id))
    return entry.change(profile, **values)


def retiring(model: type[R]) -> Callable[[Entry, Target], R]:
    """Return the service that takes a row of the catalogue out of use; doing it again changes nothing."""

    def retire(entry: Entry, wish: Target) -> R:
        row = entry.get(model, wish.id)
        return row if row.retired_at else entry.change(row, retired_at=entry.at)

    return retire


def reinstating(model: type[R]) -> Callable[[Entry, Target], R]:
    """Return the service that takes a retired row of the catalogue back into use."""

    def reinstate(entry: Entry, wish: Target) -> R:
        return entry.change(entry.get(model, wish.id), retired_at=None)

    return reinstate


def _ae_per_ai(values: Mapping[str, Any]) -> str:
    acid, form = values["acid_formula"], values["formula"]
    return exact_text(acid_equivalent_factor(acid, form, values["acids"])) if acid and form else ""


def _products_with(entry: Entry, active_id: UUID) -> list[Product]:
    """Return the products that hold an active ingredient: by a query, since only its rows say which they are."""
    held = ProductIngredient.objects.filter(group_id=entry.group_id, active_ingredient_id=active_id)
    ids = set(held.values_list("product_id", flat=True))
    staged = [each.id for each in entry.staged(Product) if _holds(each, active_id)]
    entry.load(Product, ids)
    return [entry.get(Product, id) for id in sorted(ids.union(staged))]


def _holds(product: Product, active_id: UUID) -> bool:
    return any(each["active_ingredient"] == str(active_id) for each in product.ingredients)


def _renamed(ingredient: Values, active: ActiveIngredient) -> Values:
    return named_ingredient(ingredient, active) if ingredient["active_ingredient"] == str(active.id) else ingredient


def _named(entry: Entry, values: Values) -> list[Values]:
    found = [entry.get(ActiveIngredient, UUID(each["active_ingredient"])) for each in values["ingredients"]]
    return [named_ingredient(each, active) for each, active in zip(values["ingredients"], found, strict=True)]


def _completed(named: list[Values], density: Values | None) -> list[Values]:
    return [completed_ingredient(each, density) for each in named]


def _check_product(values: Mapping[str, Any]) -> None:
    if values["piece"] and values["is_dry"] != (UNITS[values["piece"]["unit"]].dimension is Dimension.MASS):
        raise PieceInOtherMeasure
    seen: set[str] = set()
    for each in values["ingredients"]:
        if each["active_ingredient"] in seen:
            raise IngredientTwice(name=each["name"])
        seen.add(each["active_ingredient"])
        if values["is_dry"] and (each["ai"] or each["ae"]):
            raise DryProductByVolume
        _check_acid(each)


def _check_acid(stated: Values) -> None:
    ai, ae = stated["ai_percent_w_w"], stated["ae_percent_w_w"]
    above = ai is not None and ae is not None and exact(ae) > exact(ai)
    ai, ae = stated["ai"], stated["ae"]
    if ai and ae and ai["unit"] == ae["unit"]:
        above = above or exact(ae["value"]) > exact(ai["value"])
    if above:
        raise AcidAboveActive(name=stated["name"])


def _partners(entry: Entry, id: UUID | None, wish: Any) -> Values:
    """Return the column of tank-mix partners, each of them a product of the group."""
    if wish.compatible_with is UNSET:
        return {}
    if id in wish.compatible_with:
        raise CompatibleWithItself
    return {"compatible_with": sorted(str(entry.get(Product, partner).id) for partner in set(wish.compatible_with))}


def _check_limit(entry: Entry, values: Mapping[str, Any]) -> None:
    if values["unit"] not in UNITS_OF[values["what"]]:
        raise LimitUnitUnknown(what=values["what"], units=", ".join(UNITS_OF[values["what"]]))
    low, high = values["low"], values["high"]
    if not low and not high:
        raise LimitWithoutValue
    if low and high and exact(low) > exact(high):
        raise LimitUpsideDown
    for model, column in ((Species, "species_id"), (Product, "product_id")):
        if values[column] is not None:
            entry.get(model, values[column])
