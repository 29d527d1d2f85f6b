"""A plan for a mix: what to pour, in which order, to the marks of the measure at hand, and what that makes."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from stewardship.rules.mixes.amounts import UG_PER_NL_IN_G_PER_L, part_of_mix, positive
from stewardship.rules.mixes.compositions import (
    KINDS,
    CarrierMissing,
    Composition,
    LeftoverTooWeak,
    PartsAbove100,
    merged,
    refuse_new_pairs,
    refuse_other_carrier,
)
from stewardship.rules.mixes.pouring import Line, Measure, Pour, Role, Step, pour_lines, steps_of
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.strength import StrengthNotPositive


class NothingToMix(RuleViolation):
    """A mix without a product."""

    code = "nothing_to_mix"
    message = "Name at least one product for the mix, with its strength."
    where = "parts"


class PartTwice(RuleViolation):
    """The same product or adjuvant stands twice."""

    code = "part_twice"
    message = "{key} is named twice in this mix: give it once, with its whole strength."
    where = "parts"


class LeftoverTooLarge(RuleViolation):
    """More is left over than is to be made."""

    code = "leftover_too_large"
    message = "The leftover alone is more than the mix wanted. Make more, or use a part of the leftover."
    where = "leftover"


class LeftoverTooStrong(RuleViolation):
    """The leftover holds more of something than the whole new mix may."""

    code = "leftover_too_strong"
    message = "The leftover already holds more of {key} than the whole mix wants. Make more mix, or use a part of it."
    where = "leftover"


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A liquid in a mix: ``fraction`` is its volume in a volume of FINISHED mix, 20 % v/v being Fraction(1, 5).

    ``finest_mark_nl``: mark of its own measure [nL], else that of the plan. ``undiluted_only``: its label has it used
    undiluted; to dilute it is only noted.
    """

    key: str
    fraction: Fraction
    finest_mark_nl: int | Fraction | None = None
    undiluted_only: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class DryPart:
    """A dry product or adjuvant: grams in a litre of FINISHED mix; ``finest_mark_ug`` is what the scale shows [ug]."""

    key: str
    grams_per_l: Fraction
    finest_mark_ug: int | Fraction | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Wanted:
    """What somebody wants to mix.

    ``mix_nl``: the finished mix, a leftover that is topped up included [nL]. ``parts``: the products; ``adjuvants``:
    adjuvants and dye. ``carrier``: its name, needed where anything is diluted. ``finest_mark_nl``: the finest mark of
    the measure [nL], None for amounts as they come. ``whole_down``: to the mark below, where a ceiling applies.
    ``compatible``: pairs of products marked as compatible.
    """

    mix_nl: int
    parts: tuple[Part | DryPart, ...]
    adjuvants: tuple[Part | DryPart, ...] = ()
    carrier: str | None = None
    leftover: Composition | None = None
    finest_mark_nl: int | Fraction | None = None
    whole_down: bool = False
    compatible: Collection[frozenset[str]] = ()


@dataclass(frozen=True, slots=True)
class Note:
    """A fact about a plan that a person should know; ``where`` names the product or adjuvant."""

    code: str
    message: str
    where: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """What to pour and what it makes.

    ``total_nl`` = ``leftover_nl`` + every poured volume + ``carrier_nl`` [nL], exactly. ``makes``: the composition as
    poured to the marks, whose ``fraction(key)`` and ``g_per_l(key)`` are the resulting strengths.
    """

    total_nl: int
    leftover_nl: int
    pours: tuple[Pour, ...]
    carrier: str | None
    carrier_nl: int
    makes: Composition
    steps: tuple[Step, ...]
    notes: tuple[Note, ...]


def plan_mix(wanted: Wanted) -> Plan:
    """Plan a mix: amounts as wanted and as a measure with marks can pour them, steps in order, resulting strength.

    A leftover is topped up: its content counts towards what is wanted. Without room for carrier (a product used
    undiluted) there is none, and the total is what is poured. Raises, before anything is poured: AmountNotPositive,
    StrengthNotPositive, ConcentrateTooWeak, NothingToMix, PartTwice, PartsAbove100, CarrierMissing, CarriersDiffer,
    ContentsUnknown, ProductsNotCompatible, LeftoverTooLarge, LeftoverTooStrong, LeftoverTooWeak, MarkTooCoarse.

    Source: C1 V1 = C2 V2 (University of Illinois Extension, The Bulletin 10(5), 2006).
    """
    _check_parts(wanted)
    leftover_nl = _check_leftover(wanted)
    room_nl = wanted.mix_nl - leftover_nl
    lines = _lines(wanted)
    wet_nl = sum(line.amount for line in lines if line.dimension == "volume")
    if wet_nl > room_nl:
        raise LeftoverTooWeak
    pours = pour_lines(lines, room_nl=room_nl, whole_down=wanted.whole_down)
    poured_nl = sum(pour.poured for pour in pours if pour.dimension == "volume")
    carrier_nl = 0 if wet_nl == room_nl else room_nl - poured_nl
    carrier = _carrier(wanted) if carrier_nl else None
    total_nl = leftover_nl + poured_nl + carrier_nl
    makes = _makes(wanted.leftover, pours, carrier, carrier_nl)
    return Plan(
        total_nl=total_nl,
        leftover_nl=leftover_nl,
        pours=pours,
        carrier=carrier,
        carrier_nl=carrier_nl,
        makes=makes,
        steps=steps_of(pours, leftover_nl=leftover_nl, carrier=carrier, carrier_nl=carrier_nl, total_nl=total_nl),
        notes=(*_notes_on_parts(wanted, makes), *_notes_on_leftover(wanted)),
    )


