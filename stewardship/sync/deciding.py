"""Decide mutations on locked records: one, an all-or-nothing group, or what a settled entry had asked for."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from msgspec import UNSET

from stewardship.errors import Conflict, IdTaken, NotPermitted, ReasonMissing, RuleViolation, Unavailable
from stewardship.journal.book import Cause, Entry
from stewardship.journal.models import Record, Revision
from stewardship.journal.references import references
from stewardship.sync import merging, settling
from stewardship.sync.atoms import Atom, Held
from stewardship.sync.models import Mutation, State, ToSettle
from stewardship.sync.verbs import Verb
from stewardship.sync.verbs.verb import ANYTHING

Check = Callable[[Atom], None]


def decide(entry: Entry, atoms: list[Atom], *, also: Check | None = None) -> None:
    """Decide one mutation, or an all-or-nothing group of them; raises the first rule broken, and notes whose it is.

    ``also`` may refuse what was decided.
    """
    with entry.attempt():
        for atom in atoms:
            try:
                _decide_one(entry, atom)
                if also:
                    also(atom)
            except RuleViolation as rule:
                atom.problem = rule
                raise


def _decide_one(entry: Entry, atom: Atom) -> None:
    if atom.problem:
        raise atom.problem
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
    if verb.takes_up:
        _take_up(entry, atom)
    atom.result = _outcome(atom, atom.record, is_told=entry.told_since(mark))


def _outcome(atom: Atom, record: Record, *, is_told: bool) -> dict[str, Any]:
    done = "merged" if atom.is_merged else "applied"
    result: dict[str, Any] = {"mid": str(atom.sent.mid), "outcome": done if is_told else "noop"}
    result |= {"id": str(record.id), "rev": record.rev}
    if atom.moved:
        result["fields"] = atom.moved
    if warnings := getattr(record, "marks", None):
        result["warnings"] = warnings
    return result


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
    if target is not None and merging.is_to_merge(atom, target):
        wish = merging.merged(atom, target)
        return target if wish is None else verb.service(entry, wish)
    seen = target.rev if target else None
    is_stale = target is not None and merging.is_stale(atom, target)
    record = verb.service(entry, atom.wish)
    if is_stale and entry.told_since(mark):
        raise Conflict(rev=seen)
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


# -- what was held before ----------------------------------------------------------------------------


def _take_up(entry: Entry, act: Atom) -> None:
    """Perform what an entry had asked for, in its author's name; then what waited for it, where that passes now."""
    cause, (first, *rest) = entry.cause, act.taken_up
    _perform_held(entry, first)
    entry.cause = cause
    _end(entry, first, cause)
    for several in rest:
        items = [entry.get(ToSettle, held.item_id) for held in several]
        if not all(item.is_waiting for item in items):
            continue
        try:
            with entry.attempt():
                _perform_held(entry, several)
                _end(entry, several, cause)
        except RuleViolation as rule:
            entry.cause = cause
            _tell_anew(entry, items, rule)


def _perform_held(entry: Entry, several: list[Held]) -> None:
    for held in several:
        with _in_name_of(entry, entry.get(ToSettle, held.item_id)):
            _decide_one(entry, held.atom)


def _end(entry: Entry, several: list[Held], cause: Cause) -> None:
    entry.cause = cause
    for held in several:
        settling.end(entry, entry.get(ToSettle, held.item_id), State.RELEASED, cause.reason)


def _tell_anew(entry: Entry, items: list[ToSettle], rule: RuleViolation) -> None:
    """Say why what waited for another entry cannot be done now; what waits for yet another one stays as it is."""
    if isinstance(rule, Unavailable):
        return
    for item in items:
        entry.change(item, code=rule.code, detail=str(rule))


@contextmanager
def _in_name_of(entry: Entry, item: ToSettle) -> Iterator[None]:
    """Act as the author of a held entry, by the right of whoever settles it; both are on record."""
    by = entry.by
    entry.by = replace(by, person_id=item.entered_by_id, member_id=item.author_id)
    try:
        yield
    finally:
        entry.by = by
