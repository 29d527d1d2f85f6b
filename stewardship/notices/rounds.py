"""A round: one look at a group's calendar, and what it finds to tell."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from functools import cached_property
from typing import NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from stewardship.accounts.models import Group, Member
from stewardship.notices.models import NotificationSettings
from stewardship.rules.dates import local_date


class Due(NamedTuple):
    """Something that a member is to be told now, once under its key."""

    member_id: UUID
    kind: str
    key: str
    subject: str
    text: str
    path: str
    due_at: datetime


class Ending(NamedTuple):
    """Something of a member that has a last day: a credential, a training, a consent."""

    key: str
    """What it is, without its last day: another last day is reminded of anew."""
    member_id: UUID
    last_on: date
    name: str
    """What it is called, after "your": ``herbicide credential QX-4471``."""
    what_to_do: str
    """A sentence or two for its holder."""
    is_renewed: bool
    """Whether something newer is good on the day after: then nobody is reminded."""
    needed: tuple[date, str] | None = None
    """The first day after its last one on which it is needed, and for what: ``applicator for Buckthorn``."""
    path: str = ""
    """The page where its holder sees it."""
    coordinators_path: str = ""


@dataclass(frozen=True)
class Round:
    """One look at a group's calendar: the moment, and who belongs to the group."""

    group: Group
    at: datetime
    members: dict[UUID, Member]
    """Who belongs to the group now."""
    settings: dict[UUID, NotificationSettings]

    @cached_property
    def zone(self) -> ZoneInfo:
        """Return the zone by whose clock the group lives."""
        return ZoneInfo(self.group.time_zone)

    @cached_property
    def today(self) -> date:
        """Return the date on the group's calendar."""
        return local_date(self.at, self.zone)

    @cached_property
    def coordinators(self) -> list[Member]:
        """Return the coordinators, the longest-serving first."""
        found = [m for m in self.members.values() if m.role == "coordinator"]
        return sorted(found, key=lambda member: (member.entered_at, member.id))

    def lead_days(self, member_id: UUID) -> list[int]:
        """Return how many days before an end a member is reminded of what is their own."""
        own = self.settings.get(member_id)
        return self.group.lead_days if own is None or own.lead_days is None else own.lead_days

    def second(self, holder_id: UUID) -> Member | None:
        """Return to whom it comes that nobody acted: the coordinator chosen, else the longest-serving after the first.

        The holder is left out, unless there is nobody else.
        """
        others = [m for m in self.coordinators if m.id != holder_id]
        chosen = [m for m in others if m.id == self.group.second_coordinator_id]
        return next(iter(chosen or others[1:] or others or self.coordinators), None)

    def midnight(self, on: date) -> datetime:
        """Return when this date begins by the group's clock."""
        return datetime.combine(on, time(), self.zone).astimezone(UTC)


Endings = Callable[[Round], Iterable[Ending]]
"""Finds what ends; a bounded number of statements, whatever the group has."""

Watch = Callable[[Round], Iterable[Due]]
"""Finds something else to tell; a bounded number of statements."""


def read_round(group: Group, at: datetime) -> Round:
    """Return the round of a group at this moment; two statements."""
    members = Member.objects.present().filter(group_id=group.id)
    settings = NotificationSettings.objects.filter(group_id=group.id)
    return Round(group, at, {m.id: m for m in members}, {s.member_id: s for s in settings})


def said(on: date) -> str:
    """Return a date as a mail says it."""
    return f"{on:%A} {on.day} {on:%B %Y}"


def listed(names: Sequence[str]) -> str:
    """Return names as a sentence tells them: A, B and C."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
