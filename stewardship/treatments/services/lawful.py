"""Law and landowner, held against what is planned for a unit and what was done there; nothing here refuses."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from stewardship.catalog.comparing import Finding
from stewardship.catalog.models import Product, ProductRegistration
from stewardship.catalog.registrations.comparing import Use, against_registrations, against_retreat
from stewardship.journal.looking import Looks
from stewardship.places.lacks import Lack
from stewardship.places.models import Unit
from stewardship.places.neighbours import Planned
from stewardship.places.permits import Work
from stewardship.rules.mixes import Composition
from stewardship.treatments.services.facts import Marks, mark
from stewardship.workdays import land
from stewardship.workdays.models import WorkDay

LOOKED_AT = (*land.LOOKED_AT, ProductRegistration)

OF_PLACES = frozenset({"permission_missing", "permission_without_herbicide", "notice_not_given", "neighbour_not_told"})
"""Codes of what lacks at the property on the day, whatever is used there."""

OF_UNITS = frozenset({"permit_missing"})
"""Codes of what lacks in a unit, whatever is used there."""

FIELDS = {
    "active_excluded": "batch",
    "method_excluded": "method",
    "permit_does_not_cover": "unit",
    "registration_not_on_record": "batch",
    "registration_lapsed": "batch",
    "registration_not_comparable": "batch",
    "site_not_labelled": "batch",
    "method_not_labelled": "method",
    "carrier_not_labelled": "carrier",
    "use_not_labelled": "batch",
    "strength_above_registration": "batch",
    "retreat_interval_not_over": "unit",
}
"""Code of a finding about what is used -> the field of the record that it is about."""

STAND_IN_THE_WAY = (OF_PLACES | OF_UNITS | FIELDS.keys()) - {"registration_not_comparable"}


def of_use(entry: Looks, unit: Unit, products: Sequence[Product], use: Use) -> Iterator[Finding]:
    """Compare products used in a unit with permissions, permits and registrations."""
    place = land.place_of(entry, unit.property_id)
    yield from map(_finding, land.of_products(place, products, use.method, use.on))
    for lack in land.of_unit(entry, Work(unit=unit, on=use.on, method=use.method, actives=land.actives_of(products))):
        if lack.code not in OF_UNITS:
            yield _finding(lack)
    yield from of_products(entry, products, use)


def of_retreat(entry: Looks, unit: Unit, products: Sequence[Product], use: Use) -> Iterator[Finding]:
    """Compare products used in a unit with the interval that must lie between two treatments there."""
    yield from against_retreat(entry.all_of(ProductRegistration), products, use, unit.used_on)


def of_products(entry: Looks, products: Iterable[Product], use: Use) -> Iterator[Finding]:
    """Compare products with their registrations alone."""
    wanted = land.group_of(entry).wants_registrations
    yield from against_registrations(entry.all_of(ProductRegistration), products, use, wanted=wanted)


def of_plan(entry: Looks, unit: Unit, on: date, day: WorkDay | None, at: datetime | None) -> Iterator[Finding]:
    """Find what lacks at the property and in the unit of a planned mix; ``at``: when it is asked."""
    place = land.place_of(entry, unit.property_id)
    starts_at = land.begins_at(on, day.starts_at if day else None, place.zone)
    yield from map(_finding, land.of_place(entry, place, Planned(on=on, starts_at=starts_at, at=at)))
    yield from (_finding(lack) for lack in land.of_unit(entry, Work(unit=unit, on=on)) if lack.code in OF_UNITS)


def place_marks(entry: Looks, property_id: UUID, on: date, began_at: datetime, field: str) -> Marks:
    """Return what to mark about work that was done at a property on a date, from a moment on."""
    place = land.place_of(entry, property_id)
    found = land.of_place(entry, place, Planned(on=on, starts_at=began_at))
    return [mark(lack.code, lack.detail, field, lack.source) for lack in found]


def unit_marks(entry: Looks, unit: Unit, on: date) -> Marks:
    """Return what to mark about work that was done in a unit which takes a permit."""
    found = land.of_unit(entry, Work(unit=unit, on=on))
    return [mark(lack.code, lack.detail, "unit", lack.source) for lack in found if lack.code in OF_UNITS]


def without_place(marks: Marks) -> Marks:
    """Return marks without those of place and unit, which are judged anew with the date."""
    return [each for each in marks if each["code"] not in OF_PLACES | OF_UNITS]


def use_of(
    entry: Looks, property_id: UUID | None, said: Mapping[str, Any], makes: Composition, *, site: str = ""
) -> Use:
    """Return a use as registrations judge it; ``said``: ``on_date``, ``carrier``, ``method``.

    Without a property it is the group's own jurisdiction.
    """
    where = land.place_of(entry, property_id).jurisdiction if property_id else land.group_of(entry).jurisdiction
    return Use(
        jurisdiction=where, on=said["on_date"], carrier=said["carrier"], makes=makes, method=said["method"], site=site
    )


def _finding(lack: Lack) -> Finding:
    return Finding(lack.code, lack.detail, lack.source, about=lack.about)
