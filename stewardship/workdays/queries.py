"""Wide reads of work days: who does what, who came and for how long."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, F, Q, Sum
from django.db.models.functions import Coalesce

from stewardship.accounts.models import Member
from stewardship.credentials.needs import Named, Need
from stewardship.credentials.queries import credentials_of, types_of
from stewardship.credentials.standing import Standing, standing
from stewardship.places.models import Property
from stewardship.workdays.models import Attendance, Duty, SignUp, WorkDay
from stewardship.workdays.qualification import covers_of


@dataclass(frozen=True, slots=True)
class SignedUp:
    """A member on a duty; ``standing`` is None where the duty asks for no credential or it was not asked for."""

    sign_up: SignUp
    member: Member
    standing: Standing | None = None


@dataclass(slots=True)
class RosterLine:
    """A duty with who signed up for it."""

    duty: Duty
    people: list[SignedUp] = field(default_factory=list)
    waiting: list[SignedUp] = field(default_factory=list)
    """Who waits for a place, in the order of the list."""

    @property
    def lacking(self) -> int:
        """Return how many people are still wanted."""
        return max(0, self.duty.wanted - len(self.people))


@dataclass(frozen=True, slots=True)
class AgeClassHours:
    """People of one age class: how many, how often they came, their known time, check-outs that are missing."""

    age_class: str
    people: int
    attendances: int
    known: timedelta
    unknown: int

    def figures(self) -> dict[str, Any]:
        """Return it as JSON values; time in whole seconds."""
        return {
            "age_class": self.age_class,
            "people": self.people,
            "attendances": self.attendances,
            "known_s": _seconds(self.known),
            "check_outs_unknown": self.unknown,
        }


@dataclass(frozen=True, slots=True)
class PeopleAndHours:
    """Who came to a property and for how long; ``people`` counts everybody once, whatever their age class."""

    people: int
    days: dict[str, int]
    """State -> number of work days."""
    by_age_class: list[AgeClassHours]

    @property
    def known(self) -> timedelta:
        """Return the time that is known."""
        return sum((line.known for line in self.by_age_class), timedelta())

    @property
    def unknown(self) -> int:
        """Return how many attendances have no check-out: their hours are in no sum."""
        return sum(line.unknown for line in self.by_age_class)

    def figures(self) -> dict[str, Any]:
        """Return it as JSON values: work days by state; people and time, in whole seconds, by age class."""
        people = {
            "people": self.people,
            "known_s": _seconds(self.known),
            "check_outs_unknown": self.unknown,
            "by_age_class": [line.figures() for line in self.by_age_class],
        }
        return {"work_days": self.days, "attendance": people}


def _seconds(time: timedelta) -> int:
    """Return the whole seconds of a time; what is left of one is dropped."""
    return time // timedelta(seconds=1)


def roster(day: WorkDay, *, with_standing: bool) -> list[RosterLine]:
    """Return the duties of a day with who signed up; two statements, or four with what the credentials are worth.

    ``with_standing`` only for who may see other people's credentials.
    """
    lines = {duty.id: RosterLine(duty) for duty in Duty.objects.filter(work_day=day).order_by("id")}
    sign_ups = SignUp.objects.filter(work_day=day, withdrawn_at=None).select_related("member").order_by("number")
    people = list(sign_ups)
    held = credentials_of(day.group_id, [s.member_id for s in people]) if with_standing else {}
    types, place = types_of(day.group_id) if with_standing else {}, Named(str(day.property_id))
    for sign_up in people:
        line = lines[sign_up.duty_id]
        covers = covers_of(line.duty, day) if with_standing else None
        need = Need(covers, property=place) if covers else None
        found = standing(held[sign_up.member_id], need, day.on_date, types) if need else None
        (line.waiting if sign_up.is_waiting else line.people).append(SignedUp(sign_up, sign_up.member, found))
    return list(lines.values())


def people_and_hours(property_: Property, first_on: date, last_on: date) -> PeopleAndHours:
    """Return who came to a property from one local date to another, both included; three statements.

    Hours are never guessed: a missing check-out is counted as unknown and adds nothing.
    """
    days = WorkDay.objects.filter(
        group_id=property_.group_id, property=property_, on_date__gte=first_on, on_date__lte=last_on
    )
    came = Attendance.objects.filter(
        work_day__property=property_,
        group_id=property_.group_id,
        on_date__gte=first_on,
        on_date__lte=last_on,
        voided_at=None,
    )
    return PeopleAndHours(
        people=came.aggregate(people=Count("member", distinct=True))["people"],
        days=dict(days.values_list("state").annotate(Count("id")).order_by("state")),
        by_age_class=[AgeClassHours(**line) for line in _by_age_class(came)],
    )


def _by_age_class(came: Any) -> Any:
    lines = came.values("age_class").annotate(
        people=Count("member", distinct=True),
        attendances=Count("id"),
        known=Coalesce(Sum(F("out_at") - F("in_at")), timedelta()),
        unknown=Count("id", filter=Q(out_at=None)),
    )
    return lines.order_by("age_class")
