"""Perform mutations: one from REST or a page, up to 500 from a device, through one ledger."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from itertools import groupby
from typing import Any, TypeVar
from uuid import UUID, uuid5

import msgspec
import orjson
from django.db import IntegrityError, OperationalError
from msgspec import UNSET

from stewardship.accounts.capabilities import Actor
from stewardship.errors import Conflict, IdTaken, NotPermitted, ReasonMissing, RuleViolation, Unavailable, Unreadable
from stewardship.journal import rows
from stewardship.journal.book import Cause, Entry, open_entry
from stewardship.journal.models import Book, Record, Revision
from stewardship.journal.references import references
from stewardship.sync import rates
from stewardship.sync.arriving import FROM_HERE, Arrival
from stewardship.sync.loading import load
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.reading import Sent, read
from stewardship.sync.verbs import Verb
from stewardship.sync.verbs.verb import ANYTHING

TOLD = ("errors", "reasons", "incident")
"""What a refusal tells beside its code and sentence, through every door."""

TRIES = 3
"""How often an entry is begun again after a deadlock or after somebody else took an id at the same moment."""

T = TypeVar("T")


class MutationReused(RuleViolation):
    """A mutation id stands for one thing, for ever."""

    code = "mid_reused"
    message = "This id was used before for something else. Send it again under a new id."


class DeviceForked(RuleViolation):
    """Two devices count under one identity: one was cloned or restored from a backup."""

    code = "device_forked"
    message = "This device's numbers were already used for something else. Register it anew; nothing is lost."


class Gap(RuleViolation):
    """A number is missing between what was taken and what is sent."""

    code = "gap"
    message = "Entries before these have not arrived. Send everything from number {expected} on."


@dataclass
class Atom:
    """One mutation on its way: what was sent, what it was read as or why it could not be, its outcome."""

    sent: Sent
    key: UUID
    """Its id in the ledger: its own, unless that id stands for something else."""
    verb: Verb | None = None
    wish: Any = None
    problem: RuleViolation | None = None
    result: dict[str, Any] = field(default_factory=dict)
    record: Record | None = None

    @classmethod
    def of(cls, sent: Sent, key: UUID, problem: RuleViolation | None) -> "Atom":
        """Read what was sent; one that cannot be performed keeps its problem, and so does one that comes with it."""
        if problem is not None:
            return cls(sent, key, problem=problem)
        if key != sent.mid:
            return cls(sent, key, problem=MutationReused())
        try:
            return cls(sent, key, *read(sent))
        except Unreadable as problem:
            return cls(sent, key, problem=problem)

    @property
    def creates(self) -> bool:
        """Whether it makes a record under an id that its sender chose."""
        return self.sent.op == "create" and getattr(self.wish, "id", None) is not None


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
            load(entry, atoms, careful=careful)
            decide(entry, atoms)
            entry.write()
            _write_ledger(entry, atoms)
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
            known = _known(actor.group_id, mutations)
            last_n = _counted(mutations, known, outbox.last_n)
            keys, fresh = _sorted_out(mutations, known, actor.person_id, at, arrival)
            load(entry, fresh.values(), careful=careful)
            for _, atoms in groupby(fresh.values(), key=lambda atom: atom.sent.tx or atom.key):
                _decide_or_hold(entry, list(atoms))
            _mark_clock(fresh.values(), at, arrival)
            entry.held = sum(atom.result["outcome"] == "held" for atom in fresh.values())
            entry.write()
            _write_ledger(entry, list(fresh.values()), arrival)
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


# -- deciding --------------------------------------------------------------------------------------


def decide(entry: Entry, atoms: list[Atom]) -> None:
    """Decide one mutation, or an all-or-nothing group of them; raises the first rule broken."""
    with entry.attempt():
        for atom in atoms:
            if atom.problem:
                raise atom.problem
            _decide_one(entry, atom)


def _decide_one(entry: Entry, atom: Atom) -> None:
    verb, sent = atom.verb, atom.sent
    assert verb
    if not entry.by.may(verb.may) or not _may_say(entry, atom, verb):
        raise NotPermitted
    reason = getattr(atom.wish, "reason", "") or sent.reason
    if verb.reason and not reason.strip():
        raise ReasonMissing
    _check_named(entry, atom, verb)
    entry.cause = Cause(atom.key, sent.op, reason, sent)
    mark = entry.mark()
    atom.record = _created_before(entry, atom) or _acted(entry, atom, verb)
    atom.result = {"mid": str(sent.mid), "outcome": "applied" if entry.told_since(mark) else "noop"}
    atom.result |= {"id": str(atom.record.id), "rev": atom.record.rev}
    if warnings := getattr(atom.record, "marks", None):
        atom.result["warnings"] = warnings


def _may_say(entry: Entry, atom: Atom, verb: Verb) -> bool:
    """Return whether the person may do what the fields say, where some of it takes another capability."""
    said = {name: getattr(atom.wish, name) for name, _ in verb.besides}
    wanted = [
        may
        for (name, value), may in verb.besides.items()
        if said[name] == value or (value is ANYTHING and said[name] not in (None, UNSET))
    ]
    return all(map(entry.by.may, wanted))


def _check_named(entry: Entry, atom: Atom, verb: Verb) -> None:
    """Refuse an id that names no record for this person: before any service, so that none can forget."""
    for reference in references(verb.fields):
        for id in reference.read(atom.wish):
            found = entry.find(reference.model, id)
            if found is None or not entry.by.sees(found):
                raise Unavailable(where=reference.path)


def _acted(entry: Entry, atom: Atom, verb: Verb) -> Record:
    mark = entry.mark()
    target = entry.find(verb.record, atom.wish.id) if atom.sent.op != "create" else None
    if target is not None and not entry.by.sees(target):
        raise Unavailable
    if target is not None and verb.own and target.entered_by_id != entry.by.person_id:
        _check_anyones(entry)
    seen = target.rev if target else None
    record = verb.service(entry, atom.wish)
    stale = seen is not None and atom.sent.base_rev is not None and seen != atom.sent.base_rev
    if stale and entry.told_since(mark):
        raise Conflict
    return record


def _check_anyones(entry: Entry) -> None:
    if not entry.by.may("amend_anyones"):
        raise NotPermitted("Only the person who entered this, or a coordinator, can change it.")


def _created_before(entry: Entry, atom: Atom) -> Record | None:
    """Return the record if the same author already created it with the same words. Raises IdTaken if not."""
    if not atom.creates or not atom.verb:
        return None
    if atom.wish.id in entry.taken:
        raise IdTaken
    record = entry.find(atom.verb.record, atom.wish.id)
    if record is None:
        return None
    if _said_when_made(entry, record) != atom.sent.fingerprint():
        raise IdTaken
    return record


def _said_when_made(entry: Entry, record: Record) -> str | None:
    """Return the hash of the words by which this author made the record; None if it was another's."""
    if cause := entry.cause_of(record):
        return str(cause.sent.fingerprint())
    first = Revision.objects.filter(group_id=entry.group_id, record_id=record.id, rev=1, by_id=entry.by.person_id)
    said = Mutation.objects.filter(group_id=entry.group_id, mid__in=first.values("mid"))
    return said.values_list("fingerprint", flat=True).first()


