"""Refusals that more than one app needs; a rule's own refusal stands beside its service."""

from stewardship.rules.refusals import RuleViolation

__all__ = [
    "AlreadyVoided",
    "Conflict",
    "IdTaken",
    "NotPermitted",
    "ReasonMissing",
    "RuleViolation",
    "Unavailable",
    "Unreadable",
]


class Unavailable(RuleViolation):
    """The record does not exist, is another group's, or is not for this person: one answer for all three."""

    code = "target_unavailable"
    message = "This record does not exist, or you cannot see it."


class NotPermitted(RuleViolation):
    """The person's role does not do this."""

    code = "not_permitted"
    message = "Your role in this group does not let you do this. A coordinator can."


class IdTaken(RuleViolation):
    """The client-made id of a new record is already used."""

    code = "id_taken"
    message = "Another record already has this id. Make a new id and send it again."
    where = "id"


class Conflict(RuleViolation):
    """The record changed after the person read it."""

    code = "conflict"
    message = "Somebody changed this record after you read it. Read it again, then make your change."


class ReasonMissing(RuleViolation):
    """A correction says why."""

    code = "reason_missing"
    message = "Say why: a correction of a record keeps its reason."
    where = "reason"


class AlreadyVoided(RuleViolation):
    """A voided record is history: it is reinstated first."""

    code = "voided"
    message = "This record was voided. Reinstate it before you change it."


class Unreadable(RuleViolation):
    """What was sent does not have the form its type asks for."""

    code = "unreadable"
    message = "This entry could not be read."

    def __init__(self, problems: list[dict[str, str]]) -> None:
        """``problems``: one ``{pointer, code, detail}`` for each thing that is wrong."""
        super().__init__(problems[0]["detail"], where=problems[0]["pointer"], errors=problems)
