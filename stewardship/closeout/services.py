"""A work day is closed when nothing about it is left open; refused, every reason is told."""

from collections.abc import Callable, Iterable, Iterator

from stewardship.accounts.models import Member
from stewardship.closeout.keeping import incident_not_asked, incident_unanswered, not_signed, sign_still_up
from stewardship.closeout.records import record_incomplete
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.treatments.accounts import does_not_balance
from stewardship.treatments.models import Application, Batch, Container, Contractor, Leftover, Session
from stewardship.treatments.services.answers import codes_of_batch, open_codes
from stewardship.treatments.services.balances import account_in
from stewardship.treatments.services.licences import RESTRICTED
from stewardship.workdays.models import Attendance, WorkDay
from stewardship.workdays.reasons import Reason, ReasonsStand
from stewardship.workdays.states import StateWrong, moved


class DayNotClosable(ReasonsStand):
    """A work day is closed once: what is open is settled before."""

    code = "day_not_closable"
    lead = "This work day cannot be closed yet."


MAY_STAY_UNKNOWN = frozenset({"record_incomplete"})
"""What a day is closed with where a reason is given: all else can be told or settled."""


def close_work_day(entry: Entry, wish: Target) -> WorkDay:
    """Close a day that is done or was stopped: after that nothing about it changes.

    What a record lacks may be what nobody knows any more. A coordinator who says so closes the day, and it is kept.
    """
    day = entry.get(WorkDay, wish.id)
    reasons = reasons_open(entry, day)
    if entry.cause.reason.strip():
        reasons = [reason for reason in reasons if reason["code"] not in MAY_STAY_UNKNOWN]
    if reasons:
        raise DayNotClosable(reasons)
    return entry.change(day, state=moved(day.state, "close"))


def reasons_open(entry: Entry, day: WorkDay) -> list[Reason]:
    """Return everything that keeps a day from being closed."""
    return [reason for still_open in STILL_OPEN for reason in still_open(entry, day)]


def not_over(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell whether the day is neither done nor stopped."""
    try:
        moved(day.state, "close")
    except StateWrong as rule:
        yield {"code": rule.code, "detail": str(rule), "where": rule.where}


def not_checked_out(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell who has not checked out: their hours are unknown until somebody says when they left."""
    came = [a for a in entry.list_of(Attendance, "work_day_id", day.id) if not (a.voided_at or a.out_at)]
    entry.load(Member, [a.member_id for a in came], lock=False)
    for attendance in came:
        name = entry.get(Member, attendance.member_id).display_name
        detail = f"{name} has not checked out. Enter the time, or an estimate."
        yield {"code": "not_checked_out", "detail": detail, "where": f"members/{attendance.member_id}"}


def not_ended(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which treatment sessions have no end."""
    begun = [s for s in entry.list_of(Session, "work_day_id", day.id) if not (s.voided_at or s.ended_at)]
    entry.load(Member, [s.applicator_id for s in begun if s.applicator_id], lock=False)
    entry.load(Contractor, [s.contractor_id for s in begun if s.contractor_id], lock=False)
    for session in begun:
        name = _party(entry, session)
        detail = f"A treatment session of {name} has not ended. Enter its end."
        yield {"code": "session_not_ended", "detail": detail, "where": f"sessions/{session.id}"}


def _party(entry: Entry, session: Session) -> str:
    """Return the name of who treats in a session."""
    if session.contractor_id:
        return entry.get(Contractor, session.contractor_id).name
    assert session.applicator_id
    return entry.get(Member, session.applicator_id).display_name


def not_balanced(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which batches of the day do not balance, and by how much; one that was closed gave its reason then."""
    for batch in entry.list_of(Batch, "work_day_id", day.id):
        if batch.voided_at or batch.closed_at:
            continue
        if detail := does_not_balance(batch, account_in(entry, batch)):
            detail += " Measure what is left, or close the batch with a reason."
            yield {"code": "batch_does_not_balance", "detail": detail, "where": f"batches/{batch.id}"}


def bottle_not_back(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which numbered bottles are out: what was used of them is unknown."""
    for container in _bottles(entry, day):
        if container.used_nl is None:
            name = entry.get(Member, container.holder_id).display_name
            detail = f"Bottle {container.number} of {name} has not come back. Enter what came back in it."
            yield {"code": "container_not_back", "detail": detail, "where": f"containers/{container.id}"}


def bottle_not_shared(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell of which numbered bottles something was used that stands in no line."""
    for container in _bottles(entry, day):
        if container.unshared_nl:
            name = entry.get(Member, container.holder_id).display_name
            detail = f"What was used of bottle {container.number} of {name} stands in no line. Say where it went."
            yield {"code": "container_not_shared", "detail": detail, "where": f"containers/{container.id}"}


def _bottles(entry: Entry, day: WorkDay) -> list[Container]:
    """Return the day's outings of bottles that count, their holders loaded."""
    found = [each for each in entry.list_of(Container, "work_day_id", day.id) if not each.voided_at]
    entry.load(Member, [each.holder_id for each in found], lock=False)
    return found


def leftover_nowhere(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which leftovers have neither an end nor a known store.

    One that is kept somewhere known is stock of its own, with an age and an end to come: it keeps no day open.
    """
    for leftover in _leftovers(entry, day):
        if leftover.is_open() and not leftover.kept_where.strip():
            detail = (
                f"Nobody says where the leftover {leftover.volume_value} {leftover.volume_unit} is kept. "
                "Enter where, or how it ended."
            )
            yield {"code": "leftover_nowhere", "detail": detail, "where": f"leftovers/{leftover.id}"}


def _leftovers(entry: Entry, day: WorkDay) -> list[Leftover]:
    """Return the leftovers of the day and of its batches, each once."""
    batches = entry.list_of(Batch, "work_day_id", day.id)
    of_batches = [each for batch in batches for each in entry.list_beside(Leftover, "batch_id", batch)]
    return list({each.id: each for each in (*entry.list_of(Leftover, "work_day_id", day.id), *of_batches)}.values())


def restricted_unanswered(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell where a restricted-use product was mixed or used without a licence and nobody answered for it."""
    for session in entry.list_of(Session, "work_day_id", day.id):
        if not session.voided_at and RESTRICTED in open_codes(session, _marked(entry, day, session)):
            yield _unanswered(f"sessions/{session.id}", "used")
    for batch in entry.list_of(Batch, "work_day_id", day.id):
        if not batch.voided_at and RESTRICTED in open_codes(batch, codes_of_batch(batch)):
            yield _unanswered(f"batches/{batch.id}", "mixed")


def _marked(entry: Entry, day: WorkDay, session: Session) -> set[str]:
    lines = [line for line in entry.list_of(Application, "work_day_id", day.id) if line.session_id == session.id]
    return {mark["code"] for line in lines if not line.voided_at for mark in line.marks}


def _unanswered(where: str, what: str) -> Reason:
    detail = (
        f"A restricted-use product was {what} and nobody with a credential for it is named. A coordinator answers that "
        "with a reason or a letter."
    )
    return {"code": "restricted_use_unanswered", "detail": detail, "where": where}


STILL_OPEN: list[Callable[[Entry, WorkDay], Iterable[Reason]]] = [
    not_over,
    not_checked_out,
    not_ended,
    not_balanced,
    bottle_not_back,
    bottle_not_shared,
    leftover_nowhere,
    sign_still_up,
    not_signed,
    incident_not_asked,
    incident_unanswered,
    record_incomplete,
    restricted_unanswered,
]
"""What looks for something left open on a day: each part of the day's work adds its own."""
