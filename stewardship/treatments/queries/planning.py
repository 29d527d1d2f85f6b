"""What stored limits say of a mix that is only asked about, for a unit: compared as a plan that is kept is."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from stewardship.catalog.labels import ingredient_snapshot
from stewardship.catalog.mixing.fields import MixPlan
from stewardship.catalog.models import Product
from stewardship.errors import Unavailable
from stewardship.journal.models import Record
from stewardship.places.models import Unit
from stewardship.treatments.services import limits, planned_mixes
from stewardship.treatments.services.draws import contained

R = TypeVar("R", bound=Record)


@dataclass
class Reader:
    """What an entry reads, without a lock and without a transaction of its own: for answers that write nothing."""

    group_id: UUID
    _wholes: dict[type[Record], list[Any]] = field(default_factory=dict)

    def all_of(self, model: type[R]) -> list[R]:
        """Return every record of a small type, in id order, read once."""
        if model not in self._wholes:
            self._wholes[model] = list(model._default_manager.filter(group_id=self.group_id).order_by("id"))
        return self._wholes[model]

    def list_beside(self, model: type[R], column: str, target: Record) -> list[R]:
        """Return the records whose ``column`` is this record's id, in id order."""
        return list(model._default_manager.filter(group_id=self.group_id, **{column: target.id}).order_by("id"))

    def get(self, model: type[R], id: UUID) -> R:
        """Return the record; raises Unavailable."""
        found: R | None = model._default_manager.filter(group_id=self.group_id, id=id).first()
        if found is None:
            raise Unavailable
        return found


def warnings_for_unit(
    group_id: UUID, wish: MixPlan, answer: Mapping[str, Any], on: date, at: datetime
) -> list[dict[str, str]]:
    """Return what is flagged about using a planned mix in the unit that is named; ``on``: the local date asked for.

    Only what the place, its year and the species add: the mix itself was compared already. Raises Unavailable.
    """
    if wish.unit is None:
        return []
    reader = Reader(group_id)
    unit, products = reader.get(Unit, wish.unit), {str(product.id): product for product in reader.all_of(Product)}
    poured = [each for each in answer["pour"] if "volume_nl" in each]
    parts = [_part(products[each["product"]], each["volume_nl"]) for each in poured if "product" in each]
    if not parts:
        return []
    said = {
        "unit_id": unit.id,
        "planned_on": on,
        "method": wish.method,
        "carrier": answer["carrier"] or "none",
        "species_id": wish.species,
        "stems": None,
        "mix_nl": sum(each["volume_nl"] for each in poured),
        "parts": parts,
    }
    found = planned_mixes.findings(reader, said, at)
    return [each.told() for each in found if limits.FIELDS.get(each.code, "unit") in ("unit", "method")]


def _part(product: Product, nl: int) -> dict[str, Any]:
    return contained({"product": str(product.id), "ingredients": ingredient_snapshot(product)}, nl)
