"""Places on a day, and who waits for one."""

from collections.abc import Iterator

from stewardship.accounts.models import Member
from stewardship.journal.book import Entry
from stewardship.journal.contents import instant
from stewardship.notices import services as notices
from stewardship.notices.rounds import said
from stewardship.workdays.models import Duty, SignUp, WorkDay
from stewardship.workdays.qualification import people_of
from stewardship.workdays.services.fitness import against_member
from stewardship.workdays.services.telling import when

PLACES_ARE_GIVEN = frozenset({"open", "confirmed"})
"""While the day has not begun, a free place goes to who waits for it."""


def has_place(entry: Entry, day: WorkDay, duty: Duty) -> bool:
    """Tell whether the duty, and the day over all duties, want another person."""
    people = people_of(entry, day)
    if day.capacity is not None and len(people) >= day.capacity:
        return False
    return sum(s.duty_id == duty.id for s in people) < duty.wanted


def waiting_for(entry: Entry, day: WorkDay) -> list[SignUp]:
    """Return who waits for a place on the day, in the order in which they signed up."""
    waiting = [s for s in entry.list_of(SignUp, "work_day_id", day.id) if s.is_waiting and not s.withdrawn_at]
    return sorted(waiting, key=lambda s: s.number)


def fill_places(entry: Entry, day: WorkDay) -> None:
    """Give every free place to the first who waits for it and may take it; who is passed over, and why, is kept.

    Who left the group holds no place any more. Who is suspended may come back, and keeps theirs.
    """
    if day.state not in PLACES_ARE_GIVEN:
        return
    for sign_up in people_of(entry, day):
        if entry.get(Member, sign_up.member_id).ended_at:
            entry.change(sign_up, withdrawn_at=entry.at)
    for sign_up in waiting_for(entry, day):
        duty = entry.get(Duty, sign_up.duty_id)
        if not has_place(entry, day, duty):
            continue
        if codes := list(_against(entry, day, duty, sign_up)):
            _pass_over(entry, sign_up, codes)
        else:
            entry.change(sign_up, is_waiting=False, moved_up_at=entry.at, passed_over=[])
            _tell(entry, day, duty, sign_up)


def _against(entry: Entry, day: WorkDay, duty: Duty, sign_up: SignUp) -> Iterator[str]:
    member = entry.get(Member, sign_up.member_id)
    if not member.is_present:
        yield "member_left"
    yield from (reason["code"] for reason in against_member(entry, day, duty, member))


def _pass_over(entry: Entry, sign_up: SignUp, codes: list[str]) -> None:
    if [each["code"] for each in sign_up.passed_over] != codes:
        entry.change(sign_up, passed_over=[{"at": instant(entry.at), "code": code} for code in codes])


def _tell(entry: Entry, day: WorkDay, duty: Duty, sign_up: SignUp) -> None:
    text = (
        f"A place has become free at {day.title} on {when(day)}: you no longer wait for one, but are signed up as"
        f" {duty}. If you cannot come, please withdraw, so that the next one can."
    )
    notices.tell(
        entry, [sign_up.member_id], kind="moved_up", key=f"moved up {sign_up.id}",
        subject=f"You have a place: {day.title} on {said(day.on_date)}", text=text, path=f"/work-days/{day.id}/",
    )  # fmt: skip
