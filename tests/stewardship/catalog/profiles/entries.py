"""What the tests of rule profiles enter."""

from typing import Any

from tests.cast import Someone

STATE = {
    "name": "Washington",
    "source": "Recordkeeping pages, WSDA",
    "jurisdiction": "US-WA",
    "required": ["location", "applied_on", "started_at", "ended_at"],
    "conditional": [{"when": ["has_reentry"], "any_of": [["reentry"]]}],
    "clock": {"kind": "same_day"},
    "retention_years": 7,
}


def rule_profile(who: Someone, **changes: Any) -> Any:
    """Enter a rule profile; return it."""
    return who.does("rule_profile", "create", **(STATE | changes)).record
