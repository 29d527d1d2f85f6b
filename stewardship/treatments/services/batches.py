"""A batch is mixed, corrected, voided; a line takes from it and gives back."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from msgspec import UNSET

from stewardship.catalog.labels import ingredient_snapshot
from stewardship.catalog.models import Product
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, Volume, columns
from stewardship.places.zones import group_zone
from stewardship.rules.dates import local_date
from stewardship.rules.figures import from_exact_text
from stewardship.rules.shares import share_nl, substance_ug, take_nl
from stewardship.treatments import fields
from stewardship.treatments.models import Application, Batch
from stewardship.treatments.services import facts
from stewardship.workdays.models import WorkDay

MADE_OF = ("mix_nl", "parts", "adjuvants", "carrier")
NO_CARRIER = "none"


class PartsAboveMix(RuleViolation):
    """A mix cannot hold more than its own volume."""

    code = "parts_above_mix"
    message = "The products and adjuvants come to more than the finished mix. Check the amounts and their units."
    where = "parts"


class PartTwice(RuleViolation):
    """A product stands once in a mix."""

    code = "part_twice"
    message = "A product stands twice in this mix. Enter its whole amount once."
    where = "parts"


class BatchInUse(RuleViolation):
    """What was drawn from a batch rests on what it was made of."""

    code = "batch_in_use"
    message = "This batch was drawn from already. Void the lines that used it first."


def record_batch(entry: Entry, new: fields.NewBatch) -> Batch:
    """Record a batch that was mixed, with its products' label strengths as they stood."""
    zone = _zone(entry, new)
    on = local_date(new.mixed_at, zone)
    values = columns(new) | _made_of(entry, new, None) | {"on_date": on, "time_zone": zone.key}
    values["used_parts"] = [0] * len(values["parts"])
    day = facts.join_day(entry, new.work_day)
    values["marks"] = [
        *facts.day_marks(day),
        *facts.date_marks(day, on, "mixed_at"),
        *facts.applicator_marks(entry, new.mixed_by, on, "mixed_by"),
        *_mix_marks(values),
    ]
    return entry.create(Batch, id=new.id, **values)


def amend_batch(entry: Entry, wish: fields.AmendBatch) -> Batch:
    """Correct a batch; what it is made of only while no line draws on it. Another mixer or date is judged anew."""
    batch = facts.living(entry.get(Batch, wish.id))
    values = columns(wish) | _made_of(entry, wish, batch)
    after = vars(batch) | values
    if batch.lines and any(after[name] != getattr(batch, name) for name in MADE_OF):
        raise BatchInUse
    if not batch.lines:
        values["used_parts"] = [0] * len(values["parts"])
    values["on_date"] = local_date(after["mixed_at"], ZoneInfo(batch.time_zone))
    marks = facts.judged_anew(entry, batch, values, moment="mixed_at", people={"mixed_by": facts.applicator_marks})
    kept = [mark for mark in marks if mark["field"] != "parts"]
    return entry.change(batch, **values | {"marks": kept + _mix_marks(after)})


def void_batch(entry: Entry, wish: Target) -> Batch:
    """Take a batch out of the books; refused while lines draw on it."""
    batch = entry.get(Batch, wish.id)
    if batch.lines:
        raise BatchInUse
    return facts.void(entry, batch)


def reinstate_batch(entry: Entry, wish: Target) -> Batch:
    """Put a voided batch back."""
    return entry.change(facts.voided(entry, Batch, wish), voided_at=None)


def take(entry: Entry, batch: Batch, wanted_nl: int) -> tuple[int, list[dict[str, Any]]]:
    """Take mix [nL] out of a batch: return what is taken and each product's share of it.

    The line that leaves no mix takes all product left. Raises BatchOverdrawn.
    """
    facts.living(batch)
    mix_nl = take_nl(left_nl=batch.left_nl, wanted_nl=wanted_nl, entries=batch.lines + 1)
    shares = [
        share_nl(
            product_nl=part["nl"],
            total_nl=batch.mix_nl,
            mix_nl=mix_nl,
            mix_left_nl=batch.left_nl,
            product_left_nl=part["nl"] - used,
        )
        for part, used in zip(batch.parts, batch.used_parts, strict=True)
    ]
    _move(entry, batch, mix_nl, shares, lines=1)
    return mix_nl, [_use(part, nl) for part, nl in zip(batch.parts, shares, strict=True)]


