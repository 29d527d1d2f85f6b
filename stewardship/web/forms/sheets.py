"""A day sheet that was filled in on paper, typed in its own order: all of it is recorded, or nothing."""

from typing import Any

from django import forms

from stewardship.places.models import Unit
from stewardship.rules.limits import WAITS
from stewardship.sync.reading import Sent
from stewardship.treatments.models import Batch
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.bottles import METHODS, TAPS
from stewardship.web.forms.mixes import VOLUMES
from stewardship.web.forms.uses import species_choices
from stewardship.web.queries.days import present_members
from stewardship.web.queries.sheets import batches_of_day, units_of_day
from stewardship.workdays.models import WorkDay

FIRST_ROWS, MORE_ROWS, MOST_ROWS = 4, 4, 40
LONGEST = [("", ""), *((code, wait.words) for code, wait in WAITS.items())]
WRITTEN_TAPS = {sign: code for code, sign in TAPS} | {code: code for code, _ in TAPS}
"""What is written on paper for a part of a bottle -> the tap."""
HEADINGS = (
    "Who", "Bottle", "Batch", "Filled", "Back", "Species", "Stems", "Unit", "Method", "Longest wait", "Weather",
    "Signature",
)  # fmt: skip
"""The columns of the sheet, in their order."""

OF_A_BOTTLE = ("number", "batch", "filled", "back")


class RowForm(forms.Form):
    """One row of the sheet. Without a name it goes on with the bottle of the row above."""

    who = base.choice("Who", required=False)
    number = base.text("Bottle", max_length=40)
    batch = base.choice("Batch", required=False)
    filled = base.number("Filled", required=False)
    back = base.number("Back", required=False)
    species = base.choice("Species", required=False)
    stems = base.count("Stems")
    unit = base.choice("Unit", required=False)
    method = base.choice("Method", [("", ""), *METHODS[1:]], required=False)
    longest_wait = base.choice("Longest wait", LONGEST, required=False)
    weather = base.text("Weather", max_length=200)
    is_signed = forms.BooleanField(label="Signed", required=False)

    def __init__(self, *args: Any, offered: dict[str, list[tuple[str, str]]], **kwargs: Any) -> None:
        """Ask with what is ``offered`` to choose from, by field."""
        super().__init__(*args, **kwargs)
        base.speak_plainly(self)
        for name, choices in offered.items():
            self.fields[name].choices = [("", ""), *choices]

    @property
    def is_filled(self) -> bool:
        """Tell whether anything was entered in it."""
        return any(getattr(self, "cleaned_data", {}).values())

    def demand(self, *names: str) -> None:
        """Say of each of these fields that is empty that it is missing."""
        for name in names:
            if name not in self.errors and not self.cleaned_data.get(name):
                self.add_error(name, base.REQUIRED["required"])


