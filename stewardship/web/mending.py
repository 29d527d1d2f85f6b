"""Where one mends what stands in the way: a reason's ``where`` -> the page for it and what is done there."""

from collections.abc import Callable
from typing import NamedTuple

from django.urls import reverse

from stewardship.web.access import Here
from stewardship.workdays.models import WorkDay
from stewardship.workdays.reasons import Reason


class Way(NamedTuple):
    """A link to where something is mended."""

    address: str
    words: str


def way_of(reason: Reason, here: Here, day: WorkDay | None) -> Way | None:
    """Return where this person mends what a reason tells; None where no page of theirs does."""
    head, _, id = reason["where"].partition("/")
    head = OTHERWISE.get(reason["code"], head)
    if head == "members":
        return _of_member(reason["code"], id, here, day)
    if head in OF_RECORD and id:
        name, words = OF_RECORD[head]
        return Way(reverse(name, args=[id]), words)
    if head in OF_DAY and day:
        capability, find = OF_DAY[head]
        return find(day) if here.actor.may(capability) else None
    return None


OF_RECORD = {
    "sessions": ("session", "Open the record"),
    "batches": ("batch", "Open the batch"),
    "containers": ("bottle", "Open the bottle"),
    "permissions": ("permission", "Open the permission"),
    "permits": ("permit", "Open the permit"),
    "neighbour-notices": ("notice", "Open the notice"),
}
"""Beginning of ``where`` -> the page of the record, and the words of the link; everybody may open these."""

OTHERWISE = {
    "permission_missing": "permissions-of-place",
    "permit_missing": "permissions-of-place",
    "applicator_missing": "duties-of-day",
}
"""Codes that are mended elsewhere than at what they are about."""


def _missing(day: WorkDay) -> Way:
    on = day.on_date.isoformat()
    return Way(f"{reverse('who_is_missing')}?first_on={on}&last_on={on}", "Who could be asked")


def _duties(day: WorkDay) -> Way:
    return Way(f"{reverse('work_day', args=[day.id])}#duties", "The duties of the day")


def _plan(day: WorkDay) -> Way:
    return Way(reverse("edit_work_day", args=[day.id]), "Change the plan")


def _place(day: WorkDay) -> Way:
    return Way(reverse("place", args=[day.property_id]), "Permissions and permits of the place")


def _tasks(day: WorkDay) -> Way:
    return Way(reverse("tasks", args=[day.property_id]), "Approved tasks of the place")


def _keeping(part: str, words: str) -> Callable[[WorkDay], Way]:
    return lambda day: Way(f"{reverse('keeping', args=[day.id])}#{part}", words)


OF_DAY: dict[str, tuple[str, Callable[[WorkDay], Way]]] = {
    "permissions-of-place": ("manage_places", _place),
    "duties-of-day": ("manage_work_days", _duties),
    "units": ("manage_work_days", _plan),
    "task": ("manage_work_days", _plan),
    "approved-tasks": ("manage_work_days", _tasks),
    "duties": ("manage_work_days", _missing),
    "had_incident": ("record_work", _keeping("wrong", "To the question")),
    "incidents": ("record_work", _keeping("wrong", "What went wrong")),
    "postings": ("record_work", _keeping("signs", "Open the signs")),
    "leftovers": ("record_work", lambda day: Way(reverse("batches"), "Batches and leftovers")),
    "briefings": ("record_work", _keeping("briefing", "Record a briefing")),
}
"""Beginning of ``where`` -> the capability that mends it, and the page."""


def _of_member(code: str, id: str, here: Here, day: WorkDay | None) -> Way | None:
    if day and code == "not_checked_out":
        return Way(f"{reverse('work_day', args=[day.id])}#came", "Who came")
    if day and code == "briefing_not_signed":
        return _keeping("briefing", "Open the briefing")(day)
    if day and code in OF_SIGN_UP and here.actor.may("manage_work_days"):
        return _duties(day)
    is_own = id == str(here.member.id)
    if not is_own and not here.actor.may("manage_credentials"):
        return None
    if code in OF_DETAILS:
        return Way(reverse("details", args=[id]), "Age, whom to call, consents")
    if is_own:
        return Way(reverse("my_credentials"), "My credentials")
    return Way(reverse("credentials", args=[id]), "Their credentials")


OF_SIGN_UP = frozenset({"member_left", "member_suspended"})
"""Codes about somebody who does not belong to the group any more, or for now: their sign-up is withdrawn."""

OF_DETAILS = frozenset({"age_not_on_record", "too_young_for_duty", "guardian_consent_missing", "waiver_missing"})
"""Codes about what stands among a person's details."""
