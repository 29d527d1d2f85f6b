"""What must hold when a simulated world has come to rest: the invariants of the protocol, told as sentences."""

import json
from collections import Counter
from collections.abc import Iterator
from typing import Any

from stewardship.journal.models import Revision
from stewardship.sync.models import Mutation
from stewardship.sync.reading import RESCUED
from tests import audit
from tests.simulation.network import Request
from tests.simulation.phones import Phone
from tests.simulation.world import World

WRITTEN = ("applied", "merged")
KEPT_WHOLE = ("held", "conflict")
SENT_AGAIN = 2
"""How many of the pushes of a world are sent once more in the end."""


def findings(world: World) -> list[str]:
    """Return a sentence for everything that does not hold; none if all is well.

    The audit holds what is told of the book itself: I2 (numbers without a gap), I10 (history and chain), I12 (every
    record is its newest revision, every derived column comes out when computed again).
    """
    sent_again = list(_sent_again(world))
    revisions, ledger = world.server.revisions(), world.server.ledger()
    return [
        *(line for line in world.told if line == "it does not come to rest"),
        *world.leaks,
        *sent_again,
        *(line for phone in world.phones for line in _differs(world, phone, revisions)),
        *lost(world.entered, ledger, revisions),
        *not_once(world.entered, ledger, revisions),
        *_overwritten(world, ledger, revisions),
        *audit.findings(),
    ]


def _sent_again(world: World) -> Iterator[str]:
    """I14: a push that was taken changes nothing when it comes once more, whenever that is."""
    taken = world.server.ledger().keys()
    known = [push for push in world.network.pushes if mids_of(push) and mids_of(push) <= taken]
    for push in world.random.sample(known, min(SENT_AGAIN, len(known))):
        before = world.server.state()
        world.network.service.send(*push)
        world.told.append("an old push comes once more")
        if world.server.state() != before:
            yield f"a push of {len(mids_of(push))} that came once more changed something"


def mids_of(push: Request) -> set[str]:
    """Return the ids of what a push hands over."""
    return {mutation["mid"] for mutation in json.loads(push[3])["mutations"]}


def _differs(world: World, phone: Phone, revisions: list[Revision]) -> Iterator[str]:
    """I8: a quiet phone holds what the service holds for its person, byte for byte, and knows the head of the book."""
    store, audiences = phone.device.store, world.server.audiences(phone.who)
    if left := store.outbox():
        yield f"{phone.name} still has {len(left)} entries to send: {phone.device.needs}"
    wanted = {
        str(each.record_id): (each.kind, each.rev, each.content)
        for each in revisions
        if audiences is None or each.audience in audiences
    }
    copied = store.records()
    for id in wanted.keys() | copied.keys():
        if wanted.get(id) != copied.get(id):
            yield f"{phone.name}: {id} is {copied.get(id)} and should be {wanted.get(id)}"
    book = world.server.book()
    if audiences != set() and (store["head"], store["head_hash"]) != (book.head, book.head_hash):
        yield f"{phone.name} remembers another head than the book's"


def lost(entered: dict[str, dict[str, Any]], ledger: dict[str, Mutation], revisions: list[Revision]) -> Iterator[str]:
    """I5: everything that a person entered stands in the ledger, and not as a mere name.

    What was not applied stands there word for word; what is called no change says what the record has said once.
    """
    history: dict[str, list[str]] = {}
    for each in revisions:
        history.setdefault(str(each.record_id), []).append(each.content or "{}")
    for mid, said in entered.items():
        line, named = ledger.get(mid), f"{said['type']} {said['op']} {mid}"
        if line is None and (text := _rescued(said, ledger)) is None:
            yield f"{named} is lost"
        elif line is None and text != said:
            yield f"{named} is rescued in other words"
        elif line is None:
            continue
        elif line.outcome in KEPT_WHOLE and _words(json.loads(line.payload or "{}")) != _words(said):
            yield f"{named} is kept in other words"
        elif line.outcome == "noop" and not any(
            _is_so(said, json.loads(stood)) for stood in history.get(_target(said), ())
        ):
            yield f"{named} is called no change, and its record never said so"


def _rescued(said: dict[str, Any], ledger: dict[str, Mutation]) -> Any:
    """Return what was kept as mere text of an entry that nobody could read, or None."""
    texts = (json.loads(line.payload or "{}")["set"]["text"] for line in ledger.values() if line.type == RESCUED)
    return next((told for told in map(json.loads, texts) if told["mid"] == said["mid"]), None)


def _is_so(said: dict[str, Any], stood: dict[str, Any]) -> bool:
    """Tell whether a state of the record is what was wished for."""
    if said["op"] == "void":
        return bool(stood.get("voided_at")) or stood.get("state") == "voided"
    if said["op"] == "reinstate":
        return stood.get("voided_at") is None
    if said["op"] != "amend":
        return True
    return all(
        _same(stood.get(name), wish)
        or _same(said["base"].get(name), wish)  # written as it was seen: nothing is wished for
        or _keeps(name, {name: wish}, stood)
        for name, wish in said["set"].items()
    )


def _target(said: dict[str, Any]) -> str:
    return str(said.get("id") or said["set"].get("id"))


def _words(said: dict[str, Any]) -> dict[str, Any]:
    """Return what was said, without when and under which number it was sent."""
    names = ("mid", "type", "op", "id", "set", "base_rev", "base", "reason", "tx")
    return {name: said[name] for name in names if said.get(name) not in (None, "", {})}


def not_once(
    entered: dict[str, dict[str, Any]], ledger: dict[str, Mutation], revisions: list[Revision]
) -> Iterator[str]:
    """I4: what was applied changed its record once, and what was not changed it never."""
    made = Counter((str(each.mid), str(each.record_id)) for each in revisions)
    for mid, said in entered.items():
        target = _target(said)
        wanted = 1 if mid in ledger and ledger[mid].outcome in WRITTEN else 0
        if made[mid, target] != wanted:
            yield f"{said['type']} {said['op']} {mid} changed its record {made[mid, target]} times, not {wanted}"


def _overwritten(world: World, ledger: dict[str, Mutation], revisions: list[Revision]) -> Iterator[str]:
    """I9: a correction replaced the value that its author saw, or an equal one; of notes it keeps every line."""
    before: dict[Any, dict[str, Any]] = {}
    for each in revisions:
        stood, stands = before.get(each.record_id, {}), json.loads(each.content or "{}")
        before[each.record_id] = stands
        said = world.entered.get(str(each.mid), {})
        is_its_own = said.get("op") == "amend" and said["id"] == str(each.record_id)
        for name, wish in said["set"].items() if is_its_own else ():
            saw = said["base"].get(name)
            if _same(stood.get(name), saw) or _same(stood.get(name), wish) or _keeps(name, stood, stands):
                continue
            yield f"{said['type']} {said['id']}: {name} was {stood.get(name)}, its author saw {saw}"


def _keeps(name: str, stood: dict[str, Any], stands: dict[str, Any]) -> bool:
    """Tell whether every line of a note that stood there stands there still."""
    return name == "note" and set(stood[name].splitlines()) <= set((stands.get(name) or "").splitlines())


def _same(one: Any, other: Any) -> bool:
    """Tell whether two values say the same; of a quantity, as it was written."""
    if isinstance(one, dict) and isinstance(other, dict):
        return all(one.get(name) == other.get(name) for name in ("value", "unit"))
    return bool(one == other)
