"""Members sign up for duties, wait for a place, and withdraw."""

from uuid import UUID

from stewardship.accounts.models import Member, Person
from stewardship.errors import NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.journal.ids import new_id
from stewardship.rules.dates import local_date
from stewardship.workdays import fields
from stewardship.workdays.leading import leads
from stewardship.workdays.models import Duty, DutyName, SignUp, WorkDay
from stewardship.workdays.qualification import people_of
from stewardship.workdays.reasons import NotQualified
from stewardship.workdays.services.fitness import against_member
from stewardship.workdays.services.waiting import fill_places, has_place
from stewardship.workdays.states import check_wants_people

LEADERS = (DutyName.LEADER, DutyName.TEAM_LEADER)


class DutyElsewhere(RuleViolation):
    """A duty belongs to one work day."""

    code = "duty_elsewhere"
    message = "This duty belongs to another work day."
    where = "duty"


class DutyDropped(RuleViolation):
    """Nobody signs up for a duty that is not wanted any more."""

    code = "duty_dropped"
    message = "Nobody is wanted as {duty} any more. Choose another duty, or ask a coordinator."
    where = "duty"


class LeaderIsNamed(RuleViolation):
    """Who leads a day sees whom to call for everybody, so nobody takes that by themselves."""

    code = "leader_is_named"
    message = "A coordinator says who leads a day: the leader sees whom to call for everybody. Ask one to sign you up."
    where = "duty"


class SignUpClosed(RuleViolation):
    """Sign-up for a day can end before the day."""

    code = "sign_up_closed"
    message = "Sign-up for this day has closed. Ask a coordinator whether you can still come."
    where = "work_day"


class AlreadySignedUp(RuleViolation):
    """A member does one duty on a work day, or waits for one."""

    code = "already_signed_up"
    message = "This member is signed up for this work day already. Withdraw that first to change the duty."
    where = "member"


class MemberLeft(RuleViolation):
    """Former members are not planned for."""

    code = "member_left"
    message = "This person has left the group and cannot be signed up."
    where = "member"


def sign_up(entry: Entry, new: fields.NewSignUp) -> SignUp:
    """Sign a member up for a duty; where there is no place they wait for one, in the order of the sign-ups."""
    day, duty = entry.get(WorkDay, new.work_day), entry.get(Duty, new.duty)
    _check_may(entry, day, new)
    if duty.work_day_id != day.id:
        raise DutyElsewhere
    check_wants_people(day.state)
    if duty.name == DutyName.LEADER and not leads(entry, day):
        raise LeaderIsNamed
    if duty.wanted == 0:
        raise DutyDropped(duty=str(duty))
    if day.sign_up_closes_at and entry.at > day.sign_up_closes_at and not _leads(entry, day):
        raise SignUpClosed
    member = _member(entry, new)
    _check_once(entry, day, member)
    if reasons := against_member(entry, day, duty, member):
        raise NotQualified(reasons)
    fill_places(entry, day)
    number = 1 + len(entry.list_of(SignUp, "work_day_id", day.id))
    waits = not has_place(entry, day, duty)
    return entry.create(
        SignUp, id=new.id, work_day_id=day.id, duty_id=duty.id, member_id=member.id, number=number, is_waiting=waits
    )


def withdraw(entry: Entry, wish: Target) -> SignUp:
    """Take a sign-up back: one's own, or anybody's if one manages work days. Who waits moves up."""
    found = entry.get(SignUp, wish.id)
    day = entry.get(WorkDay, found.work_day_id)
    if found.member_id != entry.by.member_id and not entry.by.may("manage_work_days"):
        raise NotPermitted("Only a coordinator can withdraw somebody else's sign-up.")
    if found.withdrawn_at:
        return found
    check_wants_people(day.state)
    entry.change(found, withdrawn_at=entry.at)
    fill_places(entry, day)
    return found


def _check_may(entry: Entry, day: WorkDay, new: fields.NewSignUp) -> None:
    """Refuse who signs somebody else up and leads neither the group nor, on its date, the day."""
    is_own = not new.drop_in and (new.member or entry.by.member_id) == entry.by.member_id
    if not is_own and not _leads(entry, day):
        raise NotPermitted("Only a coordinator can sign somebody else up, or who leads the day on the day itself.")


def _leads(entry: Entry, day: WorkDay) -> bool:
    """Tell whether the person manages work days, or leads this one and it is its date."""
    if entry.by.may("manage_work_days"):
        return True
    if local_date(entry.at, day.zone()) != day.on_date:
        return False
    duties = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    mine = [s for s in people_of(entry, day) if s.member_id == entry.by.member_id]
    return day.leader_id == entry.by.member_id or any(duties[s.duty_id].name in LEADERS for s in mine)


def _member(entry: Entry, new: fields.NewSignUp) -> Member:
    """Return who is signed up; somebody who drops in becomes a member who cannot sign in. Raises MemberLeft."""
    if new.drop_in:
        person = Person(email=None)
        person.set_unusable_password()
        entry.add(person)
        return entry.create(Member, id=new_id(), person_id=person.id, display_name=new.drop_in, role="volunteer")
    member_id: UUID = new.member or entry.by.member_id
    entry.load(Member, [member_id], lock=False)
    member = entry.get(Member, member_id)
    if not member.is_present:
        raise MemberLeft
    return member


def _check_once(entry: Entry, day: WorkDay, member: Member) -> None:
    standing = [s for s in entry.list_of(SignUp, "work_day_id", day.id) if s.withdrawn_at is None]
    if any(s.member_id == member.id for s in standing):
        raise AlreadySignedUp
