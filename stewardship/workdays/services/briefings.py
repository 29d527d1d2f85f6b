"""People are briefed before they begin, and each signs their own line: who came late signs later."""

from collections.abc import Sequence
from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.errors import AlreadyVoided, NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.workdays import fields
from stewardship.workdays.leading import check_leads
from stewardship.workdays.models import Briefing, BriefingSignature, Practice, PracticeKind, WorkDay
from stewardship.workdays.states import check_not_ended


class NotATopic(RuleViolation):
    """A topic of a briefing is one of the list."""

    code = "not_a_topic"
    message = "This is no topic of a briefing: {title}. Choose from the topics, and write anything else in words."
    where = "topics"


class SignedAlready(RuleViolation):
    """A member signs a briefing once."""

    code = "signed_already"
    message = "This member has signed this briefing already."
    where = "member"


class SignedBeforeBriefing(RuleViolation):
    """Nobody signs a briefing that was not held yet."""

    code = "signed_before_briefing"
    message = "This time lies before the briefing. Correct one of the two times."
    where = "signed_at"


def hold_briefing(entry: Entry, new: fields.NewBriefing) -> Briefing:
    """Record a briefing. One leads it oneself, or names who did."""
    check_not_ended(entry.get(WorkDay, new.work_day).state)
    led_by = new.led_by or entry.by.member_id
    _check_topics(entry, new.topics)
    values = columns(new) | {"led_by_id": led_by, "topics": _once(new.topics)}
    return entry.create(Briefing, id=new.id, **values)


def amend_briefing(entry: Entry, wish: fields.AmendBriefing) -> Briefing:
    """Correct what was said; who signed stays."""
    found = entry.get(Briefing, wish.id)
    check_not_ended(entry.get(WorkDay, found.work_day_id).state)
    if found.voided_at:
        raise AlreadyVoided
    values = columns(wish)
    if "topics" in values:
        _check_topics(entry, values["topics"])
        values["topics"] = _once(values["topics"])
    return entry.change(found, **values)


def void_briefing(entry: Entry, wish: Target) -> Briefing:
    """Call a briefing a mistaken entry. Again changes nothing."""
    found = entry.get(Briefing, wish.id)
    check_not_ended(entry.get(WorkDay, found.work_day_id).state)
    return found if found.voided_at else entry.change(found, voided_at=entry.at)


def sign_briefing(entry: Entry, new: fields.NewBriefingSignature) -> BriefingSignature:
    """Sign a briefing: one's own line; a leader enters the line that somebody signed on a sheet."""
    briefing = entry.get(Briefing, new.briefing)
    entry.load(WorkDay, [briefing.work_day_id], lock=False)
    day = entry.get(WorkDay, briefing.work_day_id)
    member_id = new.member or entry.by.member_id
    check_not_ended(day.state)
    if briefing.voided_at:
        raise AlreadyVoided
    if member_id != entry.by.member_id or new.sheet:
        check_leads(entry, day, "Only the leader of the day, or a coordinator, enters a sheet that was signed.")
    if member_id != entry.by.member_id and not new.sheet.strip():
        raise NotPermitted("Each signs their own line. Name the sheet that this member signed.")
    if new.signed_at < briefing.held_at:
        raise SignedBeforeBriefing
    signed = entry.list_of(BriefingSignature, "briefing_id", briefing.id)
    if any(each.member_id == member_id and not each.voided_at for each in signed):
        raise SignedAlready
    values = columns(new) | {"member_id": member_id, "work_day_id": day.id}
    return entry.create(BriefingSignature, id=new.id, **values)


def void_signature(entry: Entry, wish: Target) -> BriefingSignature:
    """Call a line a mistaken entry. Again changes nothing."""
    found = entry.get(BriefingSignature, wish.id)
    check_not_ended(entry.get(WorkDay, found.work_day_id).state)
    return found if found.voided_at else entry.change(found, voided_at=entry.at)


def unsigned(entry: Entry, day: WorkDay, came: Sequence[Member]) -> list[Member]:
    """Return who came and signed no briefing of the day that counts."""
    held = {b.id for b in entry.list_of(Briefing, "work_day_id", day.id) if not b.voided_at}
    signed = {
        each.member_id
        for each in entry.list_of(BriefingSignature, "work_day_id", day.id)
        if each.briefing_id in held and not each.voided_at
    }
    return [member for member in came if member.id not in signed]


def _check_topics(entry: Entry, ids: Sequence[UUID]) -> None:
    for id in ids:
        topic = entry.get(Practice, id)
        if topic.what != PracticeKind.TOPIC:
            raise NotATopic(title=topic.title)


def _once(ids: Sequence[UUID]) -> list[str]:
    return list(dict.fromkeys(str(id) for id in ids))
