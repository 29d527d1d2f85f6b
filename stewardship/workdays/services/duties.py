"""Duties are laid out on a work day; members sign up for them and withdraw."""

from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.credentials.standing import marks_for
from stewardship.errors import NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.workdays import fields
from stewardship.workdays.models import Duty, SignUp, WorkDay
from stewardship.workdays.readiness import people_of, standing_for
from stewardship.workdays.reasons import NotQualified
from stewardship.workdays.states import check_not_ended, check_wants_people


class DutyElsewhere(RuleViolation):
    """A duty belongs to one work day."""

    code = "duty_elsewhere"
    message = "This duty belongs to another work day."
    where = "duty"


class DutyFull(RuleViolation):
    """A duty takes as many people as are wanted."""

    code = "duty_full"
    message = "All {wanted} people wanted as {duty} have signed up. Choose another duty, or ask a coordinator."
    where = "duty"


class AlreadySignedUp(RuleViolation):
    """A member does one duty on a work day."""

    code = "already_signed_up"
    message = "This member is signed up for this work day already. Withdraw that first to change the duty."
    where = "member"


class MemberLeft(RuleViolation):
    """Former members are not planned for."""

    code = "member_left"
    message = "This person has left the group and cannot be signed up."
    where = "member"


def add_duty(entry: Entry, new: fields.NewDuty) -> Duty:
    """Lay out a duty on a work day."""
    check_not_ended(entry.get(WorkDay, new.work_day).state)
    return entry.create(Duty, id=new.id, **columns(new))


def amend_duty(entry: Entry, wish: fields.AmendDuty) -> Duty:
    """Change how many people a duty wants, or their minimum age; who signed up stays."""
    duty = entry.get(Duty, wish.id)
    check_not_ended(entry.get(WorkDay, duty.work_day_id).state)
    return entry.change(duty, **columns(wish))


def sign_up(entry: Entry, new: fields.NewSignUp) -> SignUp:
    """Sign a member up for a duty: oneself, or anybody if one manages work days."""
    day, duty = entry.get(WorkDay, new.work_day), entry.get(Duty, new.duty)
    member_id = new.member or entry.by.member_id
    check_own(entry, member_id, "Only a coordinator can sign somebody else up.")
    entry.load(Member, [member_id], lock=False)
    member = entry.get(Member, member_id)
    if duty.work_day_id != day.id:
        raise DutyElsewhere
    if member.ended_at:
        raise MemberLeft
    check_wants_people(day.state)
    _check_place(entry, day, duty, member)
    _check_qualified(entry, day, duty, member)
    return entry.create(SignUp, id=new.id, work_day_id=day.id, duty_id=duty.id, member_id=member.id)


def withdraw(entry: Entry, wish: Target) -> SignUp:
    """Take a sign-up back: one's own, or anybody's if one manages work days. Again changes nothing."""
    found = entry.get(SignUp, wish.id)
    check_own(entry, found.member_id, "Only a coordinator can withdraw somebody else's sign-up.")
    if found.withdrawn_at:
        return found
    check_wants_people(entry.get(WorkDay, found.work_day_id).state)
    return entry.change(found, withdrawn_at=entry.at)


def check_own(entry: Entry, member_id: UUID, refusal: str) -> None:
    """Refuse who acts for somebody else without managing work days. Raises NotPermitted."""
    if member_id != entry.by.member_id and not entry.by.may("manage_work_days"):
        raise NotPermitted(refusal)


def _check_place(entry: Entry, day: WorkDay, duty: Duty, member: Member) -> None:
    people = people_of(entry, day)
    if any(s.member_id == member.id for s in people):
        raise AlreadySignedUp
    if sum(s.duty_id == duty.id for s in people) >= duty.wanted:
        raise DutyFull(wanted=duty.wanted, duty=str(duty))


def _check_qualified(entry: Entry, day: WorkDay, duty: Duty, member: Member) -> None:
    found = standing_for(entry, member.id, duty, day.on_date) if day.herbicide_planned else None
    marks = marks_for(found, "member", day.on_date) if found else []
    if marks:
        where = f"members/{member.id}"
        raise NotQualified([{"code": m["code"], "detail": m["detail"], "where": where} for m in marks])
