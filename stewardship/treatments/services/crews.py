"""Whether the people of a day are qualified for the mixes that are planned for it."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Group, Member
from stewardship.catalog.models import RuleProfile
from stewardship.catalog.profiles.supervision import ratio_in
from stewardship.credentials.judging import standing_of
from stewardship.credentials.models import Credential
from stewardship.credentials.needs import Named, Need
from stewardship.journal.book import Entry
from stewardship.places.jurisdictions import jurisdiction_of
from stewardship.places.models import Property
from stewardship.rules.methods import WORDS
from stewardship.treatments.models import PlannedMix
from stewardship.treatments.services.licences import COVERS, RESTRICTED, is_restricted
from stewardship.treatments.services.supervision import TOO_MANY
from stewardship.workdays.models import Duty, DutyName, SignUp, WorkDay
from stewardship.workdays.qualification import PLANNED, WITH_HERBICIDE, people_of, place_of
from stewardship.workdays.readiness import LACKS
from stewardship.workdays.reasons import Reason, ReasonsStand
from stewardship.workdays.services.fitness import ALSO


class CrewUnlicensed(ReasonsStand):
    """A restricted-use product is planned only where somebody licensed for it applies it."""

    code = RESTRICTED
    lead = "This mix cannot be planned for this work day."


def planned_needs(entry: Entry, day: WorkDay) -> Iterator[Need]:
    """Give what each open planned mix of a day asks of whoever applies it."""
    for plan in _open_plans(entry, day):
        yield need_of_plan(entry, day, vars(plan))


def need_of_plan(entry: Entry, day: WorkDay, said: dict[str, Any]) -> Need:
    """Return what a mix planned for a day asks of whoever applies it."""
    used = {part["product"]: Named(part["product"], part["name"]) for part in said["parts"]}
    restricted = is_restricted(entry, used)
    return Need(COVERS, (said["method"],), (), tuple(used.values()), place_of(entry, day), restricted)


def not_qualified_for_plans(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which planned mixes nobody who applies on the day is qualified for."""
    people = applicators(entry, day)
    for plan in _open_plans(entry, day) if people and day.herbicide_planned else ():
        if reason := _against(entry, day, people, vars(plan)):
            yield reason | {"where": f"planned-mixes/{plan.id}"}


def check_crew(entry: Entry, day: WorkDay, said: dict[str, Any]) -> None:
    """Refuse a plan for a restricted-use product where who applies that day is known and nobody is licensed for it.

    Raises CrewUnlicensed.
    """
    people = applicators(entry, day)
    reason = _against(entry, day, people, said) if people else None
    if reason and reason["code"] == RESTRICTED:
        raise CrewUnlicensed([reason | {"where": "parts"}])


def applicators(entry: Entry, day: WorkDay) -> list[SignUp]:
    """Return the sign-ups of who applies herbicide on a day."""
    duties = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    return [each for each in people_of(entry, day) if duties[each.duty_id].name in WITH_HERBICIDE]


def _against(entry: Entry, day: WorkDay, people: list[SignUp], said: dict[str, Any]) -> Reason | None:
    need = need_of_plan(entry, day, said)
    if any(standing_of(entry, each.member_id, need, day.on_date).counts for each in people):
        return None
    what = f"{', '.join(used.name for used in need.products)}, {WORDS.get(said['method'], said['method'])}"
    if need.restricted:
        detail = f"A restricted-use product is planned ({what}), and no applicator of the day is licensed for it."
        return {"code": RESTRICTED, "detail": detail}
    return {"code": "plan_not_covered", "detail": f"No applicator of the day is qualified for the planned mix: {what}."}


def _open_plans(entry: Entry, day: WorkDay) -> list[PlannedMix]:
    plans = entry.list_beside(PlannedMix, "work_day_id", day)
    return [plan for plan in plans if plan.state == PlannedMix.State.OPEN]


def credentials_of_crews(entry: Entry, wishes: list[Any]) -> None:
    """Read who is signed up for the days that these plans are for, on which duty, and their credentials."""
    days: set[UUID] = {wish.work_day for wish in wishes if wish.work_day}
    for model in (Duty, SignUp):
        entry.load_lists(model, "work_day_id", days)
    people = {each.member_id for day in days for each in entry.list_of(SignUp, "work_day_id", day)}
    entry.load_lists(Credential, "holder_id", people)


# -- supervision -----------------------------------------------------------------------------------


def against_ratio(entry: Entry, day: WorkDay, duty: Duty, member: Member) -> Iterator[Reason]:
    """Tell whether one more helper would be more than the day's licence holders may supervise."""
    if duty.name != DutyName.HELPER or not day.herbicide_planned:
        return
    others = [each for each in helpers_of(entry, day) if each.member_id != member.id]
    yield from _over_ratio(entry, day, len(others) + 1, f"members/{member.id}")


def too_many_helpers(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell whether more helpers are signed up than the day's licence holders may supervise."""
    count = len(helpers_of(entry, day)) if day.herbicide_planned else 0
    if count:
        yield from _over_ratio(entry, day, count, "duties")


def helpers_of(entry: Entry, day: WorkDay) -> list[SignUp]:
    """Return the sign-ups of who applies herbicide on a day under somebody else's licence."""
    duties = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    return [each for each in people_of(entry, day) if duties[each.duty_id].name == DutyName.HELPER]


def _over_ratio(entry: Entry, day: WorkDay, count: int, where: str) -> Iterator[Reason]:
    licensed = len(applicators(entry, day))
    entry.load(Group, [entry.group_id], lock=False)
    entry.load(Property, [day.property_id], lock=False)
    place = jurisdiction_of(entry.get(Property, day.property_id), entry.get(Group, entry.group_id))
    ratio = ratio_in(entry.all_of(RuleProfile), place, day.on_date)
    if ratio and licensed and count > ratio.most * licensed:
        detail = (
            f"{count} helpers for {licensed} licensed: {ratio.name} states at most {ratio.most} for each "
            f"({ratio.source})."
        )
        yield {"code": TOO_MANY, "detail": detail, "where": where}


PLANNED.append(planned_needs)
LACKS += [not_qualified_for_plans, too_many_helpers]
ALSO.append(against_ratio)
