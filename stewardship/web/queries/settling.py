"""What waits to be settled, as it is read by a person: what was to be done, with which values, and what disagrees."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import QuerySet

from stewardship.journal.models import Record
from stewardship.journal.references import references
from stewardship.rules.shares import BatchOverdrawn
from stewardship.sync.duplicates import PossibleDuplicate
from stewardship.sync.models import State, ToSettle
from stewardship.sync.reading import Sent
from stewardship.sync.verbs import VERBS
from stewardship.treatments.models import Application, Batch, Session
from stewardship.web import words
from stewardship.web.access import Here

MOST_PAST = 40
"""Settled entries that are listed below those that wait."""

NOT_STATED = "not stated"

GIST = (
    "mix", "volume", "mass", "minutes", "species", "unit", "property", "name", "display_name", "title", "product",
    "lot", "on_date", "first_on",
)  # fmt: skip
"""Fields by which an entry is told from the others of its list, the most telling first."""
MOST_TOLD = 3
"""How many of them are told."""


@dataclass(frozen=True)
class Said:
    """One value that was sent, and where it is disputed what the author had seen and what stands."""

    name: str
    label: str
    value: str
    seen: str = ""
    stands: str = ""
    is_disputed: bool = False


def items(here: Here) -> QuerySet[ToSettle]:
    """Return what the person may see of what was held."""
    found = ToSettle.objects.filter(ToSettle.visible_to(here.actor), group_id=here.group.id)
    return found.select_related("author", "settled_by")


def waiting(here: Here) -> list[ToSettle]:
    """Return what waits, the oldest first."""
    return list(items(here).filter(state=State.WAITING).order_by("received_at", "n", "id"))


def past(here: Here) -> list[ToSettle]:
    """Return what was settled last."""
    return list(items(here).exclude(state=State.WAITING).order_by("-settled_at", "-id")[:MOST_PAST])


def said_of(here: Here, item: ToSettle) -> list[Said]:
    """Return the values that were sent, in their order; none where it could not be read."""
    sent = _sent(item)
    if sent is None:
        return []
    names = _names(here, [sent])
    disputed = item.fields or {}
    return [_said(name, value, disputed.get(name), names) for name, value in sent.set.items() if name != "id"]


def with_gists(here: Here, items: list[ToSettle]) -> list[tuple[ToSettle, str]]:
    """Return each entry with the few of its values that tell it from the others."""
    read = [(item, _sent(item)) for item in items]
    names = _names(here, [sent for _, sent in read if sent])
    return [(item, _gist(sent, names) if sent else "") for item, sent in read]


def _gist(sent: Sent, names: dict[str, str]) -> str:
    stated = [told(sent.set[name], names) for name in GIST if sent.set.get(name)]
    return ", ".join(stated[:MOST_TOLD])


def batch_of(here: Here, item: ToSettle) -> Batch | None:
    """Return the batch of which an entry takes more than is left."""
    sent = _sent(item) if item.code == BatchOverdrawn.code else None
    ids = list(_ids([sent.set.get("batch")])) if sent else []
    return Batch.objects.filter(group_id=here.group.id, id__in=ids).first() if ids else None


def like_of(here: Here, item: ToSettle) -> Application | None:
    """Return the use that an entry may be a duplicate of."""
    if item.code != PossibleDuplicate.code:
        return None
    return Application.objects.filter(group_id=here.group.id, id=item.problems[0]["where"]).first()


def _said(name: str, value: Any, sides: dict[str, Any] | None, names: dict[str, str]) -> Said:
    label = name.replace("_", " ")
    if sides is None:
        return Said(name, label, told(value, names, name))
    seen, stands = told(sides["base"], names, name), told(sides["server"], names, name)
    return Said(name, label, told(value, names, name), seen, stands, is_disputed=True)


def told(value: Any, names: dict[str, str], of: str = "") -> str:
    """Return a value of a field in words: an amount with its unit, a record by its name, a code by what it means."""
    if value is None or value in ("", []):
        return NOT_STATED
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(told(item, names, of) for item in value)
    if isinstance(value, dict) and {"value", "unit"} <= value.keys():
        return f"{value['value']} {words.UNITS.get(str(value['unit']), value['unit'])}"
    if isinstance(value, dict):
        return ", ".join(f"{name.replace('_', ' ')} {told(item, names, name)}" for name, item in value.items())
    return names.get(str(value)) or (words.word(value, of) if of in words.KNOWN else str(value))


def _sent(item: ToSettle) -> Sent | None:
    """Return what was sent; None where it could not be read or was erased."""
    try:
        return msgspec.json.decode(item.payload, type=Sent)
    except msgspec.MsgspecError:
        return None


def _names(here: Here, several: list[Sent]) -> dict[str, str]:
    """Return the names of the records that were named; an id that names none here stays an id."""
    verbs = [verb for sent in several if (verb := VERBS.get((sent.type, sent.op)))]
    models = {reference.model for verb in verbs for reference in references(verb.fields)}
    ids = {id for sent in several for said in (sent.set, sent.base) for id in _ids(said.values())}
    found: dict[str, str] = {}
    for model in models if ids else ():
        rows = model._default_manager.filter(model.visible_to(here.actor), group_id=here.group.id, id__in=ids)
        found |= {str(row.id): _name(row) for row in rows}
    return found


def _name(row: Record) -> str:
    if isinstance(row, Batch):
        return f"{row.mix_value} {words.UNITS[row.mix_unit]}, mixed {words.day(row.on_date)}"
    return f"of {words.day(row.on_date)}" if isinstance(row, Session) else str(row)


def _ids(values: Iterable[Any]) -> Iterator[UUID]:
    for value in values:
        if isinstance(value, list | dict):
            yield from _ids(value.values() if isinstance(value, dict) else value)
        elif isinstance(value, str) and len(value) == len(str(UUID(int=0))):
            try:
                yield UUID(value)
            except ValueError:
                continue
