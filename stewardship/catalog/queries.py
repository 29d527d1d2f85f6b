"""Reads of the catalogue that join several types."""

from uuid import UUID

from stewardship.accounts.models import Group
from stewardship.catalog.mixing.fields import MixPlan
from stewardship.catalog.mixing.shelf import Shelf
from stewardship.catalog.models import Limit, Product, RuleProfile, Species
from stewardship.catalog.profiles.rows import profile_of
from stewardship.errors import Unavailable
from stewardship.journal.references import references
from stewardship.places.models import Property
from stewardship.rules.profiles import ANYWHERE, Profile


def shelf_for(group: Group, wish: MixPlan) -> Shelf:
    """Read what a plan is made from, with a constant number of queries.

    Raises Unavailable for a product or species that the group does not have.
    """
    named = {reference.path: set(reference.read(wish)) for reference in references(MixPlan)}
    product_ids: set[UUID] = {id for path, ids in named.items() if path.endswith(".product") for id in ids}
    products = {product.id: product for product in Product.objects.filter(group_id=group.id, id__in=product_ids)}
    species = Species.objects.filter(group_id=group.id, id=wish.species).first() if wish.species else None
    if products.keys() != product_ids or (wish.species and species is None):
        raise Unavailable
    limits = Limit.objects.filter(group_id=group.id, what__in=("strength", "area_year_ceiling"), retired_at=None)
    in_use = list(limits.order_by("id")) if wish.method else []
    return Shelf(products=products, limits=in_use, species=species, mass_unit=group.mass_unit)


def profiles_of(group: Group, property_: Property) -> list[Profile]:
    """Read the rule profiles of a property's jurisdiction, else the group's, of its country and the general ones.

    One query, of every date: ``rules.profiles.applying`` finds those in force on a record's own.
    """
    code = jurisdiction_of(group, property_)
    held = {code, code.partition("-")[0], ANYWHERE}
    rows = RuleProfile.objects.filter(group_id=group.id, jurisdiction__in=held, retired_at=None)
    return [profile_of(row) for row in rows.order_by("id")]


def jurisdiction_of(group: Group, property_: Property) -> str:
    """Return the ISO 3166 code whose rule profiles a property follows: its own, else the group's; empty for none."""
    return property_.jurisdiction or group.jurisdiction
