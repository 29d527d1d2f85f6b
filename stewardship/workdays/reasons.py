"""What is refused for several reasons tells all of them at once."""

from stewardship.errors import RuleViolation

Reason = dict[str, str]
"""One thing that stands in the way: ``code``, ``detail`` (a sentence), ``where`` (a path in the group)."""


class ReasonsStand(RuleViolation):
    """Something is refused for reasons that are all told at once."""

    lead = "This cannot be done yet."

    def __init__(self, reasons: list[Reason]) -> None:
        """``reasons``: one ``{code, detail, where}`` for each thing that stands in the way."""
        super().__init__(" ".join([self.lead, *(reason["detail"] for reason in reasons)]), reasons=reasons)


class DayNotReady(ReasonsStand):
    """A work day is confirmed with qualified people only."""

    code = "day_not_ready"
    lead = "This work day is not ready to be confirmed."


class DayNotApproved(ReasonsStand):
    """People are asked to come only for what was approved."""

    code = "day_not_approved"
    lead = "What is planned for this work day is not approved."


class NotQualified(ReasonsStand):
    """A plan puts nobody on a duty who lacks what it asks for: a credential, an age, a guardian's consent."""

    code = "not_qualified"
    lead = "This duty asks for what is not on record for this member on the date of the work day."
