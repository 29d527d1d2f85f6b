"""Ground to work on: a property with a unit, species, a product and a batch, entered as a group would enter them."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from tests.cast import Someone

FL_OZ = 29_573_530
"""A fluid ounce, rounded to a nanolitre as an entry is."""

ESTER = {
    "name": "triclopyr ester 4 lb a.e./gal",
    "registration_no": "99990-101",
    "formulation": "ester",
    "carriers": ["oil"],
}


@dataclass
class Ground:
    """Ids of what stands ready."""

    coordinator: Someone
    property: UUID
    unit: UUID
    other_unit: UUID
    species: UUID
    product: UUID

    def lot(self, **values: Any) -> UUID:
        """Buy a gallon of the product on the first of March."""
        told = {"product": self.product, "received": {"value": "1", "unit": "gal"}, "purchased_on": "2027-03-01"}
        return self.coordinator.does("lot", "create", **told | values).record.id

    def moves(self, what: str, lot: UUID, ounces: str, by: Someone | None = None, **values: Any) -> Any:
        """Record what went in or out of a lot."""
        by = by or self.coordinator
        told = {
            "what": what,
            "lot": lot,
            "volume": fl_oz(ounces),
            "happened_at": "2027-05-01T09:00:00-05:00",
            "by": by.member.id,
        }
        return by.does("stock_movement", "create", **told | values).record

    def batch(self, by: Someone | None = None, **values: Any) -> UUID:
        """Mix 64 fl oz at 20 % v/v: 12.8 fl oz of product in oil."""
        by = by or self.coordinator
        told = {
            "mixed_at": "2027-05-01T09:00:00-05:00",
            "mixed_by": by.member.id,
            "mix": fl_oz("64"),
            "how_known": "measured",
            "carrier": "oil",
            "parts": [{"product": str(self.product), "volume": fl_oz("12.8")}],
        }
        return by.does("batch", "create", **told | values).record.id

    def session(self, by: Someone | None = None, **values: Any) -> UUID:
        """Begin a session at nine in the morning."""
        by = by or self.coordinator
        told = {"unit": self.unit, "applicator": by.member.id, "started_at": "2027-05-01T09:30:00-05:00"}
        return by.does("session", "create", **told | values).record.id

    def line(self, session: UUID, batch: UUID, ounces: str, by: Someone | None = None, **values: Any) -> Any:
        """Use some of a batch by basal bark."""
        by = by or self.coordinator
        told = {
            "session": session,
            "batch": batch,
            "species": self.species,
            "method": "basal_bark",
            "mix": fl_oz(ounces),
            "how_known": "read_off_container",
        }
        return by.does("application", "create", **told | values).record


def fl_oz(value: str) -> dict[str, str]:
    """Return a volume as it is sent."""
    return {"value": value, "unit": "fl_oz"}


def lay_out(coordinator: Someone) -> Ground:
    """Enter a property with two units, a species and an ester of 4 lb a.e./gal."""
    place = coordinator.does("property", "create", name="Heron Bend").record.id
    units = [coordinator.does("unit", "create", property=place, name=name).record.id for name in ("North", "South")]
    species = coordinator.does("species", "create", scientific_name="Rhamnus cathartica").record.id
    active = coordinator.does("active_ingredient", "create", **TRICLOPYR_ESTER).record.id
    ingredient = {"active_ingredient": str(active), "ae": {"value": "4", "unit": "lb_gal"}}
    product = coordinator.does("product", "create", **ESTER, ingredients=[ingredient]).record.id
    return Ground(coordinator, place, *units, species, product)


TRICLOPYR_ESTER = {
    "name": "triclopyr",
    "form": "butoxyethyl ester",
    "acid_formula": "C7H4Cl3NO3",
    "formula": "C13H16Cl3NO4",
}
