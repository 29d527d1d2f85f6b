"""What is asked for a mix, each strength with what it is a per cent of; and that it was mixed."""

from typing import Any
from uuid import UUID

from django import forms

from stewardship.catalog.mixing import MixPlan
from stewardship.catalog.models import Product, Species
from stewardship.errors import RuleViolation, Unreadable
from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.sync.reading import Sent, read_fields
from stewardship.treatments.models import Lot
from stewardship.treatments.services.lot_draws import past_shelf_life
from stewardship.web import words
from stewardship.web.access import Here
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.queries.days import present_members
from stewardship.web.queries.stock import lots_of
from stewardship.workdays.models import WorkDay
from stewardship.workdays.states import ENDED

BASES = [(code, words.BASES[code]) for code in ("product_v_v", "ai_w_v", "ae_w_v", "label_percent_share")]
BASES += [(code, words.BASES[code]) for code in ("ai_g_l", "ae_g_l", "product_g_l", "product_oz_gal")]
VOLUMES = [(code, words.UNITS[code]) for code in words.VOLUMES]
MASSES = [(code, words.UNITS[code]) for code in words.MASSES]
OLDEST_FIRST = 'The oldest comes first. Choose "not known" if you did not look.'
PLACES = {
    "make": "make", "make.value": "make", "make.unit": "make_unit", "parts": "strength", "finest_mark": "finest_mark",
    "parts.0": "strength", "parts.0.strength": "strength", "parts.1.strength": "second_strength", "carrier": "carrier",
    "adjuvants.0.strength": "adjuvant_strength",
}  # fmt: skip
"""Where the planner finds a fault -> the field that it was typed into."""


class MixForm(forms.Form):
    """What somebody wants to end with."""

    make = base.number("How much mix", help_text="What you want to end with, the product included.")
    make_unit = base.choice("Unit", VOLUMES)
    product = base.choice("Product")
    strength = base.number("Strength")
    basis = base.choice(
        "Per cent of what", BASES, help_text="A bare per cent means different things to different people."
    )
    carrier = base.choice("Carrier", [("", "as the label names it"), *words.CARRIERS.items()], required=False)
    finest_mark = base.number(
        "Finest mark of your measure",
        required=False,
        help_text="Amounts then go to the nearest mark. Empty: as they come.",
    )
    finest_mark_unit = base.choice("Unit of the mark", VOLUMES, required=False)
    second_product = base.choice("Second product", required=False)
    second_strength = base.number("Its strength, % of product by volume", required=False)
    adjuvant = base.text("Dye or adjuvant", max_length=200)
    adjuvant_strength = base.number("Its strength, % by volume", required=False)
    method = base.choice("Method, to compare with stored limits", required=False)
    species = base.choice("Species", required=False)

    def __init__(self, *args: Any, here: Here, **kwargs: Any) -> None:
        """Ask for ``here``, whose group's catalogue it is."""
        self.here = here
        unit = here.group.volume_unit
        kwargs["initial"] = {"make_unit": unit, "finest_mark_unit": unit, "basis": "product_v_v"} | kwargs.get(
            "initial", {}
        )
        super().__init__(*args, **kwargs)
        base.speak_plainly(self)
        living = {"group_id": here.group.id, "retired_at": None}
        products = [(str(p.id), p.name) for p in Product.objects.filter(**living).order_by("name", "id")]
        plants = [(str(s.id), named(s)) for s in Species.objects.filter(**living).order_by("scientific_name", "id")]
        self.fields["product"].choices = [("", "Choose"), *products]
        self.fields["second_product"].choices = [("", "none"), *products]
        self.fields["species"].choices = [("", "not chosen"), *plants]
        self.fields["method"].choices = [("", "not chosen"), *((m, words.word(m, "method")) for m in HERBICIDE_METHODS)]
        self.has_products = bool(products)

    def wish(self) -> MixPlan | None:
        """Return what is asked of the planner; None, with the sentence beside its field, if it cannot be read."""
        if not self.is_valid():
            return None
        try:
            wish = read_fields(_asked(self.cleaned_data), MixPlan)
        except Unreadable as refusal:
            for problem in refusal.facts["errors"]:
                self.refuse(RuleViolation(problem["detail"], where=problem["pointer"].strip("/").replace("/", ".")))
            return None
        assert isinstance(wish, MixPlan)
        return wish

    def refuse(self, rule: RuleViolation) -> None:
        """Keep a refusal beside the field that it is about, else at the top."""
        keys = [rule.where, rule.where.rpartition(".")[0], rule.where.split(".")[0]]
        self.add_error(next((PLACES[key] for key in keys if key in PLACES), None), str(rule))


