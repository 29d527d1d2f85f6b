"""Perform mutations: one from REST or a page, up to 500 from a device, through one ledger."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from itertools import groupby
from typing import Any, TypeVar
from uuid import UUID, uuid5

import orjson
from django.db import IntegrityError, OperationalError

from stewardship.accounts.capabilities import Actor
from stewardship.errors import RuleViolation
from stewardship.journal import rows
from stewardship.journal.book import Entry, open_entry
from stewardship.journal.models import Book, Record
from stewardship.sync import duplicates, holding, merging, rates, releasing
from stewardship.sync.arriving import FROM_HERE, Arrival
from stewardship.sync.atoms import Atom, MutationReused
from stewardship.sync.deciding import Check, decide
from stewardship.sync.loading import load
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.reading import Sent, read

__all__ = ["DeviceForked", "Done", "Gap", "MutationReused", "Taken", "perform_one", "perform_together", "push"]

TRIES = 3
"""How often an entry is begun again after a deadlock or after somebody else took an id at the same moment."""

T = TypeVar("T")


class DeviceForked(RuleViolation):
    """Two devices count under one identity: one was cloned or restored from a backup."""

    code = "device_forked"
    message = (
        "These numbers were already used for something else: the device was copied, or set back to a backup. "
        "It goes on under a new device id, with the same token; nothing is lost."
    )


class Gap(RuleViolation):
    """A number is missing between what was taken and what is sent."""

    code = "gap"
    message = "Entries before these have not arrived. Send everything from number {expected} on."


@dataclass(frozen=True)
class Done:
    """What became of one mutation that was performed, and the record it made or changed (None if replayed)."""

    result: dict[str, Any]
    record: Record | None = None
    replayed: bool = False


@dataclass(frozen=True)
class Taken:
    """What became of a push: the results in the order sent, the device's last number, the book's head."""

    results: list[dict[str, Any]]
    last_n: int
    head: int


def perform_one(sent: Sent, *, actor: Actor, at: datetime) -> Done:
    """Perform one mutation or raise the rule it breaks: the door of REST and pages. Refused, it writes nothing."""
    return perform_together([sent], actor=actor, at=at)[0]


def perform_together(several: list[Sent], *, actor: Actor, at: datetime) -> list[Done]:
    """Perform what one form of a page says, all of it, or raise the first rule it breaks and write nothing."""
    readings = [(sent, *read(sent)) for sent in several]

    def attempt(careful: bool) -> list[Done]:
        with open_entry(group_id=actor.group_id, by=actor, at=at) as entry:
            ledger = Mutation.objects.filter(group_id=actor.group_id, mid__in=[sent.mid for sent in several])
            told = {known.mid: known for known in ledger}
            again = {
                s.mid: Done(_told_again(told[s.mid], s, actor.person_id), replayed=True)
                for s in several
                if s.mid in told
            }
            atoms = [Atom(sent, sent.mid, verb, wish) for sent, verb, wish in readings if sent.mid not in again]
            _prepare(entry, atoms, careful=careful)
            decide(entry, atoms)
            _finish(entry, atoms)
        done = again | {atom.key: Done(atom.result, atom.record) for atom in atoms}
        return [done[sent.mid] for sent in several]

    return _again_if_unlucky(attempt)


def push(mutations: list[Sent], *, actor: Actor, device_id: UUID, at: datetime, arrival: Arrival = FROM_HERE) -> Taken:
    """Take a device's mutations: each ends in a stored outcome, none is lost.

    Raises Gap, DeviceForked or TooMuch, and then nothing is taken.
    """

    def attempt(careful: bool) -> Taken:
        with open_entry(group_id=actor.group_id, by=actor, at=at, device_id=device_id) as entry:
            outbox = _lock_outbox(device_id, actor.group_id)
            kept = rates.admit(outbox, mutations, arrival, at)
            known = _known(actor, mutations)
            last_n = _counted(mutations, known, outbox.last_n)
            keys, fresh = _sorted_out(mutations, known, actor.person_id, at, arrival)
            atoms = list(fresh.values())
            _prepare(entry, atoms, careful=careful)
            holding.read_whom(entry, atoms)
            parents, known_here = holding.parents_of(entry, atoms), duplicates.look(entry, atoms)
            for _, several in groupby(atoms, key=lambda atom: atom.sent.tx or atom.key):
                _decide_or_hold(entry, list(several), parents, partial(duplicates.check, entry, known_here))
            _mark_clock(atoms, at, arrival)
            _finish(entry, atoms, arrival)
            Outbox.objects.filter(device_id=device_id, group_id=actor.group_id).update(last_n=last_n, **kept)
            head = Book.objects.values_list("head", flat=True).get(group_id=actor.group_id)
        return Taken([_answer(key, fresh, known) for key in keys], last_n, head)

    return _again_if_unlucky(attempt)


def _again_if_unlucky(attempt: Callable[[bool], T]) -> T:
    """Begin an entry again after a deadlock, or with a look at foreign ids after an id was refused."""
    for tries_left in reversed(range(TRIES)):
        try:
            return attempt(tries_left < TRIES - 1)
        except (IntegrityError, OperationalError):
            if not tries_left:
                raise
    raise AssertionError("the last try returns or raises")


def _prepare(entry: Entry, atoms: list[Atom], *, careful: bool) -> None:
    """Read and lock all that these mutations look at, and what those look at that they take up."""
    taken_up = releasing.take_up(entry.group_id, atoms)
    load(entry, [*atoms, *taken_up], careful=careful)
    merging.remember(entry, [*atoms, *taken_up])


def _decide_or_hold(entry: Entry, atoms: list[Atom], parents: holding.Parents, also: Check) -> None:
    try:
        decide(entry, atoms, also=also)
    except RuleViolation as rule:
        holding.hold(entry, atoms, rule, parents)


def _finish(entry: Entry, atoms: list[Atom], arrival: Arrival = FROM_HERE) -> None:
    """Write everything: records, the book, the ledger."""
    entry.held = holding.change_of_waiting(entry)
    entry.write()
    _write_ledger(entry, atoms, arrival)


def _mark_clock(atoms: Iterable[Atom], at: datetime, arrival: Arrival) -> None:
    for atom in atoms:
        if off := arrival.warning_of(atom.sent, at):
            atom.result["warnings"] = [*atom.result.get("warnings", ()), off]


# -- the ledger ------------------------------------------------------------------------------------


def _known(actor: Actor, mutations: list[Sent]) -> dict[UUID, Mutation]:
    """Return what the ledger holds of these: by their ids, and by what stands for one whose id was used before."""
    known = _in_ledger(actor.group_id, {sent.mid for sent in mutations})
    used = [sent for sent in mutations if sent.mid in known and not _is_told(known[sent.mid], sent, actor.person_id)]
    return known | _in_ledger(actor.group_id, {uuid5(sent.mid, sent.fingerprint()) for sent in used})


def _in_ledger(group_id: UUID, ids: set[UUID]) -> dict[UUID, Mutation]:
    return {m.mid: m for m in rows.select(Mutation, group_id=group_id, mid=ids)} if ids else {}


def _is_told(told: Mutation, sent: Sent, by_id: UUID) -> bool:
    """Return whether a line of the ledger stands for the same words of the same person."""
    return (told.by_id, told.fingerprint) == (by_id, sent.fingerprint())


def _lock_outbox(device_id: UUID, group_id: UUID) -> Outbox:
    rows.insert(Outbox, [(device_id, group_id, 0, None, None)], keep_first=True)
    (outbox,) = rows.select(Outbox, lock=True, device_id=device_id, group_id=group_id)
    return outbox


def _counted(mutations: list[Sent], known: dict[UUID, Mutation], last_n: int) -> int:
    """Return the device's last number after these. Raises Gap or DeviceForked."""
    counted = set(known)
    for sent in mutations:
        n = sent.n or 0
        if n > last_n + 1:
            raise Gap(expected=last_n + 1)
        if n <= last_n and sent.mid not in counted:
            raise DeviceForked
        last_n = max(last_n, n)
        counted.add(sent.mid)
    return last_n


