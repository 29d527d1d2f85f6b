"""What a state lets one propose for a group: a time zone, and the units that people pour and measure in there.

Only a proposal, which a person corrects: some states lie in two zones. The zones' names are those of the IANA time zone
database; in which of them most of a state lies is written down from memory.
"""

EASTERN, CENTRAL, MOUNTAIN, PACIFIC = "America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles"

STATES: dict[str, tuple[str, ...]] = {
    EASTERN: ("CT", "DE", "DC", "FL", "GA", "IN", "KY", "ME", "MD", "MA", "MI", "NH", "NJ", "NY", "NC", "OH", "PA",
              "RI", "SC", "VT", "VA", "WV"),
    CENTRAL: ("AL", "AR", "IL", "IA", "KS", "LA", "MN", "MS", "MO", "NE", "ND", "OK", "SD", "TN", "TX", "WI"),
    MOUNTAIN: ("CO", "ID", "MT", "NM", "UT", "WY"),
    PACIFIC: ("CA", "NV", "OR", "WA"),
    "America/Phoenix": ("AZ",),
    "America/Anchorage": ("AK",),
    "Pacific/Honolulu": ("HI",),
}  # fmt: skip
"""Zone -> the states of which most lies in it."""

ZONES: dict[str, str] = {f"US-{state}": zone for zone, states in STATES.items() for state in states}
ZONES |= {"AU-NSW": "Australia/Sydney", "CA-ON": "America/Toronto"}

US_UNITS = {"volume_unit": "fl_oz", "mass_unit": "lb", "area_unit": "acre"}
METRIC = {"volume_unit": "ml", "mass_unit": "kg", "area_unit": "ha"}
UNITS = {"us": US_UNITS, "metric": METRIC}
"""System of units -> the settings of a group that it stands for."""


def zone_for(jurisdiction: str) -> str:
    """Return the time zone to propose for a jurisdiction; empty where none is known."""
    return ZONES.get(jurisdiction, "")


def units_for(jurisdiction: str) -> str:
    """Return the system of units to propose: US units in the United States, metric ones elsewhere."""
    return "us" if jurisdiction.partition("-")[0] in ("", "US") else "metric"
