"""Helpers without a licence of their own, where a restricted-use product is worked with: their training.

A plan is refused for a training that is missing or does not count on the day; what was done is marked with it.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.credentials.models import Covers, Credential, Training
from stewardship.credentials.trainings import TrainingStanding, training_standing
from stewardship.journal.book import Entry
from stewardship.rules.validity import counts_on
from stewardship.treatments.models import Batch, PlannedMix, Session
from stewardship.treatments.services import facts, limits
from stewardship.workdays.models import Duty, DutyName, WorkDay
from stewardship.workdays.qualification import people_of
from stewardship.workdays.readiness import LACKS
from stewardship.workdays.reasons import Reason
from stewardship.workdays.services.fitness import ALSO

PREFIX = "helper_training_"
"""With it the codes of these marks begin; then comes the standing of the training."""


# -- what was done ---------------------------------------------------------------------------------


def marks_of_line(entry: Entry, said: Mapping[str, Any], helpers: Iterable[str] | None) -> facts.Marks:
    """Return what to mark about the helpers of a session for a line with a restricted-use product."""
    batch = entry.get(Batch, said["batch_id"])
    products = entry.once(("restricted", batch.id), lambda: restricted(entry, batch.parts))
    if not products:
        return []
    _read_of_sessions(entry)
    on, land = said["on_date"], str(said["property_id"])
    found = [_standing(entry, UUID(id), on, products, land) for id in helpers or ()]
    lacking = {each.status: each for each in found if each and not each.counts}
    return [
        facts.mark(PREFIX + each.status, f"A helper: {each.sentence(on)}", "session", _source(each))
        for each in lacking.values()
    ]


def without(marks: facts.Marks) -> facts.Marks:
    """Return marks without those of helpers, which are judged anew."""
    return [each for each in marks if not each["code"].startswith(PREFIX)]


def _read_of_sessions(entry: Entry) -> None:
    """Read what the helpers of all sessions that are known here hold and were trained in."""
    ids = {UUID(id) for session in entry.known(Session).values() for id in session.helpers or ()}
    entry.load_lists(Credential, "holder_id", ids)
    entry.load_lists(Training, "trainee_id", ids)


# -- what is planned -------------------------------------------------------------------------------


def against_helper(entry: Entry, day: WorkDay, duty: Duty, member: Member) -> Iterator[Reason]:
    """Give why a member cannot help with the restricted-use products that are planned for a day."""
    products = _planned(entry, day) if duty.name == DutyName.HELPER and day.herbicide_planned else []
    if products:
        entry.list_beside(Credential, "holder_id", member), entry.list_beside(Training, "trainee_id", member)
        found = _standing(entry, member.id, day.on_date, products, str(day.property_id))
        if found and not found.counts:
            detail = found.sentence(day.on_date)
            yield {"code": PREFIX + found.status, "detail": detail, "where": f"members/{member.id}"}


def untrained_helpers(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which helpers of a day are not trained for the restricted-use products that are planned for it."""
    duties = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    helping = [each for each in people_of(entry, day) if duties[each.duty_id].name == DutyName.HELPER]
    if helping and day.herbicide_planned:
        entry.load(Member, [each.member_id for each in helping], lock=False)
    for each in helping:
        member = entry.get(Member, each.member_id)
        for reason in against_helper(entry, day, duties[each.duty_id], member):
            yield reason | {"detail": f"{member.display_name}: {reason['detail']}"}


def _planned(entry: Entry, day: WorkDay) -> list[str]:
    plans = entry.list_beside(PlannedMix, "work_day_id", day)
    parts = [part for plan in plans if plan.state == PlannedMix.State.OPEN for part in plan.parts]
    return restricted(entry, parts)


# -- both ------------------------------------------------------------------------------------------


def restricted(entry: Entry, parts: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return the ids of those products of a mix that are for restricted use."""
    return [str(product.id) for product in limits.products_of(entry, parts) if product.restricted_use]


def _standing(entry: Entry, member_id: UUID, on: date, products: list[str], land: str) -> TrainingStanding | None:
    """Return what a helper's training was worth; None for who holds a licence that counts, and needs none."""
    held = entry.list_of(Credential, "holder_id", member_id)
    if any(_is_licence(each) and counts_on(each.dates(), on) for each in held):
        return None
    trainings = entry.list_of(Training, "trainee_id", member_id)
    return training_standing(trainings, on, products=products, property_id=land)


def _is_licence(credential: Credential) -> bool:
    return credential.covers == Covers.HERBICIDE_APPLICATION and not credential.voided_at


def _source(found: TrainingStanding) -> str:
    return found.training.terms["source"] if found.training else ""


LACKS.append(untrained_helpers)
ALSO.append(against_helper)
