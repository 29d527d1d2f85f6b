"""The weather read on a work day, held against the stored limits by method and by formulation.

The words are those of every comparison: over a stored limit, or no stored limit exceeded. Nothing here says what may
be done; the label does.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any, get_args

from stewardship.catalog.comparing import Finding
from stewardship.catalog.fields import Formulation
from stewardship.catalog.models import Limit
from stewardship.rules.limits import WORDS
from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.treatments.services.conditions import of_weather
from stewardship.treatments.services.limits import WEATHER
from stewardship.workdays.models import WeatherReading


@dataclass(frozen=True)
class Compared:
    """One way of working, held against the limits: what was found over or below one, each with its source."""

    method: str
    formulation: str
    findings: list[Finding]

    @property
    def words(self) -> str:
        """Return where the reading lies, in the words of every comparison."""
        codes = {finding.code for finding in self.findings}
        if any(not code.endswith("_below_limit") for code in codes):
            return WORDS["above"]
        return WORDS["below"] if codes else WORDS["within"]


def compared(
    limits: Iterable[Limit], readings: Sequence[WeatherReading], ways: Iterable[tuple[str, str]] | None = None
) -> Iterator[Compared]:
    """Give each way of working (method, formulation) with what the readings exceed; all ways unless named.

    A limit of one product or one active ingredient is not about a day, and is compared when the product is known.
    """
    told = [_told(each) for each in readings if not each.voided_at]
    ours = [limit for limit in limits if limit.what in WEATHER and _is_general(limit)]
    for method, formulation in ways or product(HERBICIDE_METHODS, get_args(Formulation)):
        bearing = [limit for limit in ours if limit.method in ("", method) and limit.formulation in ("", formulation)]
        yield Compared(method, formulation, list(of_weather(bearing, method, told)))


def _is_general(limit: Limit) -> bool:
    return not (limit.retired_at or limit.product_id or limit.species_id or limit.active)


def _told(reading: WeatherReading) -> Mapping[str, Any]:
    """Return a reading as the comparison takes it: the same shape as in a session."""
    content = reading.content()
    return {name: content[name] for name in ("wind_speed", "temperature", "humidity_percent")}
