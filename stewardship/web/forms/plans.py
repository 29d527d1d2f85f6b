"""What is asked about the plan of a work day: a new one, a copy of one, a change of one."""

from datetime import date, datetime
from typing import Any, ClassVar
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.catalog.models import Species
from stewardship.places.models import Property, Unit
from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.rules.methods import WORDS as METHODS
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.days import DUTIES, DayForm
from stewardship.workdays.models import ApprovedTask, Duty, DutyName, HazardKind, WorkDay

HAZARDS = [(code, str(label).capitalize()) for code, label in HazardKind.choices if code != HazardKind.OTHER]
TEXTS = ("meeting_point", "access", "bring", "note", "leader_contact")
LISTS = ("units", "species", "methods")
UNTICKED = "A method or a duty of this day is with herbicide. Tick this, or take that out."


def ticks(label: str, **more: Any) -> forms.MultipleChoiceField:
    """Return a field to tick any number of things."""
    return forms.MultipleChoiceField(label=label, required=False, widget=forms.CheckboxSelectMultiple, **more)


class PlanForm(ActForm):
    """What every plan of a day says, a single one or one of a series."""

    places: ClassVar[dict[str, str]] = {"hazards": "hazards", "plan": ""}

    title = base.text(
        "What it is called", required=True, max_length=200, help_text="Such as: Buckthorn at the north edge"
    )
    starts_at = base.clock("Begins", required=False)
    ends_at = base.clock("Ends", required=False)
    meeting_point = base.text("Meeting point", rows=2, max_length=4000, help_text="Where people meet.")
    access = base.text(
        "How to get there", rows=2, max_length=4000, help_text="Gate, road, parking, whether a phone has signal."
    )
    units = ticks("Units to work in", help_text="A day with herbicide needs at least one to be confirmed.")
    task = base.choice("The approved task that it serves", required=False)
    species = ticks("Species")
    methods = ticks("Methods", choices=list(METHODS.items()))
    herbicide_planned = forms.BooleanField(
        label="Herbicide is planned", required=False,
        help_text="Then it is confirmed only with an applicator whose credential is valid on that date.",
    )  # fmt: skip
    bring = base.text("What to wear and bring", rows=2, max_length=4000)
    hazards = ticks("Tick what is there", choices=HAZARDS)
    other_hazard = base.text("And what else", max_length=500)
    note = base.text("What else to know", rows=2, max_length=4000)
    leader = base.choice("Who leads the day", required=False)
    leader_contact = base.text(
        "How the leader is reached on the day", max_length=200, help_text="Every member of the group reads this."
    )
    capacity = base.count(
        "How many people at most", help_text="Over all duties. Who signs up after that is on the waiting list."
    )

    def fill(self) -> None:
        """Offer the group's units, tasks, species and people."""
        group = {"group_id": self.here.group.id}
        self.properties = {p.id: p for p in Property.objects.filter(**group).order_by("name", "id")}
        units = Unit.objects.filter(**group).order_by("property__name", "name", "id")
        kept = self.kept()
        tasks = ApprovedTask.objects.filter(Q(withdrawn_at=None) | Q(id__in=kept), **group)
        tasks = tasks.order_by("property__name", "title", "id")
        species = Species.objects.filter(Q(retired_at=None) | Q(id__in=kept), **group)
        species = species.order_by("common_name", "scientific_name", "id")
        members = Member.objects.filter(Q(ended_at=None, suspended_at=None) | Q(id__in=kept), **group).order_by(
            "display_name", "id"
        )
        self.fields["units"].choices = [(str(u.id), self.named(u.property_id, u.name)) for u in units if self.is_on(u)]
        offered = [(str(t.id), self.named(t.property_id, t.title)) for t in tasks if self.is_on(t)]
        self.fields["task"].choices = [("", "None" if offered else "None is on record"), *offered]
        self.fields["species"].choices = [(str(s.id), str(s)) for s in species]
        self.fields["leader"].choices = [("", "Not said yet"), *((str(m.id), m.display_name) for m in members)]

    def kept(self) -> list[str]:
        """Return the ids that a plan names already: they are offered although nobody would choose them now."""
        return []

    def is_on(self, of: Any) -> bool:
        """Tell whether something of a property is offered: of every property, unless the plan has one already."""
        return True

    def named(self, property_id: UUID, name: str) -> str:
        """Return the name of something of a property, with the property's where several are offered."""
        return f"{self.properties[property_id].name}: {name}"

    def planned(self, hazards: list[dict[str, str]] = []) -> dict[str, Any]:  # noqa: B006
        """Return what the answers say of the plan, without times; notes of known ``hazards`` are kept."""
        told = self.cleaned_data
        notes = {each["what"]: each["note"] for each in hazards}
        seen = [{"what": what, "note": notes.get(what, "")} for what in told["hazards"]]
        other = [{"what": "other", "note": told["other_hazard"]}] if told["other_hazard"] else []
        return {
            **{name: told[name] for name in TEXTS},
            **{name: told[name] for name in LISTS},
            "hazards": seen + other,
            "task": told["task"] or None,
            "leader": told["leader"] or None,
            "capacity": told["capacity"],
            "herbicide_planned": told["herbicide_planned"],
        }


