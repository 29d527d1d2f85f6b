"""The kinds of things people are told, the most urgent first."""

from typing import NamedTuple


class Kind(NamedTuple):
    """One kind of notice, in the words of the page where a person chooses what comes by mail."""

    label: str
    at_once: bool = False
    """Whether it is mailed as soon as it is due, whatever hour somebody chose: it would come too late."""
    always: bool = False
    """Whether it is mailed to everybody who has an address: people act on it, or nobody does."""


KINDS: dict[str, Kind] = {
    "day_cancelled": Kind(
        "A work day that you are signed up for, or wait for, is cancelled", at_once=True, always=True
    ),
    "day_changed": Kind("The date, time or place of such a day changes", at_once=True, always=True),
    "moved_up": Kind("You move up from the waiting list", at_once=True, always=True),
    "day_ahead": Kind("The day before a work day: where, when and what to bring", at_once=True),
    "overdue": Kind("Something that has a time limit is past it: a posted sign, an incident"),
    "escalation": Kind("Nobody has acted on a reminder, and it comes to you", always=True),
    "reminder": Kind("A credential, training or consent ends"),
    "totals_missing": Kind("A day on which you worked has no totals yet"),
    "invitation": Kind("You are asked to sign up for a work day"),
}
"""Kind -> what it is, in the order of their urgency: by it a mail is put together and gets its subject."""


def rank(kind: str) -> int:
    """Return the place of a kind among all, the most urgent at 0."""
    return list(KINDS).index(kind)
