"""A bottle of the same number that is out already: marked, never refused, because two bottles may bear one number."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q
from msgspec import UNSET

from stewardship.journal.book import Entry
from stewardship.treatments import fields
from stewardship.treatments.models import Container
from stewardship.treatments.services import facts

FIELD = "number"
"""Where the mark says that it belongs."""


def outings_of_numbers(entry: Entry, wishes: list[Any]) -> dict[str, list[Container]]:
    """Survey the outings of the numbers at hand that were not over when the earliest of these began, by number."""
    said = [each for wish in wishes if (each := _said(entry, wish))]
    found: dict[str, list[Container]] = {}
    if not said:
        return found
    earliest = min(out_at for _, out_at in said)
    outings = Container.objects.filter(group_id=entry.group_id, number__in={number for number, _ in said})
    for outing in outings.filter(Q(back_at=None) | Q(back_at__gt=earliest), voided_at=None).order_by("out_at", "id"):
        found.setdefault(outing.number, []).append(outing)
    return found


def _said(entry: Entry, wish: fields.NewContainer | fields.AmendContainer) -> tuple[str, datetime] | None:
    """Return the number and the time that a wish says, or that its outing keeps; None if there is no such outing."""
    if isinstance(wish, fields.NewContainer):
        return wish.number, wish.out_at
    bottle = entry.find(Container, wish.id)
    if bottle is None:
        return None
    number = bottle.number if wish.number is UNSET else wish.number
    return number, bottle.out_at if wish.out_at is UNSET else wish.out_at


def number_marks(entry: Entry, after: Mapping[str, Any], own: UUID | None = None) -> facts.Marks:
    """Return the mark of an outing of these values whose number was out at that time, but for the outing itself."""
    earlier = next((each for each in _outings(entry, after["number"]) if _is_out(each, after["out_at"], own)), None)
    if earlier is None:
        return []
    since = earlier.out_at.astimezone(ZoneInfo(earlier.time_zone))
    detail = (
        f"Bottle {earlier.number} was out already, since {since:%Y-%m-%d %H:%M}. Say what came back in it then; "
        "if it is another bottle, give one of them another number."
    )
    return [facts.mark("bottle_already_out", detail, FIELD)]


def _outings(entry: Entry, number: str) -> Iterator[Container]:
    """Give the outings of a number, as this entry has left them so far; first those that were there before."""
    stored: Iterable[Container] = entry.surveyed[outings_of_numbers].get(number, ())
    known = entry.known(Container) if stored else {}
    yield from (known.get(each.id, each) for each in stored)
    yield from (each for each in entry.staged(Container) if each.number == number)


def _is_out(outing: Container, at: datetime, own: UUID | None) -> bool:
    """Return whether an outing, another one, lasted at that time by what is known so far."""
    counts = outing.id != own and outing.voided_at is None
    return counts and outing.out_at <= at and (outing.back_at is None or outing.back_at > at)
