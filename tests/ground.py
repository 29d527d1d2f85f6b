"""Ground to work on: a property with a unit, species, a product and a batch, entered as a group would enter them."""

from dataclasses import dataclass
from fractions import Fraction
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
        """Buy a gallon of the product on the first of March; a dry one as ``received_mass``."""
        told: dict[str, Any] = {"product": self.product, "purchased_on": "2027-03-01"}
        if "received_mass" not in values:
            told["received"] = {"value": "1", "unit": "gal"}
        return self.coordinator.does("lot", "create", **told | values).record.id

    def draws(self, *lots: Any, ounces: str = "12.8", **values: Any) -> UUID:
        """Mix a batch whose ester was drawn from these lots, each an id or (id, ounces)."""
        named = [lot if isinstance(lot, tuple) else (lot, None) for lot in lots]
        drawn = [{"lot": str(id)} | ({"volume": fl_oz(each)} if each else {}) for id, each in named]
        part = {"product": str(self.product), "volume": fl_oz(ounces), "lots": drawn}
        return self.batch(**{"parts": [part]} | values)

    def powder(self, **values: Any) -> UUID:
        """Enter an invented wettable powder of 80 % a.i. by weight; a packet of it holds half a pound."""
        does = self.coordinator.does
        active = does("active_ingredient", "create", name="diuron", form="as such").record.id
        told = {"name": "diuron powder 80 %", "formulation": "other", "is_dry": True, "carriers": ["water"]}
        told |= {"ingredients": [{"active_ingredient": str(active), "ai_percent_w_w": "80"}], "piece": lb("0.5")}
        return does("product", "create", **told | values).record.id

    def moves(self, what: str, lot: UUID, ounces: str = "", by: Someone | None = None, **values: Any) -> Any:
        """Record what went in or out of a lot; of a dry one as ``mass``."""
        by = by or self.coordinator
        told = {
            "what": what,
            "lot": lot,
            **({"volume": fl_oz(ounces)} if ounces else {}),
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

    def leftover(self, batch: UUID | None, ounces: str, by: Someone | None = None, **values: Any) -> UUID:
        """Measure what is left at noon; without a batch it is a container that was found."""
        by = by or self.coordinator
        told = {"batch": batch, "volume": fl_oz(ounces), "how_known": "measured"}
        told |= {"measured_at": "2027-05-01T12:00:00-05:00", "container": "bottle 3"}
        return by.does("leftover", "create", **told | values).record.id

    def top_up(self, *poured: dict[str, Any], mix: str = "32", by: Someone | None = None, **values: Any) -> UUID:
        """Make a new batch of others, and carrier to the line."""
        told = {"mix": fl_oz(mix), "poured_from": list(poured), "parts": [], "mixed_at": "2027-05-02T09:00:00-05:00"}
        return self.batch(by, **told | values)

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


def lb(value: str) -> dict[str, str]:
    """Return a weight as it is sent."""
    return {"value": value, "unit": "lb"}


def nl(ounces: str) -> int:
    """Return fluid ounces in nanolitres, rounded once as an entry is (NIST Handbook 44, Appendix C)."""
    return round(Fraction(ounces) * Fraction(3_785_411_784, 128))


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