class SheetForm(ActForm):
    """The sheet of one day: who wrote it and when, the times of the work, and its rows."""

    places = {"started_at": "started", "ended_at": "ended", "written_at": "written"}

    writer = base.choice("Who wrote the sheet")
    written_on = base.calendar("Written on")
    written = base.clock("At")
    started = base.clock("Work began")
    ended = base.clock("Work ended")
    amount_unit = base.choice("Amounts are in", VOLUMES)

    def __init__(self, *args: Any, day: WorkDay, **kwargs: Any) -> None:
        """Type the sheet of ``day``, with as many rows as were sent, and more where that was asked for."""
        self.day = day
        super().__init__(*args, **kwargs)
        data = args[0] if args else None
        self.wants_more = bool(data and "more" in data)
        sent = sum(f"row{n}-number" in data for n in range(MOST_ROWS)) if data else FIRST_ROWS
        count = min(sent + MORE_ROWS * self.wants_more, MOST_ROWS)
        self.rows = [RowForm(data, prefix=f"row{n}", offered=self._offered()) for n in range(count)]
        self.bottles: list[list[RowForm]] = []

    def fill(self) -> None:
        """Offer members, and the day's own date and times."""
        group = self.here.group
        self.initial = {
            "writer": "", "written_on": self.day.on_date, "amount_unit": group.volume_unit,
            "started": self.day.starts_at and self.day.starts_at.astimezone(self.day.zone()).time(),
            "ended": self.day.ends_at and self.day.ends_at.astimezone(self.day.zone()).time(),
        } | self.initial  # fmt: skip
        self.members = [(str(m.id), m.display_name) for m in present_members(self.here)]
        self.fields["writer"].choices = [("", "Choose"), *self.members]
        self.batches: list[tuple[str, Batch]] = batches_of_day(self.day)
        self.units: list[Unit] = units_of_day(self.day)
        self.species = species_choices(self.here)

    def _offered(self) -> dict[str, list[tuple[str, str]]]:
        return {
            "who": self.members,
            "batch": [(str(batch.id), letter) for letter, batch in self.batches],
            "species": self.species,
            "unit": [(str(unit.id), unit.name) for unit in self.units],
        }

    def is_valid(self) -> bool:
        """Ask for at least one bottle, each of them whole."""
        fields, rows = super().is_valid(), [row.is_valid() for row in self.rows]
        filled = [row for row in self.rows if row.errors or row.is_filled]
        if fields and all(rows) and not filled:
            self.add_error(None, "Nothing is entered yet: type at least one row.")
            return False
        if all(rows):
            self._group(filled)
        whole = all(rows) and not any(row.errors for row in filled)
        if fields and not whole:
            self.add_error(None, "Something in the rows below is missing or cannot be read.")
        return fields and whole

    def _group(self, filled: list[RowForm]) -> None:
        """Put the rows of one bottle together, and ask for what each lacks."""
        self.bottles = []
        for row in filled:
            if row.cleaned_data["who"] or not self.bottles:
                row.demand("who", *OF_A_BOTTLE)
                self.bottles.append([row])
            else:
                self.bottles[-1].append(row)
                for name in OF_A_BOTTLE:
                    if row.cleaned_data[name]:
                        row.add_error(name, "A row that begins another bottle says who carried it.")
        for rows in self.bottles:
            for row in rows:
                used = len(rows) > 1 or any(row.cleaned_data[name] for name in ("species", "method", "stems"))
                row.demand(*(("species", "method", "unit") if used else ()), *(("stems",) if len(rows) > 1 else ()))

    def sends(self) -> list[Sent]:
        """Return a session for each person, and each bottle: out, back, and split over its rows."""
        people = list(dict.fromkeys(rows[0].cleaned_data["who"] for rows in self.bottles))
        told = [self._session(who) for who in people]
        for n, rows in enumerate(self.bottles):
            told += self._bottle(n, rows)
        return told

    def _session(self, who: str) -> Sent:
        rows = [row.cleaned_data for rows in self.bottles if rows[0].cleaned_data["who"] == who for row in rows]
        skies = list(dict.fromkeys(row["weather"] for row in rows if row["weather"]))
        unit = next((row["unit"] for row in rows if row["unit"]), str(self.units[0].id) if self.units else None)
        started_at = self._at("started")
        signed = "Signed on the paper sheet." if any(row["is_signed"] for row in rows) else ""
        return self.sent(
            "session", "create", part=f"session {who}", new=self.made(f"session {who}"), unit=unit, applicator=who,
            started_at=started_at, ended_at=self._at("ended"), work_day=self.day.id, note=signed,
            written_by=self.cleaned_data["writer"],
            written_at=base.instant(self.cleaned_data["written_on"], self.cleaned_data["written"], self.day.zone()),
            weather=[{"at": started_at, "sky": sky} for sky in skies],
        )  # fmt: skip

    def _bottle(self, n: int, rows: list[RowForm]) -> list[Sent]:
        first, unit = rows[0].cleaned_data, self.cleaned_data["amount_unit"]
        bottle, tap = self.made(f"bottle {n}"), WRITTEN_TAPS.get(first["back"].strip().lower())
        told = [
            self.sent(
                "container", "create", part=f"out {n}", new=bottle, number=first["number"], batch=first["batch"],
                filled={"value": first["filled"], "unit": unit}, holder=first["who"], out_at=self._at("started"),
                work_day=self.day.id,
            ),
            self.sent(
                "container", "bring_back", part=f"back {n}", id=bottle, back_at=self._at("ended"),
                back={"tap": tap} if tap else {"value": first["back"], "unit": unit},
            ),
        ]  # fmt: skip
        lines = [self._line(row.cleaned_data) for row in rows if row.cleaned_data["species"]]
        session = self.made(f"session {first['who']}")
        split = self.sent("container", "share", part=f"split {n}", id=bottle, session=session, lines=lines)
        return [*told, split] if lines else told

    def _line(self, row: dict[str, Any]) -> dict[str, Any]:
        told = {name: row[name] for name in ("species", "method", "longest_wait")}
        return told | {"stems": row["stems"], "unit": row["unit"] or None}

    def _at(self, name: str) -> str | None:
        return base.instant(self.day.on_date, self.cleaned_data[name], self.day.zone())
