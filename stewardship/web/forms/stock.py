"""A lot is entered, counted, and what came, went or was lost of it is said."""

from typing import Any

from django import forms

from stewardship.catalog.models import Product
from stewardship.rules.decimals import NumberUnreadable, parse_decimal
from stewardship.rules.measures import MEASURE
from stewardship.sync.reading import Sent
from stewardship.treatments.models import Lot
from stewardship.web import words
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.mixes import MASSES, VOLUMES
from stewardship.web.queries.days import present_members
from stewardship.web.queries.stock import lots_beside

MOVES = [
    ("receipt", words.STOCK["receipt"]), ("return", words.STOCK["return"]), ("transfer", words.STOCK["transfer_out"]),
    ("loss", words.STOCK["loss"]), ("spill", words.STOCK["spill"]), ("disposal", words.STOCK["disposal"]),
]  # fmt: skip
OUT_OF_THE_GROUP = ""


class LotForm(ActForm):
    """One purchase of a product: of a liquid by volume, of a dry one by weight."""

    places = {"cost_cents": "cost", "received_mass": "received"}

    product = base.choice("Product")
    received = base.number("Received", help_text="All that came with this purchase.")
    received_unit = base.choice("Unit", [*VOLUMES, *MASSES])
    purchased_on = base.calendar("Bought on", required=False, help_text="By it the oldest lot is known.")
    expires_on = base.calendar("Last day of use", required=False, help_text="As the maker states it.")
    container = base.text("What it came in", max_length=200)
    store = base.text("Where it is kept", max_length=200)
    lot_number = base.text("Lot number", max_length=100, help_text="As the maker prints it.")
    label_version = base.text("Label version", max_length=100, help_text="As it stands on the label of this purchase.")
    cost = base.number("Cost", required=False)
    currency = base.text("Currency", max_length=3, help_text="Three letters, such as USD.")
    note = base.text("Note", rows=2)

    def fill(self) -> None:
        """Offer the products of the catalogue, and the group's unit."""
        living = Product.objects.filter(group_id=self.here.group.id, retired_at=None).order_by("name", "id")
        products = [(str(each.id), each.name) for each in living]
        self.has_products = bool(products)
        self.fields["product"].choices = [("", "Choose"), *products]
        only = products[0][0] if len(products) == 1 else ""
        self.initial = {"received_unit": self.here.group.volume_unit, "product": only} | self.initial

    def clean_cost(self) -> int | None:
        """Return the cost in hundredths; None if it is not told."""
        if not (told := self.cleaned_data["cost"]):
            return None
        try:
            cents = parse_decimal(told) * 100
        except NumberUnreadable as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        if cents.denominator != 1:
            raise forms.ValidationError("Write the cost with at most two digits after the point, such as 125.50.")
        return int(cents)

    def clean_currency(self) -> str | None:
        """Return the currency in capitals; None if it is not told."""
        code: str = self.cleaned_data["currency"].upper()
        if code and not (len(code) == 3 and code.isascii() and code.isalpha()):
            raise forms.ValidationError("Write the three letters of the currency, such as USD.")
        return code or None

    def sends(self) -> list[Sent]:
        """Return the lot."""
        told = self.cleaned_data
        plain = ("product", "purchased_on", "expires_on", "container", "store", "lot_number", "label_version",
                 "currency", "note")  # fmt: skip
        name = "received_mass" if told["received_unit"] in words.MASSES else "received"
        received = {name: {"value": told["received"], "unit": told["received_unit"]}}
        values = {name: told[name] for name in plain} | received | {"cost_cents": told["cost"]}
        return [self.sent("lot", "create", new=self.made(), **values)]


class OfLotForm(ActForm):
    """Something about one lot: an amount, when, and by whom."""

    name = ""
    """Stands before the ids of its fields: two such forms stand on one page."""
    places = {"happened_at": "at", "mass": "volume"}

    volume_unit = base.choice("Unit", VOLUMES)
    on_date = base.calendar("Date")
    at = base.clock("Time")
    by = base.choice("By")

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        """Tell it of ``lot``."""
        self.lot = lot
        super().__init__(*args, auto_id=f"id_{self.name}_%s", **kwargs)

    def fill(self) -> None:
        """Offer the members, the present time, and the units of the lot's measure."""
        self.fields["volume_unit"].choices = MASSES if self.lot.base == "ug" else VOLUMES
        now = self.here.at.astimezone(self.here.zone)
        self.initial = {
            "volume_unit": words.unit_of(self.lot, self.here.group), "on_date": now.date(),
            "at": now.time().replace(second=0, microsecond=0), "by": str(self.here.member.id),
        } | self.initial  # fmt: skip
        self.fields["by"].choices = [(str(m.id), m.display_name) for m in present_members(self.here)]

    def movement(self, what: str, **more: Any) -> Sent:
        """Return the movement of the lot."""
        told = self.cleaned_data
        return self.sent(
            "stock_movement", "create", new=self.made(), what=what, lot=self.lot.id, by=told["by"],
            happened_at=base.instant(told["on_date"], told["at"], self.here.zone), **more,
            **{MEASURE[self.lot.base]: {"value": told["volume"], "unit": told["volume_unit"]}},
        )  # fmt: skip


class CountForm(OfLotForm):
    """What was counted of a lot; one that differs from the book says why."""

    name = "count"

    volume = base.number("Counted", help_text="All that is left of it; 0 if nothing is.")
    reason = base.text(
        "Why it differs", rows=2, max_length=1000, help_text="Only asked for where the count differs from the book."
    )

    def sends(self) -> list[Sent]:
        """Return the count."""
        return [self.movement("count", reason=self.cleaned_data["reason"])]


class MoveForm(OfLotForm):
    """What came, went, was lost, was spilled or was disposed of, with what is asked about that."""

    name = "move"

    what = base.choice("What happened", MOVES)
    volume = base.number("How much")
    to_lot = base.choice("Into which lot", required=False)
    incident = base.text(
        "What happened, and what was done about it?", rows=3, help_text="A loss may be a spill: say so if it was one."
    )
    manner = base.text(
        "How and where was it disposed of, or to whom did it go?",
        rows=2,
        help_text="Such as the collection it went to.",
    )
    receipt_no = base.text("Receipt number", max_length=100, help_text="Of the shop or the collector.")
    note = base.text("Note", rows=2)

    def fill(self) -> None:
        """Let what happened be tapped, and offer the other lots of the product."""
        super().fill()
        self.fields["what"].widget = forms.RadioSelect(choices=MOVES)
        others = [(str(each.id), words.lot(each, self.here.group)) for each in lots_beside(self.lot)]
        self.fields["to_lot"].choices = [(OUT_OF_THE_GROUP, "none: it left the group"), *others]

    def sends(self) -> list[Sent]:
        """Return the movement."""
        told = self.cleaned_data
        said = {name: told[name] for name in ("incident", "manner", "receipt_no", "note")}
        return [self.movement(told["what"], to_lot=told["to_lot"] or None, **said)]
