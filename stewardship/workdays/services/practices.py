"""Published practices are entered with their source and corrected; the group says which of them it goes by."""

import msgspec

from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.workdays import fields
from stewardship.workdays.models import Practice


def add_practice(entry: Entry, new: fields.NewPractice) -> Practice:
    """Enter a practice."""
    values = columns(new) | {"clock": msgspec.to_builtins(new.clock)}
    return entry.create(Practice, id=new.id, **values)


def amend_practice(entry: Entry, wish: fields.AmendPractice) -> Practice:
    """Correct a practice, or say whether the group goes by it."""
    return entry.change(entry.get(Practice, wish.id), **columns(wish))
