"""The four kinds of record, each entered by somebody, and what a correction of it may say."""

from typing import Any
from uuid import UUID

from tests.cast import Someone
from tests.ground import Ground, fl_oz

AMENDS: dict[str, dict[str, Any]] = {kind: {"note": "read again"} for kind in ("batch", "session")}
AMENDS |= {kind: {"stems": 12} for kind in ("application", "work_line")}
"""Kind -> a correction of it."""

KINDS = tuple(AMENDS)
CORRECTIONS = [(kind, op) for kind in KINDS for op in ("amend", "void", "reinstate")]


def entered(kind: str, ground: Ground, by: Someone) -> UUID:
    """Enter a record of this kind and return its id."""
    if kind == "batch":
        return ground.batch(by)
    if kind == "session":
        return ground.session(by)
    if kind == "application":
        return ground.line(ground.session(by), ground.batch(by), "5", by).id
    return work_line(ground, by)


def work_line(ground: Ground, by: Someone, **values: Any) -> UUID:
    """Record an hour of pulling."""
    told = {
        "unit": ground.unit,
        "species": ground.species,
        "method": "pulling",
        "done_at": "2027-05-01T10:00:00-05:00",
        "minutes": 60,
        "stems": 40,
    }
    return by.does("work_line", "create", **told | values).record.id


def corrects(by: Someone, kind: str, op: str, id: UUID, reason: str = "misread") -> Any:
    """Correct a record; what is reinstated was voided before."""
    if op == "reinstate":
        by.does(kind, "void", id=id, reason="by mistake")
    return by.does(kind, op, id=id, reason=reason, **(AMENDS[kind] if op == "amend" else {}))


def tank_mix(ground: Ground) -> dict[str, Any]:
    """Return what is sent for 64 fl oz of two products: 20 % of the ester, 5 % of one that says less of itself."""
    active = ground.coordinator.does("active_ingredient", "create", name="imazapyr", form="isopropylamine salt")
    ingredient = {"active_ingredient": str(active.record.id), "ai": {"value": "2", "unit": "lb_gal"}}
    product = ground.coordinator.does(
        "product", "create", name="imazapyr 2 lb a.i./gal", registration_no="99990-102", formulation="salt",
        carriers=["water"], ingredients=[ingredient],
    )  # fmt: skip
    parts = [{"product": str(ground.product), "volume": fl_oz("12.8")}]
    return {"parts": [*parts, {"product": str(product.record.id), "volume": fl_oz("3.2")}]}
