"""Records of use that lack what a rule of their place asks for: the day they belong to is not closed."""

from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Group
from stewardship.journal.book import Entry
from stewardship.treatments.models import Application, Batch, Session
from stewardship.treatments.verdicts.judging import Judged, judge_lines
from stewardship.treatments.verdicts.shelf import JUDGED
from stewardship.workdays.models import WorkDay
from stewardship.workdays.reasons import Reason

FIRST = 3
"""How many missing things are named before the rest is counted."""

Lacking = dict[UUID, list[Judged]]
"""Work day -> how its lines stand that lack something under a rule."""


def records_of_days(entry: Entry, wishes: list[Any]) -> Lacking:
    """Judge the lines of these days by the rules of their places, all together, as the book has them."""
    return incomplete(entry, {wish.id for wish in wishes})


def incomplete(entry: Entry, days: Iterable[UUID]) -> Lacking:
    """Return how the lines of these days stand that lack something; the same statements however many they are."""
    lines = Application.objects.filter(group_id=entry.group_id, work_day_id__in=days, voided_at=None)
    found: Lacking = {}
    group = Group.objects.get(id=entry.group_id)
    for judged in judge_lines(
        group, list(lines.select_related(*JUDGED, "session__applicator").order_by("on_date", "id")), entry.at
    ):
        if not judged.verdict.is_complete and judged.line.work_day_id:
            found.setdefault(judged.line.work_day_id, []).append(judged)
    return found


def record_incomplete(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which records of the day lack what a rule asks for.

    The rules judge what stands in the book. What this entry itself has changed of it is judged once it stands there.
    """
    if _has_staged(entry, day):
        detail = "Records of this day came in the same moment. Close the day once they stand in the book."
        yield {"code": "record_not_judged", "detail": detail, "where": "sessions"}
        return
    if records_of_days not in entry.surveyed:
        entry.surveyed[records_of_days] = incomplete(entry, [day.id])
    told: set[tuple[UUID, str]] = set()
    for judged in entry.surveyed[records_of_days].get(day.id, ()):
        rule = judged.verdict.profile.name
        if (judged.line.session_id, rule) not in told:
            told.add((judged.line.session_id, rule))
            who, unit = judged.line.session.done_by, judged.line.unit.name
            detail = f"The record of {who} in {unit} lacks {_missing(judged)} ({rule}). Complete it."
            where = f"sessions/{judged.line.session_id}"
            yield {"code": "record_incomplete", "detail": detail, "where": where}


def _missing(judged: Judged) -> str:
    words = list(dict.fromkeys(missing.words for missing in judged.verdict.missing))
    more = len(words) - FIRST
    return "; ".join(words[:FIRST]) + (f"; and {more} more" if more > 0 else "")


def _has_staged(entry: Entry, day: WorkDay) -> bool:
    sessions = [each for each in entry.known(Session).values() if each.work_day_id == day.id]
    batches = [each for each in entry.known(Batch).values() if each.work_day_id == day.id]
    return any(entry.is_staged(each) for each in (*sessions, *batches)) or any(
        each.work_day_id == day.id for each in entry.staged(Application)
    )
