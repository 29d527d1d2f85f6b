"""A mutation on its way from what was sent to its outcome."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from stewardship.errors import RuleViolation, Unreadable
from stewardship.journal.models import Record
from stewardship.journal.references import references
from stewardship.sync.arriving import Arrival
from stewardship.sync.reading import Sent, read
from stewardship.sync.verbs import Verb


class MutationReused(RuleViolation):
    """A mutation id stands for one thing, for ever."""

    code = "mid_reused"
    message = "This id was used before for something else. Send it again under a new id."


@dataclass
class Atom:
    """One mutation on its way: what was sent, what it was read as or why it could not be, its outcome."""

    sent: Sent
    key: UUID
    """Its id in the ledger: its own, unless that id stands for something else."""
    verb: Verb | None = None
    wish: Any = None
    problem: RuleViolation | None = None
    """Why it cannot be performed, or was not."""
    merges: bool = False
    """Whether it came by sync: then a correction of what changed meanwhile is merged, through REST it is refused."""
    before: dict[str, Any] | None = None
    """What its target said at the revision that its author saw, as far as that is known."""
    decided: frozenset[str] = frozenset()
    """Disputed fields in which a coordinator decided for the author."""
    moved: dict[str, Any] | None = None
    """Of a correction that was merged: the fields that had changed meanwhile, with the values of all sides."""
    taken_up: "list[list[Held]]" = field(default_factory=list)
    """What settling this performs: the entry itself with what stands or falls with it, then what waited for those."""
    result: dict[str, Any] = field(default_factory=dict)
    record: Record | None = None

    @classmethod
    def of(cls, sent: Sent, key: UUID, arrival: Arrival, at: datetime) -> "Atom":
        """Read what a device sent; what cannot be performed keeps its problem."""
        if arrival.held_for is not None:
            return cls(sent, key, problem=arrival.held_for)
        if key != sent.mid:
            return cls(sent, key, problem=MutationReused())
        try:
            verb, wish = read(sent)
        except Unreadable as unreadable:
            return cls(sent, key, problem=unreadable)
        if far_off := arrival.far_off(sent, wish, at):
            return cls(sent, key, problem=far_off)
        return cls(sent, key, verb, wish, merges=True)

    @property
    def creates(self) -> bool:
        """Whether it makes a record under an id that its sender chose."""
        return self.sent.op == "create" and getattr(self.wish, "id", None) is not None

    @property
    def is_merged(self) -> bool:
        """Whether its target had changed since its author saw it, and both were merged."""
        return self.moved is not None

    def target_id(self) -> UUID | None:
        """Return the id of the record that it makes or changes, however little of it could be read."""
        if self.sent.op != "create":
            return self.sent.id
        try:
            return UUID(str(self.sent.set.get("id")))
        except ValueError:
            return None

    def named(self) -> Iterator[tuple[Any, UUID]]:
        """Give (model, id) of each record that it looks at by its id."""
        if self.verb is None:
            return
        if self.sent.op != "create":
            yield self.verb.record, self.wish.id
        for reference in references(self.verb.fields):
            for id in reference.read(self.wish):
                yield reference.model, id


@dataclass
class Held:
    """A mutation that was held before and is performed now."""

    item_id: UUID
    atom: Atom
