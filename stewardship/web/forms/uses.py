"""What was used of one batch, line by line; and work done without herbicide."""

from decimal import Decimal
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms

from stewardship.catalog.models import Species
from stewardship.errors import RuleViolation
from stewardship.places.models import Property, Unit
from stewardship.rules.methods import HERBICIDE_METHODS, MANUAL_METHODS
from stewardship.sync.reading import Sent
from stewardship.treatments.models import Batch, Contractor, Session
from stewardship.web import words
from stewardship.web.access import Here
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.mixes import VOLUMES, day_choices, named
from stewardship.web.queries.days import present_members

CONTRACTOR = "contractor:"
"""What stands before a contractor's id where a member's could stand too."""
FIRST_LINES, MOST_LINES = 2, 12
AREAS = [(code, words.UNITS[code]) for code in words.AREAS]
HOW_KNOWN = list(words.HOW_KNOWN.items())
FOLLOW_UP = (("", "not known"), ("no", "first time"), ("yes", "follow-up"))


class PlacedForm(ActForm):
    """A form about work in one unit."""

    unit = base.choice("Unit")
    work_day = base.choice("Work day", required=False)

    def fill(self) -> None:
        """Offer the group's units, each with its property, and the days."""
        group_id = self.here.group.id
        self.zones: dict[str, ZoneInfo] = {}
        choices = [("", "Choose")]
        for unit in (
            Unit.objects.filter(group_id=group_id).select_related("property").order_by("property__name", "name", "id")
        ):
            self.zones[str(unit.id)] = ZoneInfo(unit.property.time_zone or self.here.group.time_zone)
            choices.append((str(unit.id), f"{unit.property.name}: {unit.name}"))
        self.fields["unit"].choices = choices
        self.fields["work_day"].choices = day_choices(self.here)

    def zone(self) -> ZoneInfo:
        """Return the zone of the chosen unit."""
        return self.zones[self.cleaned_data["unit"]]


