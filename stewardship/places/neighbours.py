"""Whether landowner and neighbours were told of herbicide work in time."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from stewardship.places.lacks import Lack
from stewardship.places.models import LandPermission, NeighbourNotice
from stewardship.rules.dates import said


@dataclass(frozen=True, slots=True)
class Window:
    """Between how many hours before the work registered neighbours within a distance are told, by a stored limit.

    ``within_nm`` [nm]: None where no distance is stored.
    """

    least_hours: int
    most_hours: int | None
    within_nm: int | None
    wording: str
    source: str

    def opens_at(self, starts_at: datetime) -> datetime | None:
        """Return from when on they may be told; None: at any time before."""
        return None if self.most_hours is None else starts_at - timedelta(hours=self.most_hours)

    def holds(self, told_at: datetime, starts_at: datetime) -> bool:
        """Return whether somebody was told in time; both ends of the window are in it."""
        opens_at = self.opens_at(starts_at)
        return told_at <= starts_at - timedelta(hours=self.least_hours) and (opens_at is None or opens_at <= told_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """Work on a local date from a moment on. ``at``: when it is asked, of a plan; None: the work was done."""

    on: date
    starts_at: datetime
    at: datetime | None = None


def landowner_not_told(
    permissions: Iterable[LandPermission], notices: Sequence[NeighbourNotice], work: Planned
) -> Iterator[Lack]:
    """Tell which permissions want a notice that was not given in time; given to the hour is in time."""
    for permission in permissions:
        if not permission.holds_on(work.on) or not permission.notice:
            continue
        hours = permission.notice["hours_before"]
        due_at = work.starts_at - timedelta(hours=hours)
        its = [each for each in notices if each.permission_id == permission.id and _concerns(each, work.on)]
        told = [moment for each in its for moment in _told(each)]
        if any(moment <= due_at for moment in told):
            continue
        late = f"notice was given less than {hours} hours before" if told else "no notice is on record"
        detail = f"The landowner's permission of {said(permission.given_on)} wants notice {hours} hours before; {late}."
        yield Lack("notice_not_given", detail, permission.document, f"permissions/{permission.id}")


def neighbours_not_told(windows: Iterable[Window], notices: Sequence[NeighbourNotice], work: Planned) -> Iterator[Lack]:
    """Tell which registered neighbours were not told in the window; of a plan only once the window has opened."""
    for window in windows:
        opens_at = window.opens_at(work.starts_at)
        if work.at and opens_at and work.at < opens_at:
            continue
        for each in notices:
            if not each.registered or each.permission_id or not _concerns(each, work.on) or _beyond(each, window):
                continue
            if not any(window.holds(moment, work.starts_at) for moment in _told(each)):
                yield Lack("neighbour_not_told", _untold(each, window), window.source, f"neighbour-notices/{each.id}")


def _untold(notice: NeighbourNotice, window: Window) -> str:
    far = f" {notice.distance_value} {notice.distance_unit} away" if notice.distance_value else ""
    tries = len(notice.attempts)
    made = f"{tries} attempt{'' if tries == 1 else 's'} on record" if tries else "no attempt is on record"
    most = f"{window.least_hours} to {window.most_hours}" if window.most_hours else f"at least {window.least_hours}"
    return f"A registered neighbour{far} was not told {most} hours before the work; {made}. {window.wording}"


def _concerns(notice: NeighbourNotice, on: date) -> bool:
    return notice.voided_at is None and notice.first_on <= on <= notice.last_on


def _beyond(notice: NeighbourNotice, window: Window) -> bool:
    """Return whether somebody lives further away than the limit says; a distance that is not known is within."""
    return window.within_nm is not None and notice.distance_nm is not None and notice.distance_nm > window.within_nm


def _told(notice: NeighbourNotice) -> list[datetime]:
    return [datetime.fromisoformat(each["at"]) for each in notice.attempts if each["told"]]
