"""Trainings are entered, corrected, signed by who was trained, and voided where they were entered by mistake."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from stewardship.accounts.models import Member
from stewardship.credentials import fields
from stewardship.credentials.models import Covers, CredentialType, Training
from stewardship.credentials.services.values import told_values
from stewardship.errors import AlreadyVoided, NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.rules.validity import last_day

UNSIGNED: dict[str, Any] = {"signed_at": None, "signed_by_id": None, "signed_from": ""}
BESIDE = frozenset({"evidence", "note"})
"""What is corrected without a new signature."""
FURTHEST_EAST = timedelta(hours=14)
"""By how much the local date can be ahead of UTC."""


class RuleOfNoTraining(RuleViolation):
    """A training is given under a rule of trainings."""

    code = "rule_of_no_training"
    message = "{name} is no rule of trainings with a last day that can be reckoned. Choose the rule it was given under."
    where = "type"


class TrainerMissing(RuleViolation):
    """A training has one trainer."""

    code = "trainer_missing"
    message = "Say who gave the training: a member, or somebody else by name, and not both."
    where = "trainer"


class TrainedByThemselves(RuleViolation):
    """Nobody trains themselves."""

    code = "trained_by_themselves"
    message = "Nobody trains themselves. Name the person who gave the training."
    where = "trainer"


class TrainingToCome(RuleViolation):
    """A training is recorded once it was given."""

    code = "training_to_come"
    message = "{on_date} is still to come. A training is recorded once it was given."
    where = "on_date"


class SheetMissing(RuleViolation):
    """A signature that somebody else enters says what it was taken from."""

    code = "sheet_missing"
    message = "The trained person signs in and signs. To enter a signature from paper, name the signed sheet."
    where = "sheet"


def add_training(entry: Entry, new: fields.NewTraining) -> Training:
    """Enter a training; its last day follows from the rule it was given under."""
    values = told_values(new)
    values |= _by_rule(entry.get(CredentialType, new.type), new.on_date)
    _check(values | {"trainee_id": new.trainee}, entry.at)
    return entry.create(Training, id=new.id, person_id=entry.get(Member, new.trainee).person_id, **values)


def amend_training(entry: Entry, wish: fields.AmendTraining) -> Training:
    """Correct a training; the signature stood for what it said before, and is taken back."""
    training = _living(entry.get(Training, wish.id))
    values = told_values(wish)
    after = vars(training) | values
    if values.keys() & {"type_id", "on_date"}:
        values |= _by_rule(entry.get(CredentialType, after["type_id"]), after["on_date"])
    _check(after, entry.at)
    changed = {name for name in values if getattr(training, name) != values[name]}
    return entry.change(training, **values | (UNSIGNED if changed - BESIDE else {}))


def sign_training(entry: Entry, wish: fields.SignTraining) -> Training:
    """Sign that one was trained; a coordinator enters a signature that stands on paper. Again changes nothing."""
    training = _living(entry.get(Training, wish.id))
    if training.signed_at:
        return training
    is_own = training.trainee_id == entry.by.member_id
    if not is_own and not entry.by.may("manage_credentials"):
        raise NotPermitted
    if not is_own and not wish.sheet.strip():
        raise SheetMissing
    signed = {"signed_at": entry.at, "signed_by_id": entry.by.member_id, "signed_from": wish.sheet.strip()}
    return entry.change(training, **signed)


def void_training(entry: Entry, wish: Target) -> Training:
    """Call a training a mistaken entry: it counts for nothing. Voiding it again changes nothing."""
    training = entry.get(Training, wish.id)
    return training if training.voided_at else entry.change(training, voided_at=entry.at)


def reinstate_training(entry: Entry, wish: Target) -> Training:
    """Take back that a training was a mistaken entry."""
    return entry.change(entry.get(Training, wish.id), voided_at=None)


def _living(training: Training) -> Training:
    if training.voided_at:
        raise AlreadyVoided
    return training


def _by_rule(kind: CredentialType, on_date: date) -> dict[str, Any]:
    """Return what follows from the rule of a training. Raises RuleOfNoTraining."""
    if kind.covers != Covers.TRAINING or kind.rule().kind == "stated":
        raise RuleOfNoTraining(name=kind.name)
    terms = {
        "minimum_minutes": kind.training_minutes,
        "names_products": kind.names_products,
        "names_properties": kind.names_properties,
        "source": kind.source,
    }
    return {"last_on": last_day(kind.rule(), issued_on=on_date), "terms": terms}


def _check(values: Mapping[str, Any], at: datetime) -> None:
    """Refuse what cannot be true of one training. Raises TrainerMissing, TrainedByThemselves, TrainingToCome."""
    if (values["trainer_id"] is None) == (not values["trainer_name"].strip()):
        raise TrainerMissing
    if values["trainer_id"] == values["trainee_id"]:
        raise TrainedByThemselves
    if values["on_date"] > (at + FURTHEST_EAST).date():
        raise TrainingToCome(on_date=values["on_date"])
