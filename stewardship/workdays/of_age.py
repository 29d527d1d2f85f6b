"""Whether people are old enough for what they do, and whose consent is on record: reasons and marks from one place."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

from stewardship.accounts.ages import check_age, check_guardian, check_waiver, known_age
from stewardship.accounts.models import Group, Member
from stewardship.journal.book import Entry
from stewardship.rules.ages import KnownAge
from stewardship.workdays.models import Duty, Practice, SignUp, WorkDay
from stewardship.workdays.practices import source_of_age
from stewardship.workdays.reasons import Reason

Mark = dict[str, str]


def against_plan(entry: Entry, day: WorkDay, duty: Duty, member_id: UUID) -> Iterator[Reason]:
    """Tell what stands against a member's doing a duty on a day: their age, or a guardian's consent."""
    known, where = known_age(entry, member_id), f"members/{member_id}"
    for code, detail in check_age(known, duty.minimum_age, day.on_date, str(duty)):
        yield {"code": code, "detail": detail, "where": where}
    for code, detail in check_guardian(entry, member_id, day.on_date):
        yield {"code": code, "detail": detail, "where": where}


def not_of_age(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell who is signed up for a duty that they are too young for, or under 18 without a guardian's consent."""
    duties = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    people = [s for s in entry.list_of(SignUp, "work_day_id", day.id) if s.withdrawn_at is None and not s.is_waiting]
    entry.load(Member, [s.member_id for s in people], lock=False)
    for sign_up in people:
        name = entry.get(Member, sign_up.member_id).display_name
        for reason in against_plan(entry, day, duties[sign_up.duty_id], sign_up.member_id):
            yield reason | {"detail": f"{name}: {reason['detail']}"}


def marks_of_age(entry: Entry, duty: Duty | None, member_id: UUID, on: date, age_class: str) -> Iterator[Mark]:
    """Mark who worked too young, at an unknown age, or without the consent or the waiver that is asked for."""
    known = known_age(entry, member_id)
    if known == KnownAge() and age_class == "youth":
        known = KnownAge(is_under_18=True)
    if duty and duty.minimum_age:
        source = source_of_age(entry.all_of(Practice), duty.name, duty.minimum_age)
        for code, detail in check_age(known, duty.minimum_age, on, str(duty)):
            yield {"code": code, "detail": detail, "field": "age_class", "source": source}
    for code, detail in check_guardian(entry, member_id, on, counted_as_youth=age_class == "youth"):
        yield {"code": code, "detail": detail, "field": "member", "source": ""}
    entry.load(Group, [entry.group_id], lock=False)
    if entry.get(Group, entry.group_id).wants_waivers:
        for code, detail in check_waiver(entry, member_id, on):
            yield {"code": code, "detail": detail, "field": "member", "source": ""}
