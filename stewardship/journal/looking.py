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

    def list_of(self, model: type[Any], column: str, id: UUID) -> list[Any]:
        """Return the records whose ``column`` is this id, in id order."""
