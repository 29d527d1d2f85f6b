"""What a person should see first: what is missing, what lapses, what comes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Count, F, Q, QuerySet

from stewardship.accounts.models import Member
from stewardship.closeout.services import STILL_OPEN
from stewardship.credentials.models import Credential
from stewardship.credentials.queries import credentials_of
from stewardship.journal.book import Entry
from stewardship.web.access import Here
from stewardship.web.queries.shelves import shelf
from stewardship.workdays.coverage import DayCovered, coverage_of_days, needed_until
from stewardship.workdays.models import Duty, SignUp, WorkDay
from stewardship.workdays.qualification import NEEDS
from stewardship.workdays.reasons import Reason
from stewardship.workdays.states import ENDED, PEOPLE_WANTED

SOON = timedelta(days=90)
"""How long before its end a credential is brought up."""

LONG_AGO = timedelta(days=365)
"""A credential that ended longer ago is no news."""

NEXT = 6
"""Days to come on a home; all of them stand among the work days."""

MOST = 60
"""Work days in one list of the home page."""


@dataclass(frozen=True)
class Judged:
    """A work day with what it lacks."""

    day: WorkDay
    reasons: list[Reason]


@dataclass(frozen=True)
class Lapse:
    """A credential that ends, or has ended, and whether its holder is signed up for a day after that."""

    member: Member
    credential: Credential
    has_ended: bool
    needed_on: date | None

    @property
    def last_on(self) -> date:
        """Return its last day."""
        assert self.credential.expires_on
        return self.credential.expires_on


@dataclass(frozen=True)
class DutyWanted:
    """A duty with how many people have signed up for it."""

    duty: Duty
    people: int

    @property
    def lacking(self) -> int:
        """Return how many people are still wanted."""
        return max(0, self.duty.wanted - self.people)


@dataclass(frozen=True)
class Coming:
    """A work day to come: its duties, the sign-up of the person who looks, and how many people are wanted."""

    day: WorkDay
    duties: list[DutyWanted]
    mine: SignUp | None

    @property
    def lacking(self) -> int:
        """Return how many people are still wanted in all."""
        return sum(duty.lacking for duty in self.duties)

    @property
    def people(self) -> int:
        """Return how many have signed up."""
        return sum(duty.people for duty in self.duties)


def ahead(here: Here) -> list[DayCovered]:
    """Return who is there and who is missing on every day to come that wants people."""
    return coverage_of_days(_reading(here), here.today, with_candidates=False)


def short_of_people(days: Iterable[DayCovered]) -> list[Judged]:
    """Return the coming days that lack people with a credential, each with everything that it lacks of people."""
    return [Judged(each.day, each.reasons()) for each in days if each.lacks_qualified][:MOST]


def not_closed(here: Here) -> list[Judged]:
    """Return the days that are over and not closed, oldest first, each with what is missing."""
    days = list(_days(here).filter(on_date__lt=here.today).exclude(state__in=ENDED)[:MOST])
    entry = shelf(here, days)
    return [Judged(day, [reason for look in STILL_OPEN for reason in look(entry, day)]) for day in days]


def lapses(here: Here, days: Iterable[DayCovered]) -> list[Lapse]:
    """Return the credentials of present members that end soon, ended lately, or end before one of the ``days``."""
    members = {m.id: m for m in Member.objects.present().filter(group_id=here.group.id).order_by("display_name")}
    needed = needed_until(days)
    found = []
    for member_id, credentials in credentials_of(here.group.id, members).items():
        for credential in _lasting(credentials):
            needed_on = needed.get(member_id) if credential.covers in NEEDS.values() else None
            if lapse := _lapse(here.today, members[member_id], credential, needed_on):
                found.append(lapse)
    return sorted(found, key=lambda lapse: (lapse.needed_on is None, lapse.last_on, lapse.member.display_name))


def coming(here: Here, *, among: Iterable[str] = ("draft", *PEOPLE_WANTED), most: int = NEXT) -> list[Coming]:
    """Return the next days and all one's own, with their duties and one's own sign-up; three statements."""
    ahead = _days(here).filter(on_date__gte=here.today, state__in=list(among))
    mine = {s.work_day_id: s for s in _mine(here).filter(work_day__on_date__gte=here.today)}
    days = list(ahead.filter(Q(id__in=ahead.values("id")[:most]) | Q(id__in=list(mine))))
    duties = Duty.objects.filter(group_id=here.group.id, work_day__in=days).order_by("id")
    standing = Q(sign_ups__withdrawn_at=None, sign_ups__is_waiting=False, sign_ups__isnull=False)
    by_day: dict[UUID, list[DutyWanted]] = {day.id: [] for day in days}
    for duty in duties.annotate(people=Count("sign_ups", filter=standing)):
        by_day[duty.work_day_id].append(DutyWanted(duty, duty.people))
    return [Coming(day, by_day[day.id], mine.get(day.id)) for day in days]


def my_credentials(here: Here) -> list[Credential]:
    """Return one's own credentials that were not voided, the next to end first."""
    found = Credential.objects.filter(group_id=here.group.id, holder_id=here.member.id, voided_at=None)
    return list(found.order_by("covers", F("expires_on").asc(nulls_last=True), "id"))


def _days(here: Here) -> QuerySet[WorkDay]:
    days = WorkDay.objects.filter(group_id=here.group.id).select_related("property", "leader")
    return days.order_by("on_date", "starts_at", "id")


def _mine(here: Here) -> QuerySet[SignUp]:
    mine = SignUp.objects.filter(group_id=here.group.id, member_id=here.member.id, withdrawn_at=None)
    return mine.select_related("duty")


def _reading(here: Here) -> Entry:
    return Entry(group_id=here.group.id, by=here.actor, at=here.at)


def _lasting(credentials: list[Credential]) -> list[Credential]:
    """Return, of each thing that credentials are for, the one that lasts longest."""
    last: dict[str, Credential] = {}
    for credential in credentials:
        known = last.get(credential.covers)
        if known is None or (credential.expires_on or date.max) > (known.expires_on or date.max):
            last[credential.covers] = credential
    return list(last.values())


def _lapse(today: date, member: Member, credential: Credential, needed_on: date | None) -> Lapse | None:
    last_on = credential.expires_on
    if last_on is None:
        return None
    too_early = needed_on if needed_on and last_on < needed_on else None
    if too_early is None and not today - LONG_AGO <= last_on <= today + SOON:
        return None
    return Lapse(member, credential, last_on < today, too_early)
