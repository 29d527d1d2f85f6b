"""What may be sent to settle an entry that was held."""

from typing import Annotated, Literal

from msgspec import Meta

from stewardship.journal.fields import Target

Side = Literal["theirs", "ours"]
"""``theirs``: what the author of the entry wished for; ``ours``: what stands in the book."""


class SettleFields(Target, kw_only=True, frozen=True):
    """For each disputed field, whose value is to stand."""

    fields: Annotated[dict[str, Side], Meta(min_length=1, max_length=100)]
