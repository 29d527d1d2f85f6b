"""How far a new group has come on the way to its first record: read from what is on record, not from a flag."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from stewardship.accounts.models import Member
from stewardship.catalog.models import RuleProfile
from stewardship.credentials.models import Credential
from stewardship.places.models import LandPermission, Property, Unit
from stewardship.treatments.models import Application, Batch
from stewardship.web.access import Here

SKIPPED, ANSWERED = "begin_skipped", "begin_answered"
"""Keys of the steps that a person passed over, and of those that they answered, in their session."""
BEGINNING = "begin"
"""Key of whether a person is on the way through the steps, in their session."""

NEED_A_PROPERTY = frozenset({"unit", "permission"})
"""Steps that are about a property: passed over with it."""


@dataclass(frozen=True)
class Step:
    """One step of the beginning: what it is called, what it is for, and how its being done is seen."""

    slug: str
    name: str
    why: str
    is_done: Callable[[Here], bool]


@dataclass(frozen=True)
class Progress:
    """A step with how far it has come."""

    step: Step
    done: bool
    skipped: bool


def _has(model: Any, **more: Any) -> Callable[[Here], bool]:
    return lambda here: bool(model._default_manager.filter(group_id=here.group.id, **more).exists())


STEPS = (
    Step("state", "State", "Its rules say what a record of herbicide must hold and by when.",
         lambda here: bool(here.group.jurisdiction)),
    Step("clock", "Clock and units", "Days are told by this clock, amounts shown in these units.",
         _has(Property)),
    Step("property", "First property", "The land that you work on, so that help and an inspector find it.",
         _has(Property)),
    Step("unit", "First unit", "The part of the property that work is planned and recorded for.", _has(Unit)),
    Step("permission", "Landowner's permission", "It is what an inspector asks for first.", _has(LandPermission)),
    Step("people", "First people", "Who comes along. They need no e-mail address to be on a roster.",
         lambda here: Member.objects.filter(group_id=here.group.id, ended_at=None).count() > 1),
    Step("licence", "Your licence", "Whoever applies herbicide needs one that counts on the day.",
         _has(Credential, voided_at=None)),
    Step("mix", "First mix", "What you want to end with; the card says what to pour.", _has(Batch, voided_at=None)),
    Step("use", "First use", "What was used of it, where and on what.", _has(Application, voided_at=None)),
)  # fmt: skip


def progress(here: Here, skipped: list[str], answered: list[str]) -> list[Progress]:
    """Return every step with whether it is done or was passed over."""
    done = {step.slug: step.slug in answered or step.is_done(here) for step in STEPS}
    passed = {*skipped, *(NEED_A_PROPERTY if not done["property"] and "property" in skipped else ())}
    return [Progress(step, done[step.slug], not done[step.slug] and step.slug in passed) for step in STEPS]


def next_slug(steps: list[Progress]) -> str:
    """Return the first step that is neither done nor passed over; empty where none is left."""
    return next((each.step.slug for each in steps if not each.done and not each.skipped), "")


def is_new(here: Here) -> bool:
    """Return whether nothing is on record yet but the group and its founder."""
    group = {"group_id": here.group.id}
    others = Member.objects.filter(**group).exclude(id=here.member.id).exists()
    return not (here.group.jurisdiction or others or Property.objects.filter(**group).exists())


def states(here: Here) -> list[str]:
    """Return the jurisdictions that rule profiles are on record for."""
    found = RuleProfile.objects.filter(group_id=here.group.id, retired_at=None).exclude(jurisdiction="")
    return sorted(set(found.values_list("jurisdiction", flat=True)))