class UseForm(PlacedForm):
    """What one person used of one batch in one unit: the session and its lines, recorded together."""

    places = {"mix": "", "started_at": "started", "ended_at": "ended"}

    batch = base.choice("Batch")
    applicator = base.choice("Applied by")
    on_date = base.calendar("Date")
    started = base.clock("Began")
    ended = base.clock("Ended", required=False)
    note = base.text("Note", rows=2)
    field_order = ("mid", "batch", "unit", "applicator", "on_date", "started", "ended", "work_day", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Make a row for each line that was sent, and one more where that was asked for."""
        super().__init__(*args, **kwargs)
        data = args[0] if args else None
        self.wants_more = bool(data and "more" in data)
        count = _count(data) + self.wants_more if data else FIRST_LINES
        species = species_choices(self.here)
        self.lines = [
            LineForm(data, prefix=f"line{n}", species=species, unit=self.here.group.volume_unit)
            for n in range(min(count, MOST_LINES))
        ]

    def fill(self) -> None:
        """Offer batches that hold something, members, and the present time."""
        super().fill()
        now = self.here.at.astimezone(self.here.zone)
        self.initial |= {
            "applicator": str(self.here.member.id), "on_date": now.date(),
            "started": now.time().replace(second=0, microsecond=0),
        }  # fmt: skip
        members = [(str(m.id), m.display_name) for m in present_members(self.here)]
        parties = Contractor.objects.filter(group_id=self.here.group.id).order_by("name", "id")
        contractors = [(f"{CONTRACTOR}{party.id}", f"{party.name} (contractor)") for party in parties]
        self.fields["applicator"].choices = members + contractors
        self.batches = {str(b.id): b for b in batches_left(self.here)}
        told = [(id, batch_told(batch)) for id, batch in self.batches.items()]
        self.fields["batch"].choices = [("", "Choose"), *told]

    def is_valid(self) -> bool:
        """Ask for at least one line, each of them whole."""
        fields, lines = super().is_valid(), [line.is_valid() for line in self.lines]
        if fields and all(lines) and not any(line.is_filled for line in self.lines):
            self.add_error(None, "Nothing is entered yet: fill in at least one line with a species and an amount.")
            return False
        if fields and not all(lines):
            self.add_error(None, "Something in the lines below is missing or cannot be read.")
        return fields and all(lines)

    def sends(self) -> list[Sent]:
        """Return the session and its lines."""
        told, session, zone = self.cleaned_data, self.made("session"), self.zone()
        begun = self.sent(
            "session", "create", new=session, unit=told["unit"], **_party(told["applicator"]),
            started_at=base.instant(told["on_date"], told["started"], zone),
            ended_at=base.instant(told["on_date"], told["ended"], zone), work_day=told["work_day"] or None,
            note=told["note"],
        )  # fmt: skip
        filled = [(n, line) for n, line in enumerate(self.lines) if line.is_filled]
        return [begun, *(self._line(n, line.cleaned_data, session) for n, line in filled)]

    def _line(self, n: int, told: dict[str, Any], session: UUID) -> Sent:
        return self.sent(
            "application", "create", part=f"line {n}", session=session, batch=self.cleaned_data["batch"],
            species=told["species"], method=told["method"], how_known=told["how_known"],
            mix={"value": told["amount"], "unit": told["amount_unit"]}, stems=told["stems"],
            is_follow_up={"yes": True, "no": False}.get(told["follow_up"]),
        )  # fmt: skip

    def refuse(self, rule: RuleViolation) -> None:
        """Put a fault in an amount beside the only line that can have it; else it stands at the top."""
        filled = [line for line in self.lines if line.is_filled]
        if rule.where.startswith("mix") and len(filled) == 1:
            filled[0].add_error("amount", str(rule))
        super().refuse(rule)


class EndForm(ActForm):
    """A session has ended."""

    ended_at = base.clock("Ended at")

    def __init__(self, *args: Any, session: Session, **kwargs: Any) -> None:
        """End ``session``."""
        self.session = session
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the end, on the session's own date."""
        at = base.instant(self.session.on_date, self.cleaned_data["ended_at"], ZoneInfo(self.session.time_zone))
        return [self.sent("session", "end", id=self.session.id, ended_at=at)]


class LineForm(forms.Form):
    """One line: a species, a method, an amount and how it is known."""

    species = base.choice("Species", required=False)
    method = base.choice(
        "Method", [("", "Choose"), *((m, words.word(m, "method")) for m in HERBICIDE_METHODS)], required=False
    )
    amount = base.number("Mix used", required=False)
    amount_unit = base.choice("Unit", VOLUMES)
    how_known = base.choice("How it is known", [("", "Choose"), *HOW_KNOWN], required=False)
    stems = base.count("Stems")
    follow_up = base.choice("First time or follow-up", FOLLOW_UP, required=False)

    def __init__(self, *args: Any, species: list[tuple[str, str]], unit: str, **kwargs: Any) -> None:
        """Ask with ``species`` to choose from; ``unit``: of the amount unless another is chosen."""
        super().__init__(*args, initial={"amount_unit": unit}, **kwargs)
        base.speak_plainly(self)
        self.fields["species"].choices = [("", "Choose"), *species]

    @property
    def is_filled(self) -> bool:
        """Tell whether anything was entered in it."""
        told = getattr(self, "cleaned_data", {})
        return any(told.get(name) for name in ("species", "method", "amount", "how_known", "stems"))

    def clean(self) -> dict[str, Any]:
        """Refuse half a line."""
        told = super().clean() or self.cleaned_data
        if self.is_filled:
            for name in ("species", "method", "amount", "how_known"):
                if not told.get(name) and name not in self.errors:
                    self.add_error(name, base.REQUIRED["required"])
        return told


class HandWorkForm(PlacedForm):
    """Work done without herbicide."""

    places = {"done_at": "ended", "minutes": "hours", "area": "area"}

    species = base.choice("Species")
    method = base.choice("Method", [("", "Choose"), *((m, words.word(m, "method")) for m in MANUAL_METHODS)])
    on_date = base.calendar("Date")
    ended = base.clock("Ended")
    hours = forms.DecimalField(
        label="Person-hours", required=False, min_value=Decimal("0.02"), max_value=10000, decimal_places=2,
        help_text="Three people for two hours are 6.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "number"}),
    )  # fmt: skip
    stems = base.count("Stems")
    area = base.number("Area cleared", required=False)
    area_unit = base.choice("Unit of the area", AREAS, required=False)
    follow_up = base.choice("First time or follow-up", FOLLOW_UP, required=False)
    note = base.text("Note", rows=2)
    field_order = (
        "mid", "unit", "species", "method", "on_date", "ended", "hours", "stems", "area", "area_unit", "follow_up",
        "work_day", "note",
    )  # fmt: skip

    def fill(self) -> None:
        """Offer species, and the present time."""
        super().fill()
        now = self.here.at.astimezone(self.here.zone)
        self.initial |= {
            "on_date": now.date(), "ended": now.time().replace(second=0, microsecond=0),
            "area_unit": self.here.group.area_unit,
        }  # fmt: skip
        self.fields["species"].choices = [("", "Choose"), *species_choices(self.here)]

    def sends(self) -> list[Sent]:
        """Return the work line."""
        told = self.cleaned_data
        minutes = None if told["hours"] is None else round(told["hours"] * 60)
        area = {"value": told["area"], "unit": told["area_unit"]} if told["area"] else None
        return [
            self.sent(
                "work_line", "create", unit=told["unit"], species=told["species"], method=told["method"],
                done_at=base.instant(told["on_date"], told["ended"], self.zone()), work_day=told["work_day"] or None,
                minutes=minutes, stems=told["stems"], area=area, note=told["note"],
                is_follow_up={"yes": True, "no": False}.get(told["follow_up"]),
            )
        ]  # fmt: skip


def _party(chosen: str) -> dict[str, str]:
    """Return who applied it: a member, or a contractor."""
    if chosen.startswith(CONTRACTOR):
        return {"contractor": chosen.removeprefix(CONTRACTOR)}
    return {"applicator": chosen}


def batches_left(here: Here) -> list[Batch]:
    """Return the batches that still hold something, latest first."""
    found = Batch.objects.filter(group_id=here.group.id, voided_at=None).order_by("-mixed_at", "-id")[:200]
    return [batch for batch in found if batch.left_nl > 0]


def batch_told(batch: Batch) -> str:
    """Return how a batch is told apart from others: its date, what is left of it, what is in it."""
    left, mix = words.amount(batch.left_nl, batch.mix_unit), f"{batch.mix_value} {words.UNITS[batch.mix_unit]}"
    inside = ", ".join(part["name"] for part in batch.parts)
    return f"{words.day(batch.on_date)}: {left} left of {mix}, {inside}"


def has_ground(here: Here) -> dict[str, bool]:
    """Tell what there is to choose from: a page without it says how to begin."""
    group = {"group_id": here.group.id}
    return {
        "units": Property.objects.filter(**group).exists() and Unit.objects.filter(**group).exists(),
        "species": Species.objects.filter(**group, retired_at=None).exists(),
    }


def species_choices(here: Here) -> list[tuple[str, str]]:
    """Return the species in use, each with its id and name."""
    found = Species.objects.filter(group_id=here.group.id, retired_at=None).order_by("scientific_name", "id")
    return [(str(each.id), named(each)) for each in found]


def _count(data: Any) -> int:
    """Return how many lines were sent."""
    return max(FIRST_LINES, sum(f"line{n}-amount" in data for n in range(MOST_LINES)))
