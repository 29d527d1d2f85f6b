"""A numbered bottle: taken out, brought back by an amount or a tap, and what was used of it said by species."""

from typing import Any

from django import forms

from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.sync.reading import Sent
from stewardship.treatments.models import Container
from stewardship.web import words
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.mixes import VOLUMES, day_choices
from stewardship.web.forms.uses import FOLLOW_UP, PlacedForm, batch_told, batches_left, species_choices
from stewardship.web.queries.bottles import sessions_of
from stewardship.web.queries.days import present_members

TAPS = [("empty", "empty"), ("1/4", "¼"), ("1/2", "½"), ("3/4", "¾"), ("full", "full")]
SEEN = [(code, words.HOW_KNOWN[code]) for code in ("read_off_container", "measured", "estimated")]
METHODS = [("", "Choose"), *((code, words.word(code, "method")) for code in HERBICIDE_METHODS)]
SPLITS = [("stems", "how many stems"), ("share", "which share of the bottle: 2 and 1 is twice as much on the first")]
NEW_SESSION = ""


class OutForm(ActForm):
    """A bottle is filled and taken out."""

    places = {"out_at": "out"}

    number = base.text("Number on the bottle", required=True, max_length=40)
    batch = base.choice("Filled from")
    filled = base.number("Filled with")
    filled_unit = base.choice("Unit", VOLUMES)
    holder = base.choice("Who takes it")
    on_date = base.calendar("Date")
    out = base.clock("Out at")
    work_day = base.choice("Work day", required=False)

    def fill(self) -> None:
        """Offer batches that hold something, members, days, and the present time."""
        now, unit = self.here.at.astimezone(self.here.zone), self.here.group.volume_unit
        self.batches = batches_left(self.here)
        self.initial = {
            "holder": str(self.here.member.id), "on_date": now.date(), "filled_unit": unit,
            "out": now.time().replace(second=0, microsecond=0),
            "batch": str(self.batches[0].id) if len(self.batches) == 1 else "",
        } | self.initial  # fmt: skip
        self.fields["holder"].choices = [(str(m.id), m.display_name) for m in present_members(self.here)]
        self.fields["batch"].choices = [("", "Choose"), *((str(b.id), batch_told(b)) for b in self.batches)]
        self.fields["work_day"].choices = day_choices(self.here)

    def sends(self) -> list[Sent]:
        """Return the outing."""
        told = self.cleaned_data
        return [
            self.sent(
                "container", "create", new=self.made(), number=told["number"], batch=told["batch"],
                filled={"value": told["filled"], "unit": told["filled_unit"]}, holder=told["holder"],
                out_at=base.instant(told["on_date"], told["out"], self.here.zone), work_day=told["work_day"] or None,
            )
        ]  # fmt: skip


