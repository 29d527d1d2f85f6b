"""What a comparison reads: an entry gives it, and so does a plain reader that writes nothing."""

from typing import Any, Protocol, TypeVar
from uuid import UUID

from stewardship.journal.models import Record

R = TypeVar("R", bound=Record)


class Looks(Protocol):
    """Whatever finds the records of one group."""

    def get(self, model: type[R], id: UUID) -> R:
        """Return the record; raises Unavailable."""

    def all_of(self, model: type[R]) -> list[R]:
        """Return every record of a small type, in id order."""

    def list_beside(self, model: type[Any], column: str, target: Record) -> list[Any]:
        """Return the records whose ``column`` is this record's id, in id order."""
