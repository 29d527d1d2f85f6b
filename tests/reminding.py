"""Looking through a group's calendar as beat and a worker do, at given times."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from stewardship.closeout.reminders import remind_group
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from stewardship.notices.models import Notice
from stewardship.notices.services import letters, reminders
from tests.cast import ZONE, Someone

KINDS = {reminders.KIND: remind_group, letters.KIND: letters.send_letters}


def local(day: str, hour: int = 7, zone: str = ZONE) -> datetime:
    """Return the moment at which it is this hour of this day there."""
    return datetime.combine(date.fromisoformat(day), time(hour), ZoneInfo(zone)).astimezone(UTC)


def workers(at: datetime) -> None:
    """Do as beat and a worker do at this time: ask by the clock, then run what is due."""
    for ask in (reminders.ask_for_reminders, letters.ask_for_letters):
        ask(at)
        for id in list(jobs.due(at).filter(kind__in=KINDS).values_list("id", flat=True)):
            jobs.run(id, KINDS, at=at)
    assert not Job.objects.filter(kind__in=KINDS, state=State.FAILED).exists()


def through(first: str, last: str, hour: int = 7) -> None:
    """Let the workers look once a day from one local date to another."""
    day = date.fromisoformat(first)
    while day <= date.fromisoformat(last):
        workers(local(day.isoformat(), hour))
        day += timedelta(days=1)


def told(someone: Someone) -> list[str]:
    """Return what somebody was told, in order: the part of the key after the last day."""
    found = Notice.objects.filter(member_id=someone.member.id, kind__in=("reminder", "escalation"))
    return [n.key.rsplit(".", 1)[1] for n in found.order_by("made_at", "due_at", "id")]
