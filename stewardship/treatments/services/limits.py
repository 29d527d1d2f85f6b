"""Herbicide work, done or planned, held against the stored limits: what is flagged, each with its source.

Nothing here refuses. A fact is recorded and marked; a plan asks which of the findings stand in its way.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil
from typing import Any
from uuid import UUID

from stewardship.catalog.ceilings import against_ceilings, concerning, standings
from stewardship.catalog.comparing import (
    Finding,
    Manner,
    against_label,
    against_strengths,
    against_undiluted,
    bears,
)
from stewardship.catalog.models import Limit, Product, Species
from stewardship.catalog.registrations.comparing import Use
from stewardship.catalog.surroundings import furthest_setback, setback_mm
from stewardship.journal.book import Entry
from stewardship.journal.looking import Looks
from stewardship.places.models import SensitiveArea, Unit
from stewardship.places.nearness import Near, near
from stewardship.rules.decimals import exact
from stewardship.rules.figures import rounded_text
from stewardship.rules.limits import WORDS, compare
from stewardship.rules.methods import WORDS as METHODS
from stewardship.rules.mixes import Composition
from stewardship.rules.units import UNITS, shown
from stewardship.treatments.models import Batch
from stewardship.treatments.services import facts, lawful
from stewardship.treatments.services.conditions import of_wait, of_weather

LOOKED_AT = (Limit, Product, *(model for model in lawful.LOOKED_AT if model is not Limit))
"""Types of which every row of the group may bear on a piece of work."""

WEATHER = ("wind", "temperature", "hot_and_dry")
FIELDS = {
    "carrier_unknown": "carrier",
    "carrier_not_on_label": "carrier",
    "undiluted_only": "carrier",
    "strength_above_limit": "batch",
    "strength_below_limit": "batch",
    "limit_not_comparable": "batch",
    "dose_below_limit": "mix",
    "dose_may_be_above_limit": "mix",
    "wait_above_limit": "longest_wait",
    "wait_may_be_above_limit": "longest_wait",
    "wind_above_limit": "weather",
    "wind_below_limit": "weather",
    "temperature_above_limit": "weather",
    "temperature_below_limit": "weather",
    "hot_and_dry_limit": "weather",
    "species_method": "method",
    "near_sensitive_area": "unit",
    "sensitive_area_not_comparable": "unit",
    "near_ceiling": "unit",
    "over_ceiling": "unit",
    "ceiling_not_comparable": "unit",
    **lawful.FIELDS,
}
"""Code of a finding -> the field of the record that it is about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A piece of herbicide work in a unit whose area-year ledger has it counted in already."""

    manner: Manner
    species: Species | None
    unit: Unit
    on: date
    mix_nl: int
    stems: int | None
    products: Sequence[Product]
    makes: Composition
    """What is in the mix; a product goes by its id, as text."""
    used_in_year: Sequence[dict[str, Any]]
    """The cells of the year in the unit, this work among them."""
    site: str = ""
    longest_wait: str = ""
    weather: Sequence[Mapping[str, Any]] = ()


def marks(found: Iterable[Finding]) -> facts.Marks:
    """Return findings as marks of a record."""
    return [facts.mark(each.code, each.detail, FIELDS[each.code], each.source) for each in found]


def of_mix(products: Iterable[Product], carrier: str, makes: Composition) -> Iterator[Finding]:
    """Compare a mix with the label facts of its products, whatever it is used for."""
    for product in products:
        yield from (each for each in against_label(product, carrier) if each.code != "carrier_unknown")
        if carrier != "none":
            yield from against_undiluted(product, makes.fraction(str(product.id)))


@dataclass(frozen=True, slots=True)
class OfMix:
    """What is found of all work with the same mix in the same manner, and which limits bear on the rest."""

    strengths: list[Finding]
    dose: list[Limit]
    wait: list[Limit]
    weather: list[Limit]
    ceilings: list[Limit]


@dataclass(frozen=True, slots=True)
class OfPlace:
    """What is found of all such work in the same unit, on the same date and in the same weather."""

    around: list[Finding]
    """What weather, species and sensitive areas say."""
    use: Use
    law: list[Finding]


def of_work(entry: Looks, work: Work) -> Iterator[Finding]:
    """Compare a piece of work with everything stored that bears on it."""
    mix = _of_mix(entry, work)
    yield from _of_work(entry, work, mix, _of_place(entry, work, mix))


def _of_work(entry: Looks, work: Work, mix: OfMix, place: OfPlace) -> Iterator[Finding]:
    yield from mix.strengths
    yield from _of_dose(mix.dose, work)
    yield from of_wait(mix.wait, work.longest_wait)
    yield from place.around
    yield from _of_ceilings(entry, mix.ceilings, work)
    yield from place.law
    yield from lawful.of_retreat(entry, work.unit, work.products, place.use)


def _of_mix(entry: Looks, work: Work) -> OfMix:
    limits = entry.all_of(Limit)
    return OfMix(
        strengths=[
            found
            for product in work.products
            for found in against_strengths(limits, product, work.manner, work.makes, str(product.id))
        ],
        dose=list(_bearing(limits, work, "dose_per_cut")),
        wait=list(_bearing(limits, work, "cut_to_treat")),
        weather=list(_bearing(limits, work, *WEATHER)),
        ceilings=[limit for limit in limits if _is_counted(limit, work)],
    )


def _of_place(entry: Looks, work: Work, mix: OfMix) -> OfPlace:
    method = work.manner.method or ""
    said = {"on_date": work.on, "carrier": work.manner.carrier, "method": method}
    use = lawful.use_of(entry, work.unit.property_id, said, work.makes, site=work.site or work.unit.site_type)
    return OfPlace(
        around=[
            *of_weather(mix.weather, method, work.weather),
            *of_species(work.species, work.manner.method),
            *_of_areas(entry, entry.all_of(Limit), work),
        ],
        use=use,
        law=list(lawful.of_use(entry, work.unit, work.products, use)),
    )


def of_species(species: Species | None, method: str | None) -> Iterator[Finding]:
    """Find what a species asks for that overrules the method."""
    for caution in species.cautions if species else ():
        if method in caution.get("methods", ()):
            assert species
            assert method
            name = species.common_name or species.scientific_name
            yield Finding("species_method", f"{name}, {METHODS[method]}: {caution['text']}", caution["source"])


def mixed(*, mix_nl: int, parts: Iterable[Mapping[str, Any]], adjuvants: Iterable[Mapping[str, Any]]) -> Composition:
    """Return what is in a mix as it was recorded; rounding never makes more of it than the whole."""
    products, dry = _by_product(parts, "nl"), _by_product(parts, "ug")
    others = {f"adjuvant {place}": Fraction(each["nl"]) for place, each in enumerate(adjuvants) if each.get("nl")}
    whole = max(Fraction(mix_nl), sum(products.values()) + sum(others.values()))
    return Composition(carrier="any", total_nl=whole, products=products, adjuvants=others, dry_products=dry)


def _by_product(parts: Iterable[Mapping[str, Any]], base: str) -> dict[str, Fraction]:
    """Return how much of each product is in the parts, of which several may be of one product."""
    found: dict[str, Fraction] = {}
    for part in parts:
        if part.get(base):
            found[part["product"]] = found.get(part["product"], Fraction(0)) + part[base]
    return found


def of_batch(entry: Entry, made_of: Mapping[str, Any], property_id: UUID | None) -> facts.Marks:
    """Return what to mark about a batch as it was mixed for a property; ``made_of`` as its columns say."""
    makes = mixed(mix_nl=made_of["mix_nl"], parts=made_of["parts"], adjuvants=made_of["adjuvants"])
    products = products_of(entry, made_of["parts"])
    use = lawful.use_of(entry, property_id, dict(made_of) | {"method": ""}, makes)
    return marks([*of_mix(products, made_of["carrier"], makes), *lawful.of_products(entry, products, use)])


def of_line(entry: Entry, said: Mapping[str, Any], session: Mapping[str, Any]) -> facts.Marks:
    """Return what to mark about an application, which its unit's ledger has counted; ``said`` as its columns say.

    ``session``: the columns of its session, as they are or will be.
    """
    batch, unit, on = entry.get(Batch, said["batch_id"]), entry.get(Unit, said["unit_id"]), said["on_date"]
    recipe, products, makes = entry.once(("mix", batch.id), lambda: _in_batch(entry, batch))
    work = Work(
        manner=Manner(said["method"], batch.carrier, said["species_id"]),
        species=entry.get(Species, said["species_id"]),
        unit=unit,
        on=on,
        mix_nl=said["mix_nl"],
        stems=said["stems"],
        products=products,
        makes=makes,
        used_in_year=unit.used_in_years.get(str(on.year), ()),
        longest_wait=said.get("longest_wait", ""),
        site=session["site_type"],
        weather=session["weather"],
    )
    mix = entry.once(("limits of a mix", recipe, work.manner), lambda: _of_mix(entry, work))
    where = (unit.id, on, work.site, str(work.weather))
    place = entry.once(("limits of a place", recipe, work.manner, *where), lambda: _of_place(entry, work, mix))
    return marks(_of_work(entry, work, mix, place))


def _in_batch(entry: Looks, batch: Batch) -> tuple[str, list[Product], Composition]:
    """Return what is in a batch, and a text that is the same for all of the same recipe."""
    makes = mixed(mix_nl=batch.mix_nl, parts=batch.parts, adjuvants=batch.adjuvants)
    return str((batch.mix_nl, batch.parts, batch.adjuvants)), products_of(entry, batch.parts), makes


def without(found: facts.Marks) -> facts.Marks:
    """Return marks without those of limits, which are judged anew with what they are about."""
    return [each for each in found if each["code"] not in FIELDS]


def _bearing(limits: Iterable[Limit], work: Work, *what: str) -> Iterator[Limit]:
    """Give each limit on one of these that bears on any of the products, once."""
    for limit in limits:
        if limit.what in what and any(bears(limit, product, work.manner) for product in work.products):
            yield limit


def _of_dose(bearing: Iterable[Limit], work: Work) -> Iterator[Finding]:
    """Compare the mix in each stem, by as many cuts as nobody counted: at least one."""
    for limit in bearing if work.stems else ():
        assert work.stems
        each = Fraction(work.mix_nl, work.stems) / UNITS[limit.unit].per_unit
        low, high = (exact(text) if text else None for text in (limit.low, limit.high))
        lead = f"{rounded_text(each)} {limit.unit} a stem ({work.stems} stems); a stored limit is {_range(limit)} a cut"
        position = compare(each, low=low, high=high)
        if position == "below":
            yield Finding("dose_below_limit", f"{lead}: {WORDS['below']}. {limit.wording}", limit.source, limit)
        elif position == "above":
            assert high
            words = f"{WORDS['may_be_above']}, with fewer than {ceil(each / high)} cuts a stem"
            yield Finding("dose_may_be_above_limit", f"{lead}: {words}. {limit.wording}", limit.source, limit)


def _range(limit: Limit) -> str:
    return f"{limit.ends()} {limit.unit.replace('_', ' ')}"


def _of_areas(entry: Looks, limits: Iterable[Limit], work: Work) -> Iterator[Finding]:
    areas = entry.all_of(SensitiveArea)
    if not areas:
        return
    furthest = furthest_setback(limits)
    on_land_only = [product for product in work.products if not product.aquatic]
    for each in near(areas, work.unit, setback_mm=setback_mm(furthest)):
        if each.area.what != SensitiveArea.What.WATER or on_land_only:
            yield _near(each, work.unit, on_land_only, furthest)


def _near(found: Near, unit: Unit, products: Sequence[Product], setback: Limit | None) -> Finding:
    area, kind = found.area, SensitiveArea.What(found.area.what).label.lower()
    about = f"sensitive-areas/{area.id}"
    if found.distance_mm is None:
        detail = (
            f"{area.name} ({kind}) is a sensitive area of this property, and the unit {unit.name} has no boundary: how "
            "far it lies from it is not known."
        )
        return Finding("sensitive_area_not_comparable", detail, area.source, about=about)
    where = f"The unit {unit.name} touches {area.name} ({kind})" if not found.distance_mm else ""
    if area.what != SensitiveArea.What.WATER:
        return Finding("near_sensitive_area", f"{where}.", area.source, about=about)
    names = ", ".join(product.name for product in products)
    label = f"{names}: not marked as labelled for aquatic sites"
    where = where or f"The unit {unit.name} lies {_far(found.distance_mm, setback)} from {area.name} ({kind})"
    if setback is None:
        return Finding("near_sensitive_area", f"{where}. {label}.", area.source, about=about)
    detail = f"{where}; a stored limit is {_range(setback)}. {label}. {setback.wording}"
    return Finding("near_sensitive_area", detail, setback.source, setback, about)


def _far(distance_mm: int, limit: Limit | None) -> str:
    unit = limit.unit if limit else "m"
    return f"{shown(distance_mm * 10**6, unit, 3)} {unit}"


def _is_counted(limit: Limit, work: Work) -> bool:
    """Return whether a limit is a ceiling towards which work with any of these actives on this species may count."""
    if limit.what != "area_year_ceiling" or limit.species_id not in (None, work.manner.species_id):
        return False
    return limit.active.strip().lower() in ("", *_actives(work))


def _actives(work: Work) -> set[str]:
    return {each["name"].strip().lower() for product in work.products for each in product.ingredients}


def _of_ceilings(entry: Looks, ceilings: list[Limit], work: Work) -> Iterator[Finding]:
    if not ceilings:
        return
    found = standings(ceilings, work.used_in_year, work.unit.area_mm2, entry.all_of(Product))
    ours = concerning(found, species_id=work.manner.species_id, actives=_actives(work))
    yield from against_ceilings(ours, year=work.on.year, area_mm2=work.unit.area_mm2)


def products_of(entry: Looks, parts: Iterable[Mapping[str, Any]]) -> list[Product]:
    """Return the products of a mix, as the group's catalogue has them now."""
    by_id = {product.id: product for product in entry.all_of(Product)}
    return [by_id[id] for id in dict.fromkeys(UUID(part["product"]) for part in parts)]