def _check_parts(wanted: Wanted) -> None:
    positive(wanted.mix_nl, "the mix")
    if not wanted.parts:
        raise NothingToMix
    keys = [part.key for part in (*wanted.parts, *wanted.adjuvants)]
    for key in keys:
        if keys.count(key) > 1:
            raise PartTwice(key=key)
    shares = [_checked_share(part) for part in (*wanted.parts, *wanted.adjuvants)]
    if sum(shares) > 1:
        raise PartsAbove100


def _checked_share(part: Part | DryPart) -> Fraction:
    """Return the volume that a part takes up in a volume of mix; a dry one takes none."""
    if isinstance(part, Part):
        return part_of_mix(part.fraction, where=part.key)
    if part.grams_per_l <= 0:
        raise StrengthNotPositive(where=part.key)
    return Fraction(0)


def _check_leftover(wanted: Wanted) -> int:
    """Return the leftover that may be topped up in whole nL: of known contents, in the same carrier, not too large."""
    leftover = wanted.leftover
    if leftover is None:
        return 0
    present = leftover.product_keys
    refuse_other_carrier(leftover.carrier, wanted.carrier)
    for part in wanted.parts:
        refuse_new_pairs(present, {part.key}, wanted.compatible)
    if leftover.total_nl > wanted.mix_nl:
        raise LeftoverTooLarge
    return round(leftover.total_nl)


def _lines(wanted: Wanted) -> list[Line]:
    """Return what is to be poured, dry things first, products before adjuvants, else in the order given.

    Source: South Dakota State University Extension, Preparing Spray Solutions: Mixing Order (dry before liquids,
    surfactants last).
    """
    lines = [_line(wanted, part, "product") for part in wanted.parts]
    lines += [_line(wanted, part, "adjuvant") for part in wanted.adjuvants]
    return sorted(lines, key=lambda line: line.dimension == "volume")


def _line(wanted: Wanted, part: Part | DryPart, role: Role) -> Line:
    if isinstance(part, Part):
        held = wanted.leftover.volume_nl(part.key) if wanted.leftover else Fraction(0)
        amount = _missing(part.key, wanted.mix_nl * part.fraction, held)
        mark = wanted.finest_mark_nl if part.finest_mark_nl is None else part.finest_mark_nl
        return Line(key=part.key, role=role, dimension="volume", amount=amount, finest_mark=_checked_mark(mark))
    held = wanted.leftover.mass_ug(part.key) if wanted.leftover else Fraction(0)
    amount = _missing(part.key, wanted.mix_nl * part.grams_per_l * UG_PER_NL_IN_G_PER_L, held)
    mark = _checked_mark(part.finest_mark_ug)
    return Line(key=part.key, role=role, dimension="mass", amount=amount, finest_mark=mark)


def _missing(key: str, wanted: Fraction, held: Fraction) -> Fraction:
    """Return what is still to be added; one base unit too much in a leftover is rounding, more is too strong."""
    if held - wanted > 1:
        raise LeftoverTooStrong(key=key)
    return max(wanted - held, Fraction(0))


def _checked_mark(mark: int | Fraction | None) -> Fraction | None:
    return None if mark is None else positive(mark, "the finest mark")


def _carrier(wanted: Wanted) -> str:
    carrier = wanted.carrier or (wanted.leftover.carrier if wanted.leftover else None)
    if carrier is None:
        raise CarrierMissing
    return carrier


def _makes(leftover: Composition | None, pours: tuple[Pour, ...], carrier: str | None, carrier_nl: int) -> Composition:
    def poured(role: Role, dimension: Measure) -> dict[str, Fraction]:
        held = [pour for pour in pours if (pour.role, pour.dimension) == (role, dimension) and pour.poured]
        return {pour.key: Fraction(pour.poured) for pour in held}

    added_nl = carrier_nl + sum(pour.poured for pour in pours if pour.dimension == "volume")
    return Composition(
        carrier=carrier or (leftover.carrier if leftover else None),
        total_nl=added_nl + (leftover.total_nl if leftover else 0),
        products=merged((leftover and leftover.products) or {}, poured("product", "volume")),
        adjuvants=merged(leftover.adjuvants if leftover else {}, poured("adjuvant", "volume")),
        dry_products=merged(leftover.dry_products if leftover else {}, poured("product", "mass")),
        dry_adjuvants=merged(leftover.dry_adjuvants if leftover else {}, poured("adjuvant", "mass")),
    )


def _notes_on_parts(wanted: Wanted, makes: Composition) -> Iterator[Note]:
    for part in (*wanted.parts, *wanted.adjuvants):
        if isinstance(part, Part) and part.undiluted_only and makes.fraction(part.key) < 1:
            yield Note(
                "undiluted_only", f"The label of {part.key} has it used undiluted; this plan dilutes it.", part.key
            )
    for one, other in combinations(wanted.parts, 2):
        if frozenset((one.key, other.key)) not in wanted.compatible:
            text = f"{one.key} and {other.key} are not marked as compatible: read both labels before mixing them."
            yield Note("compatibility_unknown", text, one.key)


def _notes_on_leftover(wanted: Wanted) -> Iterator[Note]:
    if wanted.leftover is None:
        return
    asked = {part.key for part in (*wanted.parts, *wanted.adjuvants)}
    for kind in KINDS:
        for key in getattr(wanted.leftover, kind):
            if key not in asked:
                yield Note("leftover_adds", f"The leftover brings {key} into the mix, which was not asked for.", key)