class MixedForm(ActForm):
    """The words "I mixed this": the batch, as the card says or as it was really poured."""

    mixed_on = base.calendar("Mixed on")
    mixed_at = base.clock("Mixed at")
    mixed_by = base.choice("Mixed by")
    mix = base.number("Finished mix")
    mix_unit = base.choice("Unit", VOLUMES)
    how_known = base.choice(
        "How it is known", [(k, words.HOW_KNOWN[k]) for k in ("measured", "read_off_container", "estimated")]
    )
    work_day = base.choice("Work day", required=False)
    note = base.text("Note", rows=2, help_text="Such as the number of the container.")

    def __init__(self, *args: Any, plan: dict[str, Any], **kwargs: Any) -> None:
        """Record what ``plan``, the answer of the planner on the card, says was to be poured."""
        self.plan = plan
        self.poured = [p for p in plan["pour"] if "product" in p]
        self.added = [p for p in plan["pour"] if "adjuvant" in p]
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer members and days, and what the card says was to be poured."""
        now = self.here.at.astimezone(self.here.zone)
        self.initial |= {
            "mixed_on": now.date(), "mixed_at": now.time().replace(second=0, microsecond=0),
            "mixed_by": str(self.here.member.id), "mix": self.plan["makes"]["value"],
            "mix_unit": self.plan["makes"]["unit"],
        }  # fmt: skip
        self.fields["mixed_by"].choices = [(str(m.id), m.display_name) for m in present_members(self.here)]
        self.fields["work_day"].choices = day_choices(self.here)
        for place, poured in enumerate((*self.poured, *self.added)):
            name = poured.get("name") or poured["adjuvant"]
            self.fields[f"poured_{place}"] = base.number(f"{name} poured, {words.UNITS[poured['amount']['unit']]}")
            self.initial[f"poured_{place}"] = poured["amount"]["value"]
        self._offer_lots()

    def _offer_lots(self) -> None:
        """Ask from which lot each product came, the oldest that is not past its last day chosen as a hint."""
        products = [UUID(poured["product"]) for poured in self.poured]
        lots = lots_of(self.here.group.id, products)
        for place, poured in enumerate(self.poured):
            of_product = [lot for lot in lots if str(lot.product_id) == poured["product"]]
            if not of_product:
                continue
            told = [(str(lot.id), lot_told(lot, self.here)) for lot in of_product]
            self.fields[f"lot_{place}"] = base.choice(
                f"Lot of {poured['name']}", [("", "not known"), *told], required=False, help_text=OLDEST_FIRST
            )
            kept = [lot for lot in of_product if lot.left and not past_shelf_life(lot, self.here.today)]
            self.initial[f"lot_{place}"] = str(kept[0].id) if kept else ""

    def poured_fields(self) -> list[Any]:
        """Return the fields that ask what was really poured, each product's followed by that of its lot."""
        names = [f"{kind}_{place}" for place in range(len(self.poured) + len(self.added)) for kind in ("poured", "lot")]
        return [self[name] for name in names if name in self.fields]

    def sends(self) -> list[Sent]:
        """Return the batch."""
        told = self.cleaned_data
        volumes = [
            {"value": told[f"poured_{place}"], "unit": poured["amount"]["unit"]}
            for place, poured in enumerate((*self.poured, *self.added))
        ]
        count = len(self.poured)
        parts = [
            {"product": p["product"], "volume": v, "planned": p.get("planned") or p["amount"]} | self._lot(place)
            for place, (p, v) in enumerate(zip(self.poured, volumes[:count], strict=True))
        ]
        adjuvants = [{"name": a["adjuvant"], "volume": v} for a, v in zip(self.added, volumes[count:], strict=True)]
        return [
            self.sent(
                "batch", "create", mixed_at=base.instant(told["mixed_on"], told["mixed_at"], self.here.zone),
                mixed_by=told["mixed_by"], mix={"value": told["mix"], "unit": told["mix_unit"]}, parts=parts,
                adjuvants=adjuvants, how_known=told["how_known"], carrier=self.plan["carrier"] or "none",
                work_day=told["work_day"] or None, note=told["note"],
            )
        ]  # fmt: skip

    def _lot(self, place: int) -> dict[str, Any]:
        lot = self.cleaned_data.get(f"lot_{place}")
        return {"lots": [{"lot": lot}]} if lot else {}


def lot_told(lot: Lot, here: Here) -> str:
    """Return a lot in the list to choose from, and whether it is past its last day or the usual shelf life."""
    past = ", past its shelf life" if past_shelf_life(lot, here.today) else ""
    return words.lot(lot, here.group) + past


def named(species: Species) -> str:
    """Return a species' scientific name, with the common one where there is one."""
    return f"{species.scientific_name} ({species.common_name})" if species.common_name else species.scientific_name


def day_choices(here: Here) -> list[tuple[str, str]]:
    """Return the work days that something may be recorded on, latest first."""
    days = WorkDay.objects.filter(group_id=here.group.id, on_date__lte=here.today).exclude(state__in=ENDED)
    days = days.exclude(state="draft").order_by("-on_date", "-id")[:30]
    return [("", "none: outside a work day"), *((str(d.id), f"{words.day(d.on_date)}: {d.title}") for d in days)]


def _asked(told: dict[str, Any]) -> dict[str, Any]:
    parts = [_part(told["product"], told["strength"], told["basis"])]
    if told["second_product"]:
        parts.append(_part(told["second_product"], told["second_strength"], "product_v_v"))
    asked: dict[str, Any] = {"make": {"value": told["make"], "unit": told["make_unit"]}, "parts": parts}
    if told["adjuvant"]:
        asked["adjuvants"] = [
            {"name": told["adjuvant"], "strength": {"value": told["adjuvant_strength"], "basis": "product_v_v"}}
        ]
    if told["finest_mark"]:
        asked["finest_mark"] = {"value": told["finest_mark"], "unit": told["finest_mark_unit"] or told["make_unit"]}
    return asked | {name: told[name] for name in ("carrier", "method", "species") if told[name]}


def _part(product: str, value: str, basis: str) -> dict[str, Any]:
    return {"product": str(UUID(product)), "strength": {"value": value, "basis": basis}}
