"""Who is missing on the days to come: for each duty who is good for it on that very date, and who could be asked.

It judges by the same function as a sign-up, so whoever stands here as somebody to ask is not refused afterwards. It is
the one count of what is lacking: the coordinator's home, the page *Who is missing* and the API tell this.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from stewardship.accounts.models import Consent, Member, PersonalDetails
from stewardship.credentials.models import Credential
from stewardship.journal.book import Entry
from stewardship.journal.contents import canonical
from stewardship.journal.models import Record
from stewardship.workdays.models import Duty, SignUp, WorkDay
from stewardship.workdays.qualification import WITH_HERBICIDE, asks
from stewardship.workdays.readiness import OF_PEOPLE, not_here
from stewardship.workdays.reasons import Reason
from stewardship.workdays.services.fitness import against_member
from stewardship.workdays.states import PEOPLE_WANTED

LAPSED = frozenset({"credential_expired", "credential_in_grace"})
"""Reasons that were none while the credential lasted."""


OF_A_PERSON: tuple[tuple[type[Record], str], ...] = (
    (Credential, "holder_id"), (PersonalDetails, "member_id"), (Consent, "member_id"),
)  # fmt: skip
"""What a sign-up looks at of the person: read here for everybody, since anybody may be asked."""


@dataclass(frozen=True)
class NotGood:
    """Somebody who signed up for a duty and is not good for it on the day, with every reason."""

    member: Member
    reasons: list[Reason]


@dataclass
class DutyCovered:
    """A duty: who is good for it on its day, who signed up and is not, who waits, and who could be asked."""

    duty: Duty
    asks: bool
    """Whether it asks for a credential."""
    good: list[Member] = field(default_factory=list)
    not_good: list[NotGood] = field(default_factory=list)
    waiting: list[Member] = field(default_factory=list)
    candidates: list[Member] = field(default_factory=list)

    @property
    def lacking(self) -> int:
        """Return how many good people are still wanted."""
        return max(0, self.duty.wanted - len(self.good))

    def reasons(self) -> Iterator[Reason]:
        """Tell what is lacking."""
        if self.lacking:
            detail = f"{self.lacking} of {self.duty.wanted} people are still wanted as {self.duty}."
            yield {"code": "duty_short", "detail": detail, "where": f"duties/{self.duty.id}"}
        for each in self.not_good:
            for reason in each.reasons:
                yield reason | {"detail": f"{each.member.display_name}: {reason['detail']}"}


@dataclass
class DayCovered:
    """A day to come with its duties."""

    day: WorkDay
    duties: list[DutyCovered]

    @property
    def lacks_applicator(self) -> bool:
        """Tell whether herbicide is planned and nobody is good to apply it."""
        return self.day.herbicide_planned and not any(
            each.good for each in self.duties if each.duty.name in WITH_HERBICIDE
        )

    @property
    def has_no_applicator_duty(self) -> bool:
        """Tell whether herbicide is planned and nobody is looked for to apply it."""
        return self.lacks_applicator and not any(self._of_applicators())

    def _of_applicators(self) -> Iterator[DutyCovered]:
        return (each for each in self.duties if each.duty.name in WITH_HERBICIDE)

    @property
    def is_short(self) -> bool:
        """Tell whether anybody is missing."""
        return self.lacks_applicator or any(each.lacking for each in self.duties)

    @property
    def lacks_qualified(self) -> bool:
        """Tell whether somebody with a credential is missing, or stands on the roster who may not or cannot come."""
        return self.lacks_applicator or any(each.not_good or (each.asks and each.lacking) for each in self.duties)

    def reasons(self) -> list[Reason]:
        """Tell what is lacking."""
        told = [reason for each in self.duties for reason in each.reasons()]
        if self.has_no_applicator_duty:
            detail = "Herbicide is planned, and no duty for an applicator is laid out."
            told.insert(0, {"code": "applicator_missing", "detail": detail, "where": "duties"})
        return told


@dataclass(frozen=True)
class Lapsing:
    """Somebody whose credential does not last until a day that they signed up for."""

    member: Member
    day: WorkDay
    duty: Duty
    reason: Reason


def coverage_of_days(
    entry: Entry, first_on: date, last_on: date | None = None, *, with_candidates: bool = True
) -> list[DayCovered]:
    """Return the days that want people from one local date to another, in order of date; the same statements for any.

    A date is that of the day's own place. ``last_on`` None: all that are to come. ``entry`` is a fresh one that only
    reads: in whose group, for whom and when is told by it. Without candidates it is much quicker.
    """
    group_id = entry.group_id
    days = WorkDay.objects.filter(group_id=group_id, on_date__gte=first_on, state__in=PEOPLE_WANTED)
    if last_on is not None:
        days = days.filter(on_date__lte=last_on)
    found = list(days.select_related("property").order_by("on_date", "starts_at", "id"))
    if not found:
        return []
    _read(entry, found)
    covered = [_covered(entry, day) for day in found]
    if with_candidates:
        busy = {(s.member_id, day.on_date) for day in found for s in _standing(entry, day)}
        for each in covered:
            _ask(entry, each, busy)
    return covered


def lapsing(days: Iterable[DayCovered]) -> list[Lapsing]:
    """Return who does not last until a day that they signed up for, in order of date."""
    return [
        Lapsing(each.member, covered.day, of_duty.duty, reason)
        for covered in days
        for of_duty in covered.duties
        for each in of_duty.not_good
        for reason in each.reasons
        if reason["code"] in LAPSED
    ]


def needed_until(days: Iterable[DayCovered]) -> dict[UUID, date]:
    """Return for each member the last date on which a duty of theirs asks for a credential."""
    return {
        member.id: covered.day.on_date
        for covered in days
        for each in covered.duties
        if each.asks
        for member in (*each.good, *(other.member for other in each.not_good))
    }


def _read(entry: Entry, days: list[WorkDay]) -> None:
    """Read everything that signing anybody up for these days looks at."""
    ids = [day.id for day in days]
    entry.load(WorkDay, ids, lock=False)
    entry.load_lists(Duty, "work_day_id", ids)
    entry.load_lists(SignUp, "work_day_id", ids)
    entry.load_all(Member)
    members = [member.id for member in entry.all_of(Member)]
    for model, column in OF_A_PERSON:
        entry.load_lists(model, column, members)
    for survey in OF_PEOPLE:
        entry.surveyed[survey] = survey(entry, [])


def _standing(entry: Entry, day: WorkDay) -> list[SignUp]:
    return [s for s in entry.list_of(SignUp, "work_day_id", day.id) if s.withdrawn_at is None]


def _covered(entry: Entry, day: WorkDay) -> DayCovered:
    duties = entry.list_of(Duty, "work_day_id", day.id)
    lines = {duty.id: DutyCovered(duty, asks(duty, day)) for duty in duties}
    for sign_up in _standing(entry, day):
        _place(entry, day, lines[sign_up.duty_id], sign_up)
    told = [line for line in lines.values() if line.duty.wanted or line.good or line.not_good]
    return DayCovered(day, sorted(told, key=lambda line: not (line.lacking or line.not_good)))


def _ask(entry: Entry, covered: DayCovered, busy: set[tuple[UUID, date]]) -> None:
    """Find for each duty that lacks people who is free on the day and good for it; duties alike are judged once."""
    day = covered.day
    free = [m for m in entry.all_of(Member) if _may_be_asked(m) and (m.id, day.on_date) not in busy]
    free.sort(key=lambda member: (member.display_name, member.id))
    found: dict[str, list[Member]] = {}
    for line in covered.duties:
        if line.lacking:
            alike = canonical(line.duty.content() | {"wanted": 0})
            if alike not in found:
                found[alike] = [m for m in free if not against_member(entry, day, line.duty, m)]
            line.candidates = found[alike]


def _place(entry: Entry, day: WorkDay, line: DutyCovered, sign_up: SignUp) -> None:
    member = entry.get(Member, sign_up.member_id)
    reasons = not_here(member) or against_member(entry, day, line.duty, member)
    if sign_up.is_waiting:
        line.waiting.append(member)
    elif reasons:
        line.not_good.append(NotGood(member, reasons))
    else:
        line.good.append(member)


def _may_be_asked(member: Member) -> bool:
    return member.is_present and member.role != "reviewer"
