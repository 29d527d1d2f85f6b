"""What law and landowner ask of herbicide work in a place: told alike of days, planned mixes and what was done."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from stewardship.accounts.models import Group
from stewardship.catalog.models import Limit, Product
from stewardship.catalog.surroundings import furthest_setback, setback_mm, windows_for
from stewardship.journal.book import Entry
from stewardship.journal.looking import Looks
from stewardship.places.jurisdictions import jurisdiction_of
from stewardship.places.lacks import Lack
from stewardship.places.models import LandPermission, NeighbourNotice, Permit, Property, SensitiveArea, Unit
from stewardship.places.nearness import near
from stewardship.places.neighbours import Planned, landowner_not_told, neighbours_not_told
from stewardship.places.permissions import excluded, lacking_permission
from stewardship.places.permits import Work, lacking_permits, needed
from stewardship.workdays.models import WorkDay
from stewardship.workdays.reasons import Reason

LOOKED_AT = (Group, Property, LandPermission, Permit, SensitiveArea, Limit)
"""Types of which every row of the group may bear on work in a place; read without a lock."""


@dataclass(frozen=True, slots=True)
class Place:
    """A property as work in it is judged: its permissions, and by whose rules."""

    property: Property
    group: Group
    permissions: list[LandPermission]

    @property
    def jurisdiction(self) -> str:
        """Return the ISO 3166 code whose rules hold there; empty where none is named."""
        return jurisdiction_of(self.property, self.group)

    @property
    def zone(self) -> ZoneInfo:
        """Return the zone by whose clock its days are told."""
        return ZoneInfo(self.property.time_zone or self.group.time_zone)


def place_of(entry: Looks, property_id: UUID) -> Place:
    """Return the place that a property is."""
    property_ = next(each for each in entry.all_of(Property) if each.id == property_id)
    permissions = [each for each in entry.all_of(LandPermission) if each.property_id == property_id]
    return Place(property_, group_of(entry), permissions)


def group_of(entry: Looks) -> Group:
    """Return the group whose records these are."""
    return entry.all_of(Group)[0]


def of_place(entry: Looks, place: Place, work: Planned) -> Iterator[Lack]:
    """Tell what is missing at the property: a permission that takes in herbicide, notices given in time."""
    yield from lacking_permission(place.permissions, work.on, wanted=place.group.wants_permissions)
    windows = list(windows_for(entry.all_of(Limit), place.jurisdiction))
    if windows or any(each.notice for each in place.permissions):
        notices = entry.list_beside(NeighbourNotice, "property_id", place.property)
        yield from landowner_not_told(place.permissions, notices, work)
        yield from neighbours_not_told(windows, notices, work)


def of_unit(entry: Looks, work: Work) -> Iterator[Lack]:
    """Tell which permits work in a unit takes that are missing, or leave out what is done."""
    areas = [each for each in entry.all_of(SensitiveArea) if each.needs_permit]
    if not areas and not work.unit.needs_permit:
        return
    setback = setback_mm(furthest_setback(entry.all_of(Limit)))
    yield from lacking_permits(
        entry.all_of(Permit), needed(work.unit, near(areas, work.unit, setback_mm=setback)), work
    )


def of_products(place: Place, products: Iterable[Product], method: str, on: date) -> Iterator[Lack]:
    """Tell what the permissions leave out of these products and of the method."""
    yield from excluded(place.permissions, on, actives=actives_of(products), method=method)


def actives_of(products: Iterable[Product]) -> dict[str, str]:
    """Return the names of the active ingredients, in small letters -> the product that holds each."""
    return {each["name"].strip().lower(): product.name for product in products for each in product.ingredients}


def begins_at(on: date, starts_at: datetime | None, zone: ZoneInfo) -> datetime:
    """Return when work begins; where no hour is set, with its day."""
    return starts_at or datetime.combine(on, time(), tzinfo=zone)


# -- a work day -----------------------------------------------------------------------------------


def unlawful(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell what a day with herbicide lacks before law and landowner: permission, notices, permits of its units."""
    if not day.herbicide_planned:
        return
    place = place_of(entry, day.property_id)
    work = Planned(on=day.on_date, starts_at=begins_at(day.on_date, day.starts_at, day.zone()), at=entry.at)
    found = [*of_place(entry, place, work)]
    for unit in _units(entry, day):
        found += of_unit(entry, Work(unit=unit, on=day.on_date))
    yield from map(reason_of, found)


def reason_of(lack: Lack) -> Reason:
    """Return what is missing as a reason against a plan."""
    return {"code": lack.code, "detail": lack.detail, "where": lack.about}


def _units(entry: Entry, day: WorkDay) -> list[Unit]:
    """Return the units of a day; those of all days of the entry are read together."""
    days: Mapping[UUID, Any] = entry.known(WorkDay)
    entry.load(Unit, {UUID(id) for each in (day, *days.values()) for id in each.units}, lock=False)
    return [entry.get(Unit, UUID(id)) for id in day.units]
