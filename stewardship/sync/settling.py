"""Settle what was held: release it in its author's name, decide a conflict field by field, or void it.

These services change the state of what waits. What a release performs is decided beside them (``deciding``).
"""

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.sync import fields
from stewardship.sync.models import State, ToSettle


class AlreadySettled(RuleViolation):
    """What was settled waits no more."""

    code = "already_settled"
    message = "This entry does not wait any more: it was {state}."


class NothingDisputed(RuleViolation):
    """Whose value stands is asked where two people changed the same."""

    code = "nothing_disputed"
    message = "No two people changed the same here. Release this entry, or void it."


class ChoiceMissing(RuleViolation):
    """Each disputed field is decided, and no other."""

    code = "choice_missing"
    message = "Say for each disputed field, and for no other, whose value is to stand: {names}."
    where = "fields"


def release(entry: Entry, wish: Target) -> ToSettle:
    """Release an entry that waits: it is performed in its author's name. Raises AlreadySettled."""
    return end(entry, _waiting(entry, wish), State.RELEASED, wish.reason)


def settle(entry: Entry, wish: fields.SettleFields) -> ToSettle:
    """Decide a conflict field by field. Raises AlreadySettled, NothingDisputed, ChoiceMissing."""
    item = _waiting(entry, wish)
    if not item.fields:
        raise NothingDisputed
    if item.fields.keys() != wish.fields.keys():
        raise ChoiceMissing(names=", ".join(sorted(item.fields)))
    return end(entry, item, State.SETTLED, wish.reason)


def void(entry: Entry, wish: Target) -> ToSettle:
    """Say that an entry was a mistake, with all that stands or falls with it; it stays on record.

    Voiding it again changes nothing. Raises AlreadySettled.
    """
    item = entry.get(ToSettle, wish.id)
    if item.state == State.VOIDED:
        return item
    _waiting(entry, wish)
    for other in entry.list_of(ToSettle, "together", item.together) if item.together else ():
        if other.is_waiting:
            end(entry, other, State.VOIDED, wish.reason)
    return end(entry, item, State.VOIDED, wish.reason)


def end(entry: Entry, item: ToSettle, state: State, why: str) -> ToSettle:
    """Let an entry wait no more."""
    if not item.is_waiting:
        return item
    return entry.change(item, state=str(state), settled_by_id=entry.by.member_id, settled_at=entry.at, settled_why=why)


def _waiting(entry: Entry, wish: Target) -> ToSettle:
    item = entry.get(ToSettle, wish.id)
    if not item.is_waiting:
        raise AlreadySettled(state=item.state)
    return item
