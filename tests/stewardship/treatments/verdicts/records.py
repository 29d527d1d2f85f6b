"""Records that say everything, and rules to judge them by: shipped ones, and one of our own making."""

from datetime import datetime
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Group
from stewardship.sync.reference import reference_rows
from stewardship.treatments.models import Application
from stewardship.treatments.verdicts.judging import Judged, judge_lines
from stewardship.treatments.verdicts.shelf import JUDGED
from tests.cast import AT, Someone
from tests.ground import Ground

SHIPPED = {row["reference_key"]: row for row in reference_rows("rule_profile")}
READING = {
    "at": "2027-05-01T09:30:00-05:00", "wind_speed": {"value": "4", "unit": "mph"}, "wind_direction": "wsw",
    "temperature": {"value": "52", "unit": "f"}, "sky": "overcast",
}  # fmt: skip
EVERYTHING: dict[str, Any] = {
    "started_at": "2027-05-01T09:30:00-05:00", "ended_at": "2027-05-01T10:30:00-05:00", "helpers": [],
    "all_adults": True, "place_text": "East bank, below the footbridge", "site_type": "floodplain forest",
    "equipment": "hand sprayer, 1 L", "weather": [READING], "weather_changed": False, "had_incident": False,
    "coordinates": {"latitude": "44.98", "longitude": "-93.27"}, "for_a_customer": False,
    "reentry_note": "When dry; signs at both ends",
}  # fmt: skip
ACRE = {"value": "1", "unit": "acre"}


def rule(coordinator: Someone, key: str, **values: Any) -> UUID:
    """Enter a rule profile as it is shipped, with some of it replaced."""
    return coordinator.does("rule_profile", "create", **SHIPPED[key] | values).record.id


def own_rule(coordinator: Someone, **values: Any) -> UUID:
    """Enter an invented rule that asks for the place alone, by the end of the day."""
    told = {"name": "The county's rule", "source": "An invented ordinance", "required": ["location"]}
    return coordinator.does("rule_profile", "create", **told | {"clock": {"kind": "same_day"}} | values).record.id


def at_home_in(ground: Ground, jurisdiction: str, **values: Any) -> None:
    """Say by whose rules the property stands, and where it is."""
    told = {"jurisdiction": jurisdiction, "address": "12 Mill Road, Fenton"} | values
    ground.coordinator.does("property", "amend", id=ground.property, **told)


def whole(ground: Ground, at: datetime = AT, line: dict[str, Any] | None = None, **values: Any) -> UUID:
    """Record a session that says everything, with one line of an acre, at one time; return the line's id."""
    session = ground.session(at=at, **EVERYTHING | values)
    batch = ground.batch(at=at, mixed_where="trailhead")
    return ground.line(session, batch, "5", at=at, **{"area": ACRE, "stems": 40} | (line or {})).id


def judged(*lines: UUID, now: datetime = AT) -> list[Judged]:
    """Judge lines, in the order of their ids."""
    found = list(Application.objects.filter(id__in=lines).select_related(*JUDGED).order_by("id"))
    return judge_lines(Group.objects.get(id=found[0].group_id), found, now)


def lacking(one: Judged) -> list[str]:
    """Return the names of what a record lacks."""
    return [each.field for each in one.verdict.missing]
