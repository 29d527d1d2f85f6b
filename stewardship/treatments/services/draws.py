"""A batch gives up mix, to a line or to whatever else draws on it, and gets it back."""

from collections.abc import Iterable, Sequence
from typing import Any

from stewardship.journal.book import Entry
from stewardship.rules.figures import from_exact_text
from stewardship.rules.measures import amount_of, base_of
from stewardship.rules.shares import share_nl, substance_in_dry_ug, substance_ug, take_nl
from stewardship.treatments.models import Batch
from stewardship.treatments.services import facts


def take(entry: Entry, batch: Batch, wanted_nl: int) -> tuple[int, list[dict[str, Any]]]:
    """Take mix [nL] out of a batch: return what is taken and each product's share of it, in the order of its parts.

    What leaves no mix takes all product left. Raises BatchOverdrawn.
    """
    facts.living(batch)
    mix_nl = take_nl(left_nl=batch.left_nl, wanted_nl=wanted_nl, entries=batch.lines + 1)
    shares = shares_of(batch, mix_nl)
    _move(entry, batch, mix_nl, shares, lines=1)
    return mix_nl, [contained(part, nl) for part, nl in zip(batch.parts, shares, strict=True)]


def shares_of(batch: Batch, mix_nl: int) -> list[int]:
    """Return each part's share of so much of the mix that is left [nL, µg of a dry one]; what leaves none takes all."""
    return [
        share_nl(
            product_nl=amount_of(part),
            total_nl=batch.mix_nl,
            mix_nl=mix_nl,
            mix_left_nl=batch.left_nl,
            product_left_nl=left,
        )
        for part, left in zip(batch.parts, batch.amounts_left, strict=True)
    ]


def give_back(entry: Entry, batch: Batch, mix_nl: int, products: Iterable[dict[str, Any]]) -> None:
    """Put mix [nL] and its share of each product, in the order of the batch's parts, back into it."""
    _move(entry, batch, -mix_nl, [-amount_of(product) for product in products], lines=-1)


def _move(entry: Entry, batch: Batch, mix_nl: int, shares: Sequence[int], lines: int) -> None:
    used_parts = [used + share for used, share in zip(batch.used_parts, shares, strict=True)]
    entry.change(batch, used_nl=batch.used_nl + mix_nl, used_parts=used_parts, lines=batch.lines + lines)


def contained(part: dict[str, Any], amount: int) -> dict[str, Any]:
    """Return so much of one product of a mix, with the active ingredient and acid in it, or None where unknown."""
    tell = _in_dry if base_of(part) == "ug" else _in_liquid
    actives = [
        {"active_ingredient": active["active_ingredient"], **tell(amount, active)} for active in part["ingredients"]
    ]
    return {"product": part["product"], base_of(part): amount, "actives": actives}


def _in_liquid(product_nl: int, active: dict[str, Any]) -> dict[str, int | None]:
    stated = {"ai_ug": active["ai_g_l"], "ae_ug": active["ae_g_l"]}
    return {
        name: None if text is None else substance_ug(product_nl=product_nl, g_per_l=from_exact_text(text))
        for name, text in stated.items()
    }


def _in_dry(product_ug: int, active: dict[str, Any]) -> dict[str, int | None]:
    stated = {"ai_ug": active["ai_g_kg"], "ae_ug": active["ae_g_kg"]}
    return {
        name: None if text is None else substance_in_dry_ug(product_ug=product_ug, g_per_kg=from_exact_text(text))
        for name, text in stated.items()
    }
