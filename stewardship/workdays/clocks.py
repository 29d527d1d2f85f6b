"""How long there is to report an incident, by every published clock that runs for it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from stewardship.accounts.models import Group
from stewardship.places.jurisdictions import jurisdiction_of
from stewardship.rules.deadlines import Clock, Standing, due_at, standing
from stewardship.workdays.models import Incident, Practice, PracticeKind


@dataclass(frozen=True)
class Running:
    """One clock of one incident: when it is due, and where the incident stands on it."""

    incident: Incident
    practice: Practice
    due: datetime | None
    standing: Standing

    @property
    def is_overdue(self) -> bool:
        """Tell whether its time ran out and nobody was told."""
        return self.standing.state == "overdue"


def running(group: Group, at: datetime) -> list[Running]:
    """Return every clock of every incident that nobody has answered, the next due first; two statements."""
    open_ones = Incident.objects.filter(group_id=group.id, voided_at=None, answered_at=None)
    incidents = open_ones.select_related("property").order_by("happened_at", "id")
    found = clocks_of(group, incidents, practices_of(group.id), at)
    return sorted(found, key=lambda each: (each.due is None, each.due, each.incident.id))


def practices_of(group_id: UUID) -> list[Practice]:
    """Return the practices of a group that are in use, in their order."""
    rows = Practice.objects.filter(group_id=group_id, retired_at=None)
    return list(rows.order_by("what", "place", "title", "id"))


def clocks_of(
    group: Group, incidents: Iterable[Incident], practices: Iterable[Practice], at: datetime
) -> Iterator[Running]:
    """Give each clock that runs for these incidents, read with their properties: hours run in absolute time."""
    clocks = [each for each in practices if each.what == PracticeKind.CLOCK]
    for incident in incidents:
        place = jurisdiction_of(incident.property, group)
        for practice in clocks:
            if _runs(practice, incident, place):
                due = due_at(incident.happened_at, ZoneInfo(incident.time_zone), Clock(**practice.clock))
                yield Running(incident, practice, due, standing(at, due, first_told(incident)))


def first_told(incident: Incident) -> datetime | None:
    """Return when the first person was told of an incident; None where nobody was."""
    told: list[dict[str, Any]] = incident.notified
    return min((datetime.fromisoformat(each["at"]) for each in told), default=None)


def _runs(practice: Practice, incident: Incident, place: str) -> bool:
    """Tell whether a clock is about this kind of incident, and the group goes by it or the place's law has it."""
    if practice.subject not in ("", incident.what):
        return False
    return practice.is_followed if not practice.jurisdiction else practice.jurisdiction == place