def give_back(entry: Entry, batch: Batch, application: Application) -> None:
    """Put a line's mix and products back into its batch."""
    _move(entry, batch, -application.mix_nl, [-product["nl"] for product in application.products], lines=-1)


def _move(entry: Entry, batch: Batch, mix_nl: int, shares: Sequence[int], lines: int) -> None:
    used_parts = [used + share for used, share in zip(batch.used_parts, shares, strict=True)]
    entry.change(batch, used_nl=batch.used_nl + mix_nl, used_parts=used_parts, lines=batch.lines + lines)


def _use(part: dict[str, Any], product_nl: int) -> dict[str, Any]:
    """Return one product's share of a line, with the active ingredient and acid in it, or None where unknown."""
    actives = [
        {
            "active_ingredient": active["active_ingredient"],
            "ai_ug": _substance(product_nl, active["ai_g_l"]),
            "ae_ug": _substance(product_nl, active["ae_g_l"]),
        }
        for active in part["ingredients"]
    ]
    return {"product": part["product"], "nl": product_nl, "actives": actives}


def _substance(product_nl: int, g_per_l: str | None) -> int | None:
    return None if g_per_l is None else substance_ug(product_nl=product_nl, g_per_l=from_exact_text(g_per_l))


def _zone(entry: Entry, new: fields.NewBatch) -> ZoneInfo:
    return entry.get(WorkDay, new.work_day).zone() if new.work_day else group_zone(entry)


def _made_of(entry: Entry, wish: fields.NewBatch | fields.AmendBatch, batch: Batch | None) -> dict[str, Any]:
    """Return what the batch is made of once the wish is done; what is not sent stays as it was."""
    parts = _sent(wish.parts, lambda part: _part(entry, part), batch and batch.parts)
    adjuvants = _sent(wish.adjuvants, _adjuvant, batch and batch.adjuvants)
    values = {"mix_nl": batch and batch.mix_nl} | columns(wish)
    _check_sum(values["mix_nl"], parts, adjuvants)
    return {"parts": parts, "adjuvants": adjuvants}


def _sent(items: Any, told: Callable[[Any], dict[str, Any]], before: Any) -> list[dict[str, Any]]:
    return before if items is UNSET else [told(item) for item in items]


def _mix_marks(made_of: Mapping[str, Any]) -> facts.Marks:
    """Return what to mark about a mix that was carried in nothing, yet holds more than was poured in."""
    contents = [each["nl"] for each in (*made_of["parts"], *made_of["adjuvants"])]
    if made_of["carrier"] != NO_CARRIER or made_of["mix_nl"] <= sum(contents) + len(contents) + 1:
        return []
    detail = "Nothing was mixed in, and yet the products come to less than the mix. Check the amounts."
    return [facts.mark("parts_below_mix", detail, "parts")]


def _check_sum(mix_nl: int, parts: list[dict[str, Any]], adjuvants: list[dict[str, Any]]) -> None:
    """Refuse what is impossible; each entry was rounded once, so each may add one nanolitre."""
    if len({part["product"] for part in parts}) < len(parts):
        raise PartTwice
    amounts = [each["nl"] for each in (*parts, *adjuvants)]
    if sum(amounts) > mix_nl + len(amounts) + 1:
        raise PartsAboveMix


def _part(entry: Entry, part: fields.Part) -> dict[str, Any]:
    product = entry.get(Product, part.product)
    return {
        "product": str(product.id),
        "registration_no": product.registration_no,
        "nl": part.volume.amount(),
        "volume": _volume(part.volume),
        "ingredients": ingredient_snapshot(product),
    }


def _adjuvant(adjuvant: fields.Adjuvant) -> dict[str, Any]:
    return {"name": adjuvant.name, "nl": adjuvant.volume.amount(), "volume": _volume(adjuvant.volume)}


def _volume(volume: Volume) -> dict[str, Any]:
    return {"value": volume.value, "unit": volume.unit, "nl": volume.amount()}
