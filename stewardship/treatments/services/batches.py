"""A batch is mixed, corrected, voided; a line takes from it and gives back."""

from collections.abc import Sequence
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

MADE_OF = ("mix", "parts", "adjuvants", "carrier")


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
    on = local_date(new.mixed_at, _zone(entry, new))
    marks = facts.join_day(entry, new.work_day) + facts.applicator_marks(entry, new.mixed_by, on, "mixed_by")
    made_of = _made_of(entry, new.mix.amount(), new.parts, new.adjuvants)
    used_parts = [0] * len(new.parts)
    values = columns(new) | made_of | {"on_date": on, "marks": marks, "used_parts": used_parts}
    return entry.create(Batch, id=new.id, **values)


def amend_batch(entry: Entry, wish: fields.AmendBatch) -> Batch:
    """Correct a batch; what it is made of only while no line draws on it."""
    batch = facts.living(entry.get(Batch, wish.id))
    values = columns(wish)
    if any(getattr(wish, name) is not UNSET for name in MADE_OF):
        if batch.lines:
            raise BatchInUse
        values |= _remade(entry, batch, wish)
    return entry.change(batch, **values)


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
            product_nl=part["volume"]["nl"],
            total_nl=batch.mix_nl,
            mix_nl=mix_nl,
            mix_left_nl=batch.left_nl,
            product_left_nl=part["volume"]["nl"] - used,
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


def _remade(entry: Entry, batch: Batch, wish: fields.AmendBatch) -> dict[str, Any]:
    mix_nl = batch.mix_nl if wish.mix is UNSET else wish.mix.amount()
    values: dict[str, Any] = {}
    if wish.parts is not UNSET:
        values = {"parts": [_part(entry, part) for part in wish.parts], "used_parts": [0] * len(wish.parts)}
    if wish.adjuvants is not UNSET:
        values["adjuvants"] = [_adjuvant(adjuvant) for adjuvant in wish.adjuvants]
    _check_sum(mix_nl, values.get("parts", batch.parts), values.get("adjuvants", batch.adjuvants))
    return values


def _made_of(
    entry: Entry, mix_nl: int, parts: Sequence[fields.Part], adjuvants: Sequence[fields.Adjuvant]
) -> dict[str, Any]:
    values = {"parts": [_part(entry, part) for part in parts], "adjuvants": [_adjuvant(a) for a in adjuvants]}
    _check_sum(mix_nl, values["parts"], values["adjuvants"])
    return values


def _check_sum(mix_nl: int, parts: list[dict[str, Any]], adjuvants: list[dict[str, Any]]) -> None:
    """Refuse what is impossible; each entry was rounded once, so each may add one nanolitre."""
    if len({part["product"] for part in parts}) < len(parts):
        raise PartTwice
    amounts = [entered["volume"]["nl"] for entered in (*parts, *adjuvants)]
    if sum(amounts) > mix_nl + len(amounts) + 1:
        raise PartsAboveMix


def _part(entry: Entry, part: fields.Part) -> dict[str, Any]:
    product = entry.get(Product, part.product)
    return {
        "product": str(product.id),
        "registration_no": product.registration_no,
        "volume": _volume(part.volume),
        "ingredients": ingredient_snapshot(product),
    }


def _adjuvant(adjuvant: fields.Adjuvant) -> dict[str, Any]:
    return {"name": adjuvant.name, "volume": _volume(adjuvant.volume)}


def _volume(volume: Volume) -> dict[str, Any]:
    return {"value": volume.value, "unit": volume.unit, "nl": volume.amount()}
