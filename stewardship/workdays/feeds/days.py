"""Which work days a calendar reads, and how often each has changed in what a calendar shows of it."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any
from uuid import UUID

import orjson

from stewardship.journal.models import Revision
from stewardship.workdays.models import CalendarFeed, SignUp, WorkDay
from stewardship.workdays.models.feeds import Scope
from stewardship.workdays.states import State

KEPT = timedelta(days=92)
"""How long a day that is over stays in the calendar."""

MOST = 500
"""Work days in one calendar: the latest of them."""

MATTERS = ("on_date", "starts_at", "ends_at", "property", "meeting_point", "state")
"""Of a work day: what somebody would turn up wrongly for, had they not heard of its change."""

UNSEEN = frozenset({State.DRAFT, State.CANCELLED})
"""A day that was only ever in these states was never announced."""


@dataclass(frozen=True)
class Entered:
    """A work day in somebody's calendar, with their sign-up if they have one."""

    day: WorkDay
    mine: SignUp | None
    sequence: int
    """How often what matters of it changed."""
    changed_at: datetime


def days_of(feed: CalendarFeed, today: date) -> list[Entered]:
    """Return the work days of a feed by date; three statements, whatever their number."""
    sign_ups = SignUp.objects.filter(
        group_id=feed.group_id, member_id=feed.member_id, withdrawn_at=None, work_day__on_date__gte=today - KEPT
    )
    mine = {s.work_day_id: s for s in sign_ups.select_related("duty")}
    days = WorkDay.objects.filter(group_id=feed.group_id, on_date__gte=today - KEPT).exclude(state=State.DRAFT)
    if feed.scope == Scope.OWN:
        days = days.filter(id__in=list(mine))
    latest = list(days.select_related("property").order_by("-on_date", "-id")[:MOST])
    past = _revisions(feed.group_id, [*(d.id for d in latest), *(s.id for s in mine.values())])
    entered = [_entered(day, mine.get(day.id), past) for day in reversed(latest) if _was_announced(past[day.id])]
    return entered


Past = dict[UUID, list[tuple[datetime, dict[str, Any]]]]
"""Record -> when it was written and what it said each time, in order."""


def _revisions(group_id: UUID, ids: list[UUID]) -> Past:
    past: Past = defaultdict(list)
    found = Revision.objects.filter(group_id=group_id, record_id__in=ids).order_by("record_id", "rev")
    for record_id, at, content in found.values_list("record_id", "at", "content"):
        past[record_id].append((at, orjson.loads(content) if content else {}))
    return past


def _was_announced(told: list[tuple[datetime, dict[str, Any]]]) -> bool:
    return any(content.get("state", State.DRAFT) not in UNSEEN for _, content in told)


def _entered(day: WorkDay, mine: SignUp | None, past: Past) -> Entered:
    told = past[day.id]
    seen = [[content.get(name) for name in MATTERS] for _, content in told if content]
    written = [at for at, _ in told + (past[mine.id] if mine else [])]
    return Entered(day, mine, sum(before != after for before, after in pairwise(seen)), max(written))
