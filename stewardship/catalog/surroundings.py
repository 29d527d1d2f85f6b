"""What stored limits say of what lies around the work: how far water is kept from, when neighbours are told."""

from collections.abc import Iterable, Iterator

from stewardship.catalog.models import Limit
from stewardship.places.neighbours import Window
from stewardship.rules.decimals import exact
from stewardship.rules.units import Dimension, to_base


def furthest_setback(limits: Iterable[Limit]) -> Limit | None:
    """Return the stored setback from water that reaches furthest."""
    setbacks = [limit for limit in limits if limit.what == "water_setback" and not limit.retired_at and limit.low]
    return max(setbacks, key=setback_mm, default=None)


def setback_mm(limit: Limit | None) -> int:
    """Return how far a setback reaches [mm]; without one nothing is kept from."""
    return to_base(limit.low, limit.unit, Dimension.LENGTH) // 10**6 if limit else 0


def windows_for(limits: Iterable[Limit], jurisdiction: str) -> Iterator[Window]:
    """Give the windows in which registered neighbours are told in a jurisdiction, from limits of that region."""
    here = [limit for limit in limits if jurisdiction and limit.region == jurisdiction and not limit.retired_at]
    distances = [to_base(each.high, each.unit, Dimension.LENGTH) for each in here if each.what == "notice_distance"]
    within_nm = max(distances, default=None)
    for limit in here:
        if limit.what == "notice_before":
            most = int(exact(limit.high)) if limit.high else None
            yield Window(int(exact(limit.low or "0")), most, within_nm, limit.wording, limit.source)