def told_of(plan: dict[str, Any]) -> dict[str, Any]:
    """Return what a form shows of a plan that stands: the plan as its columns say."""
    others = [each["note"] for each in plan["hazards"] if each["what"] == "other"]
    return {
        **{name: plan[name] for name in (*TEXTS, *LISTS, "capacity", "herbicide_planned")},
        "hazards": [each["what"] for each in plan["hazards"]],
        "other_hazard": "; ".join(others),
        "task": str(plan["task_id"] or ""),
        "leader": str(plan["leader_id"] or ""),
    }


class TimedForm(PlanForm):
    """The plan of one day: when sign-up closes and the weather is decided on are dates and times."""

    weather_on = base.calendar("The weather is decided on", required=False)
    weather_at = base.clock("At", required=False)
    closes_on = base.calendar("Sign-up closes on", required=False)
    closes_at = base.clock("At", required=False)
    pairs: ClassVar[dict[str, str]] = {"weather_decision_at": "weather", "sign_up_closes_at": "closes"}
    places: ClassVar[dict[str, str]] = {"weather_decision_at": "weather_on", "sign_up_closes_at": "closes_on"}

    def clean(self) -> dict[str, Any]:
        """Refuse a date without its time, and a time without its date."""
        told = super().clean() or self.cleaned_data
        for name in self.pairs.values():
            if bool(told.get(f"{name}_on")) != (told.get(f"{name}_at") is not None):
                self.add_error(f"{name}_on", "Say both, the date and the time, or neither.")
        return told

    def times(self, on_date: date, zone: ZoneInfo) -> dict[str, Any]:
        """Return the times of the plan as they are sent."""
        told = self.cleaned_data
        hours = {name: base.instant(on_date, told[name], zone) for name in ("starts_at", "ends_at")}
        others = {
            name: base.instant(told[f"{field}_on"], told[f"{field}_at"], zone) if told[f"{field}_on"] else None
            for name, field in self.pairs.items()
        }
        return hours | others


class NewDayForm(TimedForm):
    """A new work day with its duties; it begins as a draft. A copy of another day begins with what that one says."""

    property = base.choice("Property")
    on_date = base.calendar("Date")
    other_name = base.text("Another duty, in words", max_length=100)
    other_wanted = base.count("People wanted for it")

    def fill(self) -> None:
        """Offer the group's properties, and ask for each duty how many people it wants."""
        super().fill()
        self.fields["property"].choices = [("", "Choose"), *((str(p.id), p.name) for p in self.properties.values())]
        for code, label in DUTIES:
            self.fields[f"wanted_{code}"] = base.count(label.capitalize(), least=0)

    def duty_fields(self) -> list[Any]:
        """Return the fields that ask how many people a duty wants."""
        return [self[f"wanted_{code}"] for code, _ in DUTIES]

    def clean(self) -> dict[str, Any]:
        """Refuse one half of another duty, and work with herbicide on a day for which none is planned."""
        told = super().clean()
        if not told.get("herbicide_planned") and self.asks_for_herbicide():
            self.add_error("herbicide_planned", UNTICKED)
        if bool(told.get("other_name")) != bool(told.get("other_wanted")) and "other_wanted" not in self.errors:
            self.add_error("other_name", "Say what the other duty is and how many people it wants, or neither.")
        return told

    def asks_for_herbicide(self) -> bool:
        """Tell whether a method is ticked, or a duty wants people, that is only there with herbicide."""
        told = self.cleaned_data
        methods = set(told.get("methods", ())) & set(HERBICIDE_METHODS)
        return bool(methods) or any(told.get(f"wanted_{name}") for name in (DutyName.APPLICATOR, DutyName.HELPER))

    def sends(self) -> list[Sent]:
        """Return the day and each of its duties, all or none."""
        told, day = self.cleaned_data, self.made("day")
        zone = ZoneInfo(self.properties[UUID(told["property"])].time_zone or self.here.group.time_zone)
        plan = self.sent(
            "work_day", "create", new=day, property=told["property"], title=told["title"], on_date=told["on_date"],
            **self.times(told["on_date"], zone), **self.planned(),
        )  # fmt: skip
        return [plan, *(self._duty(day, name, wanted, other) for name, wanted, other in self.duties())]

    def duties(self) -> list[tuple[str, int, str]]:
        """Return each duty that people are wanted for: its name, how many, what another one is in words."""
        told = self.cleaned_data
        named = [(code, told[f"wanted_{code}"], "") for code, _ in DUTIES if told[f"wanted_{code}"]]
        other = [("other", told["other_wanted"], told["other_name"])] if told["other_wanted"] else []
        return named + other

    def _duty(self, day: UUID, name: str, wanted: int, other_name: str) -> Sent:
        return self.sent("duty", "create", part=name, work_day=day, name=name, wanted=wanted, other_name=other_name)