def _decide_or_hold(entry: Entry, atoms: list[Atom]) -> None:
    try:
        decide(entry, atoms)
    except RuleViolation as rule:
        for atom in atoms:
            atom.result = {"mid": str(atom.sent.mid), "outcome": "held", "code": rule.code, "detail": str(rule)}
            atom.result |= {name: rule.facts[name] for name in TOLD if name in rule.facts}


def _mark_clock(atoms: Iterable[Atom], at: datetime, arrival: Arrival) -> None:
    for atom in atoms:
        if off := arrival.warning_of(atom.sent, at):
            atom.result["warnings"] = [*atom.result.get("warnings", ()), off]


# -- the ledger ------------------------------------------------------------------------------------


def _known(group_id: UUID, mutations: list[Sent]) -> dict[UUID, Mutation]:
    reused = {uuid5(sent.mid, sent.fingerprint()) for sent in mutations}
    ids = reused | {sent.mid for sent in mutations}
    return {m.mid: m for m in Mutation.objects.filter(group_id=group_id, mid__in=ids)}


def _lock_outbox(device_id: UUID, group_id: UUID) -> Outbox:
    Outbox.objects.bulk_create([Outbox(device_id=device_id, group_id=group_id)], ignore_conflicts=True)
    return Outbox.objects.select_for_update(no_key=True).get(device_id=device_id, group_id=group_id)


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
            fresh[key] = Atom.of(sent, key, arrival.problem_of(sent, at))
        keys.append(key)
    return keys, fresh


def _key(sent: Sent, known: dict[UUID, Mutation], fresh: dict[UUID, Atom], by_id: UUID) -> UUID:
    """Return a mutation's id in the ledger: its own, or one made of its words if its own stands for others.

    An id that another person used stands for something else too, whatever the words.
    """
    said = sent.fingerprint()
    if sent.mid in known:
        is_own = (known[sent.mid].by_id, known[sent.mid].fingerprint) == (by_id, said)
    else:
        is_own = sent.mid not in fresh or fresh[sent.mid].sent.fingerprint() == said
    return sent.mid if is_own else uuid5(sent.mid, said)


def _answer(key: UUID, fresh: dict[UUID, Atom], known: dict[UUID, Mutation]) -> dict[str, Any]:
    return fresh[key].result if key in fresh else orjson.loads(known[key].result) | {"replayed": True}


def _told_again(told: Mutation, sent: Sent, by_id: UUID) -> dict[str, Any]:
    """Return the stored answer. Raises MutationReused if the id stands for other words, or another person's."""
    if (told.by_id, told.fingerprint) != (by_id, sent.fingerprint()):
        raise MutationReused
    result: dict[str, Any] = orjson.loads(told.result)
    return result


def _write_ledger(entry: Entry, atoms: list[Atom], arrival: Arrival = FROM_HERE) -> None:
    lines = []
    for atom in atoms:
        sent, held = atom.sent, atom.result["outcome"] == "held"
        if atom.result["outcome"] == "applied":
            atom.result["seq"] = entry.seq_of[UUID(atom.result["id"]), atom.result["rev"]]
        lines.append((
            entry.group_id, atom.key, entry.by.person_id, entry.device_id, sent.n,
            sent.at, arrival.sent_at, arrival.estimate(sent.at, entry.at), entry.at,
            sent.fingerprint(), sent.type[:40], sent.op[:40], atom.result["outcome"],
            orjson.dumps(atom.result).decode(), msgspec.json.encode(sent).decode() if held else None,
        ))  # fmt: skip
    rows.insert(Mutation, lines)
