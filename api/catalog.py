"""The catalogue: species, active ingredients, products, limits and rule profiles, each row with its source."""

from typing import Any, get_args

from django.db.models import Q

from api import filtering
from api.records import Below, GroupRecords
from stewardship.catalog.fields import Carrier, Formulation, GrowthForm
from stewardship.catalog.limits import UNITS_OF
from stewardship.catalog.models import (
    ActiveIngredient,
    Limit,
    Product,
    ProductIngredient,
    ProductRegistration,
    RuleProfile,
    Species,
)
from stewardship.rules.methods import METHODS


def _words(literal: Any) -> list[str]:
    return [word for word in get_args(literal) if word]


class SpeciesFilters(filtering.Filters):
    """By parts of the names, by identifier, by growth form and by what is out of use."""

    scientific_name = filtering.Text(lookup_expr="icontains")
    common_name = filtering.Text(lookup_expr="icontains")
    growth_form = filtering.Choice(words=_words(GrowthForm))
    usda_symbol = filtering.Text()
    eppo_code = filtering.Text()
    itis_tsn = filtering.Number()
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class SpeciesRecords(GroupRecords):
    """Plants that the group works on, with open identifiers, look-alikes and cautions."""

    at = "species"
    model = Species
    filterset_class = SpeciesFilters


class ActiveIngredientFilters(filtering.Filters):
    """By a part of the name and by what is out of use."""

    name = filtering.Text(lookup_expr="icontains")
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class ActiveIngredients(GroupRecords):
    """Active ingredients in their forms; the acid equivalent follows from their formulas."""

    at = "active-ingredients"
    model = ActiveIngredient
    filterset_class = ActiveIngredientFilters


class ProductFilters(filtering.Filters):
    """By a part of the name, by registration number, by what it is and holds, and by what is out of use."""

    name = filtering.Text(lookup_expr="icontains")
    registration_no = filtering.Text()
    formulation = filtering.Choice(words=_words(Formulation))
    restricted_use = filtering.Flag()
    aquatic = filtering.Flag()
    active_ingredient = filtering.Id(method="holding")
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)

    def holding(self, rows: Any, name: str, value: Any) -> Any:
        """Return the products that hold an active ingredient."""
        held = ProductIngredient.objects.filter(active_ingredient_id=value)
        return rows.filter(id__in=held.values("product_id"))


class Products(GroupRecords):
    """Herbicides by plain description, with what their labels state. What a label does not state is unknown."""

    at = "products"
    model = Product
    filterset_class = ProductFilters


class RegistrationFilters(filtering.Filters):
    """By product, jurisdiction and number, and by what is out of use."""

    product = filtering.Id(field_name="product_id")
    jurisdiction = filtering.Text()
    number = filtering.Text()
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class Registrations(GroupRecords):
    """Registrations of products, by jurisdiction and date. What has no row is not on record: neither fine nor wrong."""

    at = "registrations"
    model = ProductRegistration
    filterset_class = RegistrationFilters
    below = Below("products", Product, "product")


class LimitFilters(filtering.Filters):
    """By what is limited, for what, and by what is out of use."""

    what = filtering.Choice(words=list(UNITS_OF))
    method = filtering.Choice(words=list(METHODS))
    carrier = filtering.Choice(words=_words(Carrier))
    formulation = filtering.Choice(words=_words(Formulation))
    species = filtering.Id(field_name="species_id")
    product = filtering.Id(field_name="product_id")
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class Limits(GroupRecords):
    """Published limits, each with its source. They disagree, and the label overrules them."""

    at = "limits"
    model = Limit
    filterset_class = LimitFilters


class RuleProfileFilters(filtering.Filters):
    """By jurisdiction, by the day on which it is in force, and by what is out of use."""

    jurisdiction = filtering.Text()
    on = filtering.Day(method="in_force")
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)

    def in_force(self, rows: Any, name: str, value: Any) -> Any:
        """Return the profiles in force on a day."""
        begun = Q(effective_from=None) | Q(effective_from__lte=value)
        return rows.filter(begun, Q(effective_to=None) | Q(effective_to__gte=value))


class RuleProfiles(GroupRecords):
    """What jurisdictions ask of a record, each with its source and its days. Verify them; they are no legal advice."""

    at = "rule-profiles"
    model = RuleProfile
    filterset_class = RuleProfileFilters
