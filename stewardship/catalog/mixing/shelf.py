"""What a plan is made from: the products, the stored limits and the group's own unit, read beforehand."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from stewardship.catalog.models import Limit, Product, Species


@dataclass(frozen=True)
class Shelf:
    """The products that a plan names, by id; the limits that may bear on it; the species; the unit of masses told."""

    products: Mapping[UUID, Product]
    limits: Sequence[Limit] = ()
    species: Species | None = None
    mass_unit: str = "lb"

    @cached_property
    def _named(self) -> dict[UUID, str]:
        often = Counter(product.name for product in self.products.values())
        return {id: p.name if often[p.name] == 1 else f"{p.name} [{id}]" for id, p in self.products.items()}

    @cached_property
    def _by_name(self) -> dict[str, Product]:
        return {name: self.products[id] for id, name in self._named.items()}

    def name_of(self, id: UUID) -> str:
        """Return the name that a product goes by in this plan, which no other one has."""
        return self._named[id]

    def product(self, name: str) -> Product:
        """Return the product that goes by this name."""
        return self._by_name[name]

    def compatible(self) -> set[frozenset[str]]:
        """Return the pairs of products, by name, that one of the two labels names as tank-mix partners."""
        ids = {str(id): name for id, name in self._named.items()}
        return {
            frozenset((name, ids[partner]))
            for id, name in self._named.items()
            for partner in self.products[id].compatible_with
            if partner in ids
        }
