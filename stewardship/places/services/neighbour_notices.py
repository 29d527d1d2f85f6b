"""Who is to be told before work is entered, and every attempt to tell them."""

from collections.abc import Mapping
from typing import Any

from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.contents import instant
from stewardship.journal.fields import Target, columns, no_quantity
from stewardship.places import fields
from stewardship.places.models import LandPermission, NeighbourNotice


class NoticeUpsideDown(RuleViolation):
    """Work ends on or after the day when it begins."""

    code = "notice_upside_down"
    message = "The last day of the work lies before the first. Correct one of the two dates."
    where = "last_on"


class PermissionElsewhere(RuleViolation):
    """A landowner is told of work on their own land."""

    code = "permission_elsewhere"
    message = "This permission is for another property. Choose a permission of the property that the notice is about."
    where = "permission"


class AttemptInFuture(RuleViolation):
    """An attempt was made before it is entered."""

    code = "attempt_in_future"
    message = "This attempt lies in the future. Enter it once it was made."
    where = "at"


def add_notice(entry: Entry, new: fields.NewNeighbourNotice) -> NeighbourNotice:
    """Enter somebody who is to be told of work."""
    values = _columns(new)
    _check_days(values)
    if new.permission and entry.get(LandPermission, new.permission).property_id != new.property:
        raise PermissionElsewhere
    return entry.create(NeighbourNotice, id=new.id, **values)


def amend_notice(entry: Entry, wish: fields.AmendNeighbourNotice) -> NeighbourNotice:
    """Correct who is to be told of what; the attempts stay."""
    notice, values = _living(entry, wish), _columns(wish)
    _check_days(vars(notice) | values)
    return entry.change(notice, **values)


def record_attempt(entry: Entry, wish: fields.Attempt) -> NeighbourNotice:
    """Record an attempt to tell somebody, whatever came of it; the same one again changes nothing."""
    notice = _living(entry, wish)
    if wish.at > entry.at:
        raise AttemptInFuture
    by = str(wish.by or entry.by.member_id)
    attempt = {"at": instant(wish.at), "how": wish.how, "by": by, "outcome": wish.outcome, "told": wish.told}
    if attempt in notice.attempts:
        return notice
    told_at = max(filter(None, (notice.told_at, wish.at))) if wish.told else notice.told_at
    return entry.change(notice, attempts=[*notice.attempts, attempt], told_at=told_at)


def void_notice(entry: Entry, wish: Target) -> NeighbourNotice:
    """Take a notice out that was entered by mistake; doing it again changes nothing."""
    notice = entry.get(NeighbourNotice, wish.id)
    return notice if notice.voided_at else entry.change(notice, voided_at=entry.at)


def reinstate_notice(entry: Entry, wish: Target) -> NeighbourNotice:
    """Put a voided notice back."""
    return entry.change(entry.get(NeighbourNotice, wish.id), voided_at=None)


def _living(entry: Entry, wish: Target) -> NeighbourNotice:
    notice = entry.get(NeighbourNotice, wish.id)
    if notice.voided_at:
        raise AlreadyVoided
    return notice


def _columns(wish: Any) -> dict[str, Any]:
    """Return the columns of a notice; a distance that is not known is three empty columns."""
    values = columns(wish)
    if wish.distance is None:
        del values["distance"]
        values |= no_quantity("distance", "nm")
    return values


def _check_days(values: Mapping[str, Any]) -> None:
    if values["last_on"] < values["first_on"]:
        raise NoticeUpsideDown