class AmendDayForm(TimedForm, DayForm):
    """A change of a day that is planned already; its date only while it is a draft."""

    on_date = base.calendar("Date")

    def fill(self) -> None:
        """Offer what belongs to the day's property, and fill in what it says."""
        super().fill()
        if self.day.state != "draft":
            del self.fields["on_date"]
        self.initial = told_of(vars(self.day)) | said_of(self.day) | self.initial

    def kept(self) -> list[str]:
        """Return the ids of the day's task, leader and species."""
        return [*self.day.species, *(str(id) for id in (self.day.task_id, self.day.leader_id) if id)]

    def is_on(self, of: Any) -> bool:
        """Tell whether something belongs to the property of the day."""
        return bool(of.property_id == self.day.property_id)

    def named(self, property_id: UUID, name: str) -> str:
        """Return the bare name: everything is of one property."""
        return name

    def sends(self) -> list[Sent]:
        """Return the change."""
        told = self.cleaned_data
        on_date = told.get("on_date") or self.day.on_date
        dated = {"on_date": on_date} if "on_date" in self.fields else {}
        return [
            self.sent(
                "work_day", "amend", id=self.day.id, title=told["title"], **dated,
                **self.times(on_date, self.day.zone()), **self.planned(self.day.hazards),
            )
        ]  # fmt: skip


def said_of(day: WorkDay) -> dict[str, Any]:
    """Return title, date and times of a day as a form shows them, by the clock of its place."""

    def local(at: datetime | None) -> datetime | None:
        return at and at.astimezone(day.zone())

    starts, ends, weather, closes = map(
        local, (day.starts_at, day.ends_at, day.weather_decision_at, day.sign_up_closes_at)
    )
    return {
        "title": day.title, "on_date": day.on_date,
        "starts_at": starts and starts.time(), "ends_at": ends and ends.time(),
        "weather_on": weather and weather.date(), "weather_at": weather and weather.time(),
        "closes_on": closes and closes.date(), "closes_at": closes and closes.time(),
    }  # fmt: skip


def copy_of(day: WorkDay) -> dict[str, Any]:
    """Return what a copy of a day begins with: all but its date, what was decided before it, and its people."""
    told = told_of(vars(day)) | said_of(day) | {"property": str(day.property_id)}
    for name in ("on_date", "weather_on", "weather_at", "closes_on", "closes_at"):
        told.pop(name)
    for duty in Duty.objects.filter(group_id=day.group_id, work_day=day, wanted__gt=0).order_by("id"):
        if duty.name == DutyName.OTHER:
            told |= {"other_name": duty.other_name, "other_wanted": duty.wanted}
        else:
            told[f"wanted_{duty.name}"] = duty.wanted
    return told


class PostponeForm(base.ReasonForm, DayForm):
    """Another date for a day, and why."""

    on_date = base.calendar("New date")
    starts_at = base.clock("Begins", required=False)
    ends_at = base.clock("Ends", required=False)
    notice = base.text("What else to tell who signed up", rows=2, max_length=4000)
    field_order = ("on_date", "starts_at", "ends_at", "reason", "notice")

    def fill(self) -> None:
        """Offer the hours that it has."""
        told = said_of(self.day)
        self.initial = {name: told[name] for name in ("starts_at", "ends_at")} | self.initial

    def sends(self) -> list[Sent]:
        """Return the new date; the end may lie after midnight as before."""
        told, zone = self.cleaned_data, self.day.zone()
        hours = {name: base.instant(told["on_date"], told[name], zone) for name in ("starts_at", "ends_at")}
        kept = said_of(self.day)
        moved = {name: at for name, at in hours.items() if told[name] != kept[name]}
        return [
            self.sent(
                "work_day", "postpone", id=self.day.id, on_date=told["on_date"], reason=told["reason"],
                notice=told["notice"], **moved,
            )
        ]  # fmt: skip