def _sorted_out(
    mutations: list[Sent], known: dict[UUID, Mutation], by_id: UUID, at: datetime, arrival: Arrival
) -> tuple[list[UUID], dict[UUID, Atom]]:
    """Return each mutation's id in the ledger, and those that are new by that id."""
    keys: list[UUID] = []
    fresh: dict[UUID, Atom] = {}
    for sent in mutations:
        key = _key(sent, known, fresh, by_id)
        if key not in known and key not in fresh:
            fresh[key] = Atom.of(sent, key, arrival, at)
        keys.append(key)
    return keys, fresh


def _key(sent: Sent, known: dict[UUID, Mutation], fresh: dict[UUID, Atom], by_id: UUID) -> UUID:
    """Return a mutation's id in the ledger: its own, or one made of its words if its own stands for others.

    An id that another person used stands for something else too, whatever the words.
    """
    if sent.mid in known:
        is_own = _is_told(known[sent.mid], sent, by_id)
    else:
        is_own = sent.mid not in fresh or fresh[sent.mid].sent.fingerprint() == sent.fingerprint()
    return sent.mid if is_own else uuid5(sent.mid, sent.fingerprint())


def _answer(key: UUID, fresh: dict[UUID, Atom], known: dict[UUID, Mutation]) -> dict[str, Any]:
    return fresh[key].result if key in fresh else orjson.loads(known[key].result) | {"replayed": True}


def _told_again(told: Mutation, sent: Sent, by_id: UUID) -> dict[str, Any]:
    """Return the stored answer. Raises MutationReused if the id stands for other words, or another person's."""
    if not _is_told(told, sent, by_id):
        raise MutationReused
    result: dict[str, Any] = orjson.loads(told.result)
    return result


def _write_ledger(entry: Entry, atoms: list[Atom], arrival: Arrival) -> None:
    lines = []
    for atom in atoms:
        sent, outcome = atom.sent, atom.result["outcome"]
        if outcome in ("applied", "merged"):
            atom.result["seq"] = entry.seq_of[UUID(atom.result["id"]), atom.result["rev"]]
        payload = holding.payload_of(atom) if outcome in ("held", "conflict") else None
        lines.append((
            entry.group_id, atom.key, entry.by.person_id, entry.device_id, sent.n,
            sent.at, arrival.sent_at, arrival.estimate(sent.at, entry.at), entry.at,
            sent.fingerprint(), sent.type[:40], sent.op[:40], outcome, orjson.dumps(atom.result).decode(), payload,
        ))  # fmt: skip
    rows.insert(Mutation, lines)
