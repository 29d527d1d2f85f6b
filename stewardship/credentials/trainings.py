"""What somebody's trainings were worth on a date: plans are refused by it, facts are marked with it."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from stewardship.credentials.models import Training
from stewardship.rules.dates import said

STATUS_ORDER = ("valid", "unsigned", "too_short", "other_products", "other_lands", "lapsed", "missing")
"""The best first: what is lacking least."""


@dataclass(frozen=True, slots=True)
class TrainingStanding:
    """The best training that somebody had on a date; ``training`` is None where ``status`` is missing."""

    status: str
    training: Training | None = None

    @property
    def counts(self) -> bool:
        """Tell whether it counts for helping with the work."""
        return self.status == "valid"

    def sentence(self, on: date) -> str:
        """Return what is to be said about it, without anybody's name; empty where it counts."""
        words = _SENTENCES.get(self.status, "")
        training = self.training
        told = {"on": said(on), "of": "", "ended": "", "minutes": 0, "wanted": 0}
        if training:
            told |= {
                "of": said(training.on_date),
                "ended": said(training.last_on) if training.last_on else "no day",
                "minutes": training.minutes,
                "wanted": training.terms["minimum_minutes"],
            }
        return words.format(**told)


_SENTENCES = {
    "missing": "No training of this helper is on record for {on}.",
    "lapsed": "The training of {of} counted up to {ended}. It did not count on {on}.",
    "unsigned": "The training of {of} was not signed by who was trained: it does not count until it is.",
    "too_short": "The training of {of} took {minutes} minutes; its rule asks for {wanted}.",
    "other_products": "The training of {of} was not given for the products of this work.",
    "other_lands": "The training of {of} was not given for this land.",
}


def training_standing(
    trainings: Iterable[Training],
    on: date,
    *,
    products: Collection[str] = (),
    property_id: str = "",
    minimum_minutes: int | None = None,
) -> TrainingStanding:
    """Return the standing on the local date ``on``, each training judged by the rule it was given under.

    ``products`` and ``property_id``: what the work is done with and where; a training whose rule binds it to products
    or lands is good for those only. ``minimum_minutes``: more than its rule asks for, where something else does.
    """
    found = [
        TrainingStanding(_status(each, on, products, property_id, minimum_minutes), each)
        for each in trainings
        if not each.voided_at and each.on_date <= on
    ]
    return min(found, key=_best_first, default=TrainingStanding("missing"))


def _best_first(standing: TrainingStanding) -> tuple[int, int, str]:
    assert standing.training
    last_on = standing.training.last_on or date.max
    return STATUS_ORDER.index(standing.status), -last_on.toordinal(), str(standing.training.id)


def _status(
    training: Training, on: date, products: Collection[str], property_id: str, minimum_minutes: int | None
) -> str:
    terms = training.terms
    if not training.runs_on(on):
        return "lapsed"
    if terms["names_properties"] and property_id and property_id not in training.properties:
        return "other_lands"
    if terms["names_products"] and not set(products) <= set(training.products):
        return "other_products"
    if training.minutes < max(terms["minimum_minutes"] or 0, minimum_minutes or 0):
        return "too_short"
    return "valid" if training.signed_at else "unsigned"
