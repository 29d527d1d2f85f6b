"""What settling performs: read before anything is loaded, so that all it looks at is locked with the rest."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import Q

from stewardship.errors import Unreadable
from stewardship.sync.atoms import Atom, Held
from stewardship.sync.fields import SettleFields, Side
from stewardship.sync.holding import ParentHeld
from stewardship.sync.models import State, ToSettle
from stewardship.sync.reading import RESCUED, Sent, read


def take_up(group_id: UUID, atoms: Iterable[Atom]) -> list[Atom]:
    """Give each mutation that settles something what it performs; return all of that. One statement, or none."""
    acts = [atom for atom in atoms if atom.verb and atom.verb.takes_up]
    if not acts:
        return []
    asked = Q(id__in={act.wish.id for act in acts})
    beside = Q(code=ParentHeld.code) | Q(together__isnull=False)
    waiting = ToSettle.objects.filter(asked | beside, group_id=group_id, state=State.WAITING)
    stored = list(waiting.order_by("received_at", "n", "id"))
    for act in acts:
        act.taken_up = [[_held(item, act) for item in several] for several in _in_order(stored, act.wish.id)]
    return [held.atom for act in acts for several in act.taken_up for held in several]


def _in_order(stored: list[ToSettle], id: UUID) -> list[list[ToSettle]]:
    """Return an entry with what stands or falls with it, then what builds on those, parents first."""
    first = next((item for item in stored if item.id == id), None)
    if first is None:
        return []
    found = [_together(stored, first)]
    taken = {str(item.mid) for item in found[0]}
    while more := next((item for item in stored if _is_next(item, taken)), None):
        found.append(_together(stored, more))
        taken |= {str(item.mid) for item in found[-1]}
    return found


def _is_next(item: ToSettle, taken: set[str]) -> bool:
    return item.code == ParentHeld.code and str(item.mid) not in taken and bool(taken & set(item.parents))


def _together(stored: list[ToSettle], item: ToSettle) -> list[ToSettle]:
    if item.together is None:
        return [item]
    return [each for each in stored if each.together == item.together]


def _held(item: ToSettle, act: Atom) -> Held:
    """Return a held mutation as it is performed now: under the id of the act that settles it."""
    try:
        sent = msgspec.json.decode(item.payload, type=Sent)
    except msgspec.MsgspecError as error:
        return Held(item.id, Atom(act.sent, act.key, problem=_unreadable(str(error))))
    if refusal := CANNOT_BE_PERFORMED.get(sent.type):
        return Held(item.id, Atom(sent, act.key, problem=_unreadable(refusal)))
    seen = _seen(item, act)
    atom = Atom(_as_decided(sent, item, act, seen), act.key, merges=True, decided=frozenset(seen))
    try:
        atom.verb, atom.wish = read(atom.sent)
    except Unreadable as problem:
        atom.problem = problem
    return Held(item.id, atom)


CANNOT_BE_PERFORMED = {
    ToSettle.kind: "This entry was to settle another one. Settle that one, and void this.",
    RESCUED: "Nobody could read this entry when it came. Enter anew what it says, then void it.",
}
"""Type of an entry that is never performed -> what to do instead."""


def _unreadable(detail: str) -> Unreadable:
    return Unreadable([{"pointer": "", "code": "value_invalid", "detail": detail}])


def _sides(item: ToSettle, act: Atom) -> dict[str, Side]:
    """Return for each disputed field whose value is to stand, where that was decided."""
    return act.wish.fields if item.id == act.wish.id and isinstance(act.wish, SettleFields) else {}


def _seen(item: ToSettle, act: Atom) -> dict[str, Any]:
    """Return the fields that were decided for the author, with what stands in the book: it counts as seen by them."""
    sides = _sides(item, act)
    return {name: each["server"] for name, each in (item.fields or {}).items() if sides.get(name) == "theirs"}


def _as_decided(sent: Sent, item: ToSettle, act: Atom, seen: dict[str, Any]) -> Sent:
    """Return what was sent without the fields that were decided for the book.

    Any other act than a correction is done now, whatever happened meanwhile.
    """
    if item.id == act.wish.id and sent.op != "amend":
        return msgspec.structs.replace(sent, base_rev=None)
    sides = _sides(item, act)
    kept = {name: value for name, value in sent.set.items() if sides.get(name) != "ours"}
    return msgspec.structs.replace(sent, set=kept, base=sent.base | seen)