class BackForm(ActForm):
    """A bottle comes back: with a tap, or with an amount."""

    places = {"back": "amount", "back_at": "at"}

    tap = base.choice("How full it came back", [("", "an amount, below"), *TAPS], required=False)
    amount = base.number("Or the amount that came back", required=False)
    amount_unit = base.choice("Unit", VOLUMES)
    how_known = base.choice("How the amount is known", SEEN)
    on_date = base.calendar("Date")
    at = base.clock("Back at")

    def __init__(self, *args: Any, bottle: Container, **kwargs: Any) -> None:
        """Bring ``bottle`` back."""
        self.bottle = bottle
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Let the taps be tapped, and fill in the present time."""
        now = self.here.at.astimezone(self.here.zone)
        self.initial = {
            "amount_unit": self.bottle.filled_unit, "on_date": now.date(), "how_known": "read_off_container",
            "at": now.time().replace(second=0, microsecond=0),
        } | self.initial  # fmt: skip
        self.fields["tap"].widget = forms.RadioSelect(choices=TAPS)

    def clean(self) -> dict[str, Any]:
        """Ask for one of the two."""
        told: dict[str, Any] = self.cleaned_data
        if "amount" in told and bool(told.get("tap")) == bool(told["amount"]):
            both = "Both are filled in. Keep the tap or the amount, and clear the other."
            self.add_error("amount", both if told["amount"] else "Tap how full it came back, or write the amount.")
        return told

    def sends(self) -> list[Sent]:
        """Return what came back."""
        told = self.cleaned_data
        volume = {"value": told["amount"], "unit": told["amount_unit"]}
        return [
            self.sent(
                "container", "bring_back", id=self.bottle.id, back={"tap": told["tap"]} if told["tap"] else volume,
                back_at=base.instant(told["on_date"], told["at"], self.here.zone),
                how_known="read_off_container" if told["tap"] else told["how_known"],
            )
        ]  # fmt: skip


class SpeciesForm(forms.Form):
    """One species: ticked, with its stems or share, and its method where that is another."""

    ticked = forms.BooleanField(required=False)
    count = base.number("Number", required=False)
    method = base.choice("Method", [("", "as above"), *METHODS[1:]], required=False)

    def __init__(self, *args: Any, species: tuple[str, str], **kwargs: Any) -> None:
        """Ask about ``species``: its id and its name."""
        super().__init__(*args, prefix=f"species-{species[0]}", **kwargs)
        base.speak_plainly(self)
        self.species_id, self.fields["ticked"].label = species

    @property
    def is_ticked(self) -> bool:
        """Tell whether it was ticked; a number alone is a tick too."""
        told = getattr(self, "cleaned_data", {})
        return bool(told.get("ticked") or told.get("count"))


class WhereForm(PlacedForm):
    """Where the content of a bottle went: a session, a method, and the species with their stems."""

    places = {"started_at": "started", "ended_at": "ended"}

    session = base.choice("Session", required=False)
    started = base.clock("Began", required=False)
    ended = base.clock("Ended", required=False)
    method = base.choice("Method", METHODS)
    follow_up = base.choice("First time or follow-up", FOLLOW_UP, required=False)
    by = base.choice("The numbers say", SPLITS)

    def __init__(self, *args: Any, bottle: Container, **kwargs: Any) -> None:
        """Split what was used of ``bottle``."""
        self.bottle = bottle
        super().__init__(*args, **kwargs)
        data = args[0] if args else None
        self.rows = [SpeciesForm(data, species=species) for species in species_choices(self.here)]

    def fill(self) -> None:
        """Offer the holder's sessions of the day, the latest one chosen, and units for a new one."""
        super().fill()
        del self.fields["work_day"]
        self.fields["unit"].required = False
        self.sessions = sessions_of(self.here, self.bottle)
        clock = {each.id: words.clock(each.started_at, self.here.zone) for each in self.sessions}
        told = [(str(each.id), f"{clock[each.id]}, {each.unit.name}") for each in self.sessions]
        planned = self.bottle.work_day.units if self.bottle.work_day else []
        self.fields["session"].choices = [*told, (NEW_SESSION, "another one, below")]
        self.initial = {
            "session": told[0][0] if told else NEW_SESSION,
            "unit": planned[0] if len(planned) == 1 else "",
            "started": self.bottle.out_at.astimezone(self.here.zone).time(),
            "ended": self.bottle.back_at.astimezone(self.here.zone).time() if self.bottle.back_at else None,
        } | self.initial  # fmt: skip

    def is_valid(self) -> bool:
        """Ask for at least one species, each of them whole."""
        fields, rows = super().is_valid(), [row.is_valid() for row in self.rows]
        ticked = [row for row in self.rows if row.is_ticked]
        if fields and all(rows) and not ticked:
            self.add_error(None, "Nothing is ticked yet: tick the species that this bottle was used on.")
            return False
        for row in ticked:
            self._check_number(row, is_alone=len(ticked) == 1)
        whole = all(rows) and not any(row.errors for row in ticked)
        if fields and not whole:
            self.add_error(None, "Something about a species below is missing or cannot be read.")
        return fields and whole

    def _check_number(self, row: SpeciesForm, *, is_alone: bool) -> None:
        number, is_share = row.cleaned_data.get("count"), self.cleaned_data.get("by") == "share"
        if not number and not is_alone:
            row.add_error("count", "With more than one species, each needs its number.")
        elif number and not is_share and not (number.isdecimal() and int(number) > 0):
            row.add_error("count", "Write how many stems, as a whole number, or leave it empty.")

    def clean(self) -> dict[str, Any]:
        """Ask where and when, for a session that is not recorded yet."""
        told: dict[str, Any] = self.cleaned_data
        for name in ("unit", "started") if not told.get("session") else ():
            if name in told and not told[name]:
                self.add_error(name, "Please fill this in: the session is not recorded yet.")
        return told

    def sends(self) -> list[Sent]:
        """Return the session, unless it is recorded already, and the split."""
        told, begun = self.cleaned_data, []
        session = told["session"]
        if not session:
            session, on = self.made("session"), self.bottle.on_date
            begun = [
                self.sent(
                    "session", "create", part="session", new=session, unit=told["unit"],
                    applicator=self.bottle.holder_id, work_day=self.bottle.work_day_id,
                    started_at=base.instant(on, told["started"], self.zone()),
                    ended_at=base.instant(on, told["ended"], self.zone()),
                )
            ]  # fmt: skip
        lines = [self._line(row) for row in self.rows if row.is_ticked]
        return [*begun, self.sent("container", "share", id=self.bottle.id, session=session, lines=lines)]

    def _line(self, row: SpeciesForm) -> dict[str, Any]:
        told, number = self.cleaned_data, row.cleaned_data["count"] or None
        is_share = told["by"] == "share"
        return {
            "species": row.species_id,
            "method": row.cleaned_data["method"] or told["method"],
            "is_follow_up": {"yes": True, "no": False}.get(told["follow_up"]),
            **({"share": number} if is_share else {"stems": number and int(number)}),
        }
