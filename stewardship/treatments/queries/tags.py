"""The tag of a container: what is in it, in words that stick to it. It says what the batch said when it was mixed."""

from datetime import datetime
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from stewardship.rules.figures import from_exact_text, rounded_text
from stewardship.rules.measures import amount_of, base_of
from stewardship.rules.units import told
from stewardship.treatments.models import Batch, Leftover

UNKNOWN = "Contents unknown – do not use"
CAUTIONS = (
    "The label is the law: keep a copy of it with this container.",
    "Keep closed, upright, locked away from children, food and feed. Never in a food or drink container.",
)
"""What every tag says: the usual words for a service container, common practice, no source."""

NO_SIGNAL_WORD = "Signal word not on record: read it off the label."
SIGNAL_WORDS = {"none": "no signal word required", "danger_poison": "DANGER – POISON"}
"""Signal word that is told otherwise than in capitals -> words."""


def tag_of(batch: Batch, leftover: Leftover | None = None) -> dict[str, Any]:
    """Return the tag of a batch, or of a container with what is left of it: ``fields``, and ``lines`` of text.

    ``batch`` comes with its ``mixed_by``.
    """
    zone = ZoneInfo(batch.time_zone)
    fields: dict[str, Any] = {
        "batch": str(batch.id),
        "contents": "known",
        "products": [_product(batch, part) for part in batch.parts],
        "adjuvants": [_adjuvant(batch, each) for each in batch.adjuvants],
        "carrier": batch.carrier,
        "mixed": _local(batch.mixed_at, zone),
        "mixer": batch.mixed_by.display_name,
        "volume": told(batch.mix_nl, batch.mix_unit),
        "leftover": _left(leftover) if leftover else None,
        "cautions": list(CAUTIONS),
    }
    return {"fields": fields, "lines": [*_lines(fields), f"Batch {batch.id}", *CAUTIONS]}


def tag_of_leftover(leftover: Leftover) -> dict[str, Any]:
    """Return the tag of a leftover; of one that nobody has identified, that it is not to be used."""
    if leftover.batch:
        return tag_of(leftover.batch, leftover)
    left = _left(leftover)
    fields: dict[str, Any] = {"batch": None, "contents": "unknown", "leftover": left, "cautions": [UNKNOWN, *CAUTIONS]}
    lines = [UNKNOWN, f"Found {left['measured']}, about {left['volume']}, {left['how_known']}"]
    lines += [left["container"]] if left["container"] else []
    return {"fields": fields, "lines": [*lines, f"Record {leftover.id}", *CAUTIONS]}


def _product(batch: Batch, part: dict[str, Any]) -> dict[str, Any]:
    share = Fraction(amount_of(part), batch.mix_nl)
    if base_of(part) == "nl":
        percent = f"{rounded_text(100 * share)} % of this product by volume of finished mix (product v/v)"
    else:
        percent = f"{rounded_text(1000 * share)} g of this product in a litre of finished mix (product g/L)"
    return {
        "name": part["name"],
        "registration_no": part["registration_no"],
        "signal_word": part["signal_word"],
        "percent": percent,
        "actives": [_active(each, share, base_of(part)) for each in part["ingredients"]],
    }


def _active(ingredient: dict[str, Any], share: Fraction, base: str) -> dict[str, Any]:
    """Return an active ingredient, and how much of it is in the mix: grams in 100 mL, of the a.i. and of the acid.

    ``share``: product in the mix [nL, or µg of a dry one] over the mix [nL].
    """
    per = "g_kg" if base == "ug" else "g_l"
    said = {"name": ingredient["name"]}
    for name, words in (("ai", "a.i."), ("ae", "a.e.")):
        grams = ingredient[f"{name}_{per}"]
        share_of_it = None if grams is None else rounded_text(from_exact_text(grams) * share / 10)
        said[f"{name}_percent"] = f"{words} unknown" if share_of_it is None else f"{share_of_it} % {words} w/v"
    return said


def _adjuvant(batch: Batch, adjuvant: dict[str, Any]) -> str:
    return f"{adjuvant['name']}, {rounded_text(100 * Fraction(adjuvant['nl'], batch.mix_nl))} % by volume"


def _left(leftover: Leftover) -> dict[str, Any]:
    return {
        "id": str(leftover.id),
        "volume": told(leftover.volume_nl, leftover.volume_unit),
        "how_known": leftover.get_how_known_display().lower(),
        "measured": _local(leftover.measured_at, ZoneInfo(leftover.time_zone)),
        "container": leftover.container,
    }


def _lines(fields: dict[str, Any]) -> list[str]:
    """Return what is in a mix, line by line: products and per cent of what, actives, carrier, when and by whom."""
    found = ["Herbicide mix"]
    for product in fields["products"]:
        number = f", registration {product['registration_no']}" if product["registration_no"] else ""
        word = product["signal_word"]
        found.append(f"{product['name']}{number}" + (f", {SIGNAL_WORDS.get(word, word.upper())}" if word else ""))
        found += [product["percent"]] if word else [NO_SIGNAL_WORD, product["percent"]]
        found += [f"{each['name']}: {each['ai_percent']}, {each['ae_percent']}" for each in product["actives"]]
    found += fields["adjuvants"]
    found.append("Used undiluted" if fields["carrier"] == "none" else f"Carrier: {fields['carrier']}")
    found.append(f"Mixed {fields['mixed']} by {fields['mixer']}, {fields['volume']}")
    if left := fields["leftover"]:
        container = f" in {left['container']}" if left["container"] else ""
        found.append(f"Left{container}: {left['volume']}, {left['how_known']}, {left['measured']}")
    return found


def _local(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{local:%Y-%m-%d %H:%M}"
