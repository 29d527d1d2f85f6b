"""Who leads a work day: signed up as its leader, or a coordinator."""

from stewardship.errors import NotPermitted
from stewardship.journal.book import Entry
from stewardship.workdays.models import Duty, DutyName, SignUp, WorkDay


def leads(entry: Entry, day: WorkDay) -> bool:
    """Tell whether the person manages work days, is named as leader of this one, or signed up as its leader."""
    if entry.by.may("manage_work_days") or day.leader_id == entry.by.member_id:
        return True
    leading = {duty.id for duty in entry.list_beside(Duty, "work_day_id", day) if duty.name == DutyName.LEADER}
    return any(
        each.duty_id in leading
        and each.member_id == entry.by.member_id
        and each.withdrawn_at is None
        and not each.is_waiting
        for each in entry.list_beside(SignUp, "work_day_id", day)
    )


def check_leads(entry: Entry, day: WorkDay, refusal: str) -> None:
    """Refuse who neither leads the day nor manages work days. Raises NotPermitted."""
    if not leads(entry, day):
        raise NotPermitted(refusal)
