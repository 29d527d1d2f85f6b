"""Hold what breaks a rule: with all that was sent, until a person settles it."""

from collections.abc import Iterator
from contextlib import suppress
from typing import Any
from uuid import UUID, uuid5

import msgspec
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.errors import Conflict, IdTaken, RuleViolation, Unavailable
from stewardship.journal.book import Cause, Entry
from stewardship.journal.models import Record
from stewardship.journal.ordering import write_order
from stewardship.sync.atoms import Atom
from stewardship.sync.models import State, ToSettle
from stewardship.sync.personal import NAMED_BY
from stewardship.sync.reading import RESCUED

TOLD = ("errors", "reasons", "incident")
"""What a refusal tells beside its code and sentence, through every door."""

Parents = dict[UUID, UUID]
"""Record that a held mutation would have made -> that mutation's id in the ledger."""


class ParentHeld(RuleViolation):
    """What builds on a held entry waits with it."""

    code = "parent_held"
    message = "This belongs to an entry that waits to be settled. It is taken up together with that one."
    parents: list[str]
    """Ids of those entries in the ledger."""


def parents_of(entry: Entry, atoms: list[Atom]) -> Parents:
    """Return what waits in the group that would have made records which are named here and are not there.

    Under an id that is taken nothing will ever be made.
    """
    made = {atom.wish.id for atom in atoms if atom.creates}
    named = (each for atom in atoms for each in atom.named())
    missing = {id for model, id in named if id not in made and entry.find(model, id) is None}
    if not missing:
        return {}
    waiting = ToSettle.objects.filter(
        ToSettle.visible_to(entry.by),
        ~Q(code=IdTaken.code),
        group_id=entry.group_id,
        state=State.WAITING,
        op="create",
        target__in=missing,
    )
    return {item.target: item.mid for item in waiting.only("target", "mid") if item.target}


def hold(entry: Entry, atoms: list[Atom], rule: RuleViolation, parents: Parents) -> None:
    """Hold a mutation, or an all-or-nothing group of them, and tell each its outcome."""
    waits_for = _waits_for(atoms, rule, parents)
    rule = ParentHeld(parents=waits_for) if waits_for else rule
    for atom in atoms:
        atom.record = None
        atom.result = _result(atom, rule)
        item = _keep(entry, atom, rule, together=atoms[0].key if len(atoms) > 1 else None)
        atom.result["to_settle"] = str(item.id)
        if not isinstance(rule, IdTaken) and atom.sent.op == "create" and (id := atom.target_id()):
            parents.setdefault(id, atom.key)


def change_of_waiting(entry: Entry) -> int:
    """Return by how many the entries that wait become more here, or less."""
    made = entry.staged(ToSettle)
    own = {item.id for item in made}
    ended = [
        item
        for id, item in entry.known(ToSettle).items()
        if id not in own and not item.is_waiting and entry.is_staged(item)
    ]
    return sum(item.is_waiting for item in made) - len(ended)


def _waits_for(atoms: list[Atom], rule: RuleViolation, parents: Parents) -> list[str]:
    """Return the held mutations that these build on, where that is why they are refused."""
    if not isinstance(rule, Unavailable):
        return []
    mids = [parents[id] for atom in atoms for _, id in atom.named() if id in parents]
    return [str(mid) for mid in dict.fromkeys(mids)]


def _result(atom: Atom, rule: RuleViolation) -> dict[str, Any]:
    is_its_own = atom.problem is rule
    is_conflict = is_its_own and (isinstance(rule, Conflict) or atom.is_merged)
    result: dict[str, Any] = {"mid": str(atom.sent.mid), "outcome": "conflict" if is_conflict else "held"}
    result |= {"code": rule.code, "detail": str(rule)}
    result |= {name: rule.facts[name] for name in TOLD if name in rule.facts}
    if is_conflict:
        result |= {name: rule.facts[name] for name in ("fields", "rev") if name in rule.facts}
    if isinstance(rule, ParentHeld):
        result["parent"] = rule.parents[0]
    return result


def _keep(entry: Entry, atom: Atom, rule: RuleViolation, *, together: UUID | None) -> ToSettle:
    sent, told = atom.sent, atom.result
    entry.cause = Cause(atom.key, "hold", sent.reason)
    return entry.create(
        ToSettle,
        id=uuid5(entry.group_id, str(atom.key)),
        mid=atom.key,
        author_id=entry.by.member_id,
        about_id=_about(entry, atom),
        device=entry.device_id,
        n=sent.n,
        type=sent.type[:40],
        op=sent.op[:40],
        target=atom.target_id(),
        code=told["code"],
        detail=told["detail"],
        fields=told.get("fields"),
        problems=[*told.get("errors", ()), *told.get("reasons", ())],
        parents=rule.parents if isinstance(rule, ParentHeld) else [],
        together=together,
        payload=payload_of(atom),
        said_at=sent.at,
        received_at=entry.at,
    )


def read_whom(entry: Entry, atoms: list[Atom]) -> None:
    """Read whom the mutations name that could not be read themselves, without a lock: one statement for each type."""
    wanted: dict[type[Record], set[UUID]] = {}
    for atom in atoms:
        if atom.problem is not None and atom.sent.type in NAMED_BY:
            for model, id in _naming(atom):
                wanted.setdefault(model, set()).add(id)
    for model in sorted(wanted, key=write_order):
        entry.load(model, wanted[model], lock=False)


def _naming(atom: Atom) -> Iterator[tuple[type[Record], UUID]]:
    """Give the record that a mutation of a personal type changes, and the member that it names itself."""
    model, column = NAMED_BY[atom.sent.type]
    if atom.sent.id:
        yield model, atom.sent.id
    with suppress(ValueError):
        yield Member, UUID(str(atom.sent.set.get(column.removesuffix("_id"))))


def _about(entry: Entry, atom: Atom) -> UUID | None:
    """Return the member of whom a mutation tells something personal, or None.

    That is whom it names or its record does, else its author: what nobody could read may be of themselves.
    """
    author: UUID | None = entry.by.member_id
    if atom.sent.type == RESCUED:
        return author
    if atom.sent.type not in NAMED_BY:
        return None
    column = NAMED_BY[atom.sent.type][1]
    for model, id in _naming(atom):
        if record := entry.find(model, id):
            named: UUID | None = record.id if model is Member else getattr(record, column)
            return named
    return author


def payload_of(atom: Atom) -> str:
    """Return all that was sent, as text."""
    return msgspec.json.encode(atom.sent).decode()
