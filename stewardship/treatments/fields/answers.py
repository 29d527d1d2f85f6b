"""What may be sent about work that was done without a valid credential."""

from typing import Annotated

from msgspec import Meta

from stewardship.journal.fields import Target


class AnswerLapse(Target, kw_only=True, frozen=True):
    """Why something was done without a credential that counted, and the letter about it; it takes no mark away."""

    answer: Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]
    answer_document: Annotated[str, Meta(max_length=200)] = ""
