"""Lots are entered when they are bought, corrected, voided."""

from typing import Any

from stewardship.catalog.models import Product
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.treatments import fields
from stewardship.treatments.models import Lot
from stewardship.treatments.services import facts, stock

RECEIVED = {"nl": "received", "ug": "received_mass"}
"""Base unit -> the field that says what was received."""


class CostWithoutCurrency(RuleViolation):
    """A cost is an amount of some currency."""

    code = "cost_without_currency"
    message = "Give a cost together with its currency, such as USD, or neither of them."
    where = "currency"


class ExpiredWhenBought(RuleViolation):
    """A lot's last day of use does not lie before the day it was bought."""

    code = "expired_when_bought"
    message = "The last day of use lies before the day of purchase. Check both dates."
    where = "expires_on"


class LotInUse(RuleViolation):
    """What was taken out of a lot rests on it."""

    code = "lot_in_use"
    message = (
        "Something went in or out of this lot. Void those movements, and correct the batches drawn from it, first."
    )


def record_lot(entry: Entry, new: fields.NewLot) -> Lot:
    """Enter a lot; it holds what was received. Raises ProductIsDry, ProductIsLiquid."""
    received = new.received or new.received_mass
    assert received
    stock.check_measure(entry.get(Product, new.product), received.base, RECEIVED[received.base])
    values = {name: value for name, value in columns(new).items() if name not in RECEIVED.values()}
    _check(values)
    return entry.create(Lot, id=new.id, **values, **{f"left_{received.base}": received.amount()})


def amend_lot(entry: Entry, wish: fields.AmendLot) -> Lot:
    """Correct a lot; more or less received is more or less left. Raises ProductIsDry, ProductIsLiquid."""
    lot = facts.living(entry.get(Lot, wish.id))
    values = columns(wish)
    _check(vars(lot) | values)
    for base, name in RECEIVED.items():
        if f"{name}_{base}" in values:
            stock.check_kept_in(entry, lot, base, name)
            stock.shift(entry, lot, values[f"{name}_{base}"] - lot.received)
    return entry.change(lot, **values)


def void_lot(entry: Entry, wish: Target) -> Lot:
    """Take a lot out of the stock; refused while something went in or out of it."""
    lot = entry.get(Lot, wish.id)
    if lot.entries:
        raise LotInUse
    return facts.void(entry, lot)


def reinstate_lot(entry: Entry, wish: Target) -> Lot:
    """Put a voided lot back."""
    return entry.change(facts.voided(entry, Lot, wish), voided_at=None)


def _check(values: dict[str, Any]) -> None:
    if (values["cost_cents"] is None) != (values["currency"] is None):
        raise CostWithoutCurrency
    bought, last = values["purchased_on"], values["expires_on"]
    if bought and last and last < bought:
        raise ExpiredWhenBought
