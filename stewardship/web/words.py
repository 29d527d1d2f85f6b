"""The words for codes, and numbers for the eye: rounded here and nowhere else."""

from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any
from zoneinfo import ZoneInfo

from stewardship.accounts.models import Group
from stewardship.credentials.models import Covers, CredentialType
from stewardship.rules.limits import WAITS as WAIT_CLASSES
from stewardship.rules.methods import WORDS as METHODS
from stewardship.rules.units import shown
from stewardship.treatments.models import Lot
from stewardship.workdays.models import HazardKind
from stewardship.workdays.states import State

TURNS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
ORDINALS = {"1": "first", "2": "second", "3": "third", "4": "fourth", "5": "fifth", "-1": "last"}
WEEKDAYS = {
    "MO": "Monday", "TU": "Tuesday", "WE": "Wednesday", "TH": "Thursday", "FR": "Friday", "SA": "Saturday",
    "SU": "Sunday",
}  # fmt: skip
FREQS = {
    ("DAILY", "1"): "every day",
    ("WEEKLY", "1"): "every week",
    ("WEEKLY", "2"): "every two weeks",
    ("MONTHLY", "1"): "every month",
    ("YEARLY", "1"): "every year",
}
PASSED_OVER = {
    "member_left": "left the group",
    "credential_missing": "no credential on record",
    "credential_expired": "the credential ends before that day",
    "credential_in_grace": "the credential has ended and can still be renewed",
    "credential_pending": "the credential is not in hand yet",
}
UNITS = {
    "ml": "mL", "l": "L", "fl_oz": "fl oz", "pt": "pt", "qt": "qt", "gal": "gal", "imp_fl_oz": "Imperial fl oz",
    "imp_gal": "Imperial gal", "g": "g", "kg": "kg", "oz": "oz (weight)", "lb": "lb", "m2": "m²", "ha": "ha",
    "sq_ft": "sq ft", "acre": "acres", "m_s": "m/s", "km_h": "km/h", "mph": "mph", "kn": "kn", "c": "°C", "f": "°F",
    "lb_gal": "lb/gal", "g_l": "g/L",
}  # fmt: skip
MASSES = ("oz", "lb", "g", "kg")
VOLUMES = ("fl_oz", "ml", "pt", "qt", "gal", "l", "imp_fl_oz", "imp_gal")
AREAS = ("acre", "sq_ft", "ha", "m2")

HOW_KNOWN = {
    "measured": "measured",
    "read_off_container": "read off the container",
    "estimated": "estimated",
    "apportioned": "apportioned",
}
CARRIERS = {"water": "water", "oil": "oil", "none": "none: used undiluted"}
OPS = {"create": "new", "amend": "correction of a", "void": "voiding of a", "reinstate": "reinstating of a"}
SIGNAL_WORDS = {
    "none": "none required",
    "caution": "CAUTION",
    "warning": "WARNING",
    "danger": "DANGER",
    "danger_poison": "DANGER – POISON",
}
BASES = {
    "product_v_v": "% of product by volume",
    "label_percent_share": "% by label per cent × share",
    "ai_w_v": "% a.i., weight in volume",
    "ae_w_v": "% a.e., weight in volume",
    "ai_g_l": "g a.i. in a litre",
    "ae_g_l": "g a.e. in a litre",
    "product_g_l": "g of dry product in a litre",
    "product_oz_gal": "oz (weight) of dry product in a gallon",
}
AGE_CLASSES = {"adult": "adults", "youth": "under 18", "staff": "paid staff"}
MARKS = {
    "credential_missing": "no credential on record",
    "credential_expired": "credential had ended",
    "credential_in_grace": "credential had ended and was in its grace",
    "credential_pending": "credential not yet in hand",
    "credential_suspended": "credential was suspended",
    "credential_wrong_category": "credential is for other work",
    "credential_wrong_product": "credential does not name this product",
    "credential_wrong_land": "credential does not name this land",
    "credential_needs_lapsed": "something that the credential needs beside it had ended",
    "credential_not_for_restricted": "credential is not for restricted-use products",
    "restricted_use_unlicensed": "restricted-use product, nobody licensed for it named",
    "too_many_supervised": "more people supervised than a stored limit",
    "helper_training_missing": "no training of a helper on record",
    "helper_training_lapsed": "a helper's training had ended",
    "helper_training_unsigned": "a helper's training was not signed",
    "helper_training_too_short": "a helper's training was shorter than its rule asks for",
    "helper_training_other_products": "a helper was trained for other products",
    "helper_training_other_lands": "a helper was trained for other land",
    "day_not_confirmed": "work day had not been confirmed",
    "day_cancelled": "work day had been cancelled",
    "day_closed": "work day was closed already",
    "other_date": "on another date than its work day",
    "other_property": "work day planned for another property",
    "too_young_for_duty": "too young for the duty",
    "contractor_licence_unknown": "how long the contractor's licence lasts is not on record",
    "contractor_licence_ended": "contractor's licence had ended",
    "contractor_insurance_unknown": "how long the contractor's insurance lasts is not on record",
    "contractor_insurance_ended": "contractor's insurance had ended",
    "newer_lot_drawn": "a newer lot was drawn while an older one held something",
    "lot_past_shelf_life": "past its shelf life",
    "label_outdated": "another label version than on file",
    "draws_differ": "lots gave more or less than was poured",
    "lot_overdrawn": "more than the book of the lot held",
    "counted_since": "the lot was counted after it happened",
    "count_wanted": "wants a count",
    "incident_unanswered": "what happened is not said",
    "manner_unstated": "how or to whom is not said",
    "batch_over": "more accounted for than was mixed",
    "sum_differs": "parts do not come to the mix",
    "not_marked_compatible": "products not marked as compatible",
    "difference_beyond_tolerance": "closed with more of a difference than measuring explains",
    "possible_duplicate": "perhaps entered twice",
    "tenfold_above_usual": "ten times the usual or more",
    "tenfold_below_usual": "a tenth of the usual or less",
    "hundredfold_above_usual": "a hundred times the usual or more",
    "hundredfold_below_usual": "a hundredth of the usual or less",
    "product_is_whole_mix": "as much product as mix",
    "more_product_than_mix": "more product than mix",
    "more_hours_than_a_day": "more hours than a day has",
    "carrier_not_on_label": "carrier that the label facts do not name",
    "undiluted_only": "diluted, though its label has it used undiluted",
    "strength_above_limit": "strength over a stored limit",
    "strength_below_limit": "strength below a stored limit",
    "limit_not_comparable": "strength that a stored limit cannot be compared with",
    "dose_below_limit": "dose below a stored limit",
    "dose_may_be_above_limit": "dose that may be over a stored limit",
    "wait_above_limit": "wait from cut to treatment over a stored limit",
    "wait_may_be_above_limit": "wait from cut to treatment that may be over a stored limit",
    "wind_above_limit": "wind over a stored limit",
    "wind_below_limit": "wind below a stored limit",
    "temperature_above_limit": "temperature over a stored limit",
    "temperature_below_limit": "temperature below a stored limit",
    "hot_and_dry_limit": "hotter and drier than a stored limit",
    "species_method": "species with a caution for this method",
    "age_not_on_record": "age not on record",
    "guardian_consent_missing": "no guardian's consent on record",
    "waiver_missing": "no waiver signed",
    "permission_missing": "no permission of the landowner in force",
    "permission_without_herbicide": "permission without herbicide",
    "active_excluded": "active ingredient that the permission leaves out",
    "method_excluded": "method that the permission leaves out",
    "notice_not_given": "notice that the landowner wants, not given",
    "neighbour_not_told": "neighbour not told",
    "permit_missing": "no permit in force",
    "permit_does_not_cover": "permit for other work",
    "registration_not_on_record": "registration not on record",
    "registration_lapsed": "registration had ended",
    "registration_not_comparable": "registration that cannot be compared",
    "site_not_labelled": "site not on the label",
    "method_not_labelled": "method not on the label",
    "carrier_not_labelled": "carrier not on the label on site",
    "use_not_labelled": "use not on the label",
    "strength_above_registration": "stronger than its registration states",
    "retreat_interval_not_over": "treated again before the label's interval was over",
    "near_sensitive_area": "near a sensitive area",
    "sensitive_area_not_comparable": "sensitive area at an unknown distance",
    "near_ceiling": "near a stored ceiling of the year",
    "over_ceiling": "over a stored ceiling of the year",
    "ceiling_not_comparable": "ceiling of the year that cannot be compared",
    "parts_below_mix": "parts come to less than the mix",
    "filled_beyond_batch": "more filled into bottles than the batch held",
    "bottle_already_out": "a bottle of this number was out already",
    "lines_beyond_container": "more in lines than was used of the bottle",
    "carrier_unknown": "carrier not on record",
}
CREDENTIALS = {
    "valid": "valid",
    "grace": "ended, can still be renewed",
    "pending": "not yet in hand",
    "suspended": "suspended",
    "expired": "ended",
    "missing": "none",
}
STOCK = {
    "draw": "drawn into a batch",
    "receipt": "received",
    "return": "came back",
    "transfer_in": "came from another lot",
    "transfer_out": "went elsewhere",
    "loss": "lost",
    "spill": "spilled",
    "disposal": "disposed of",
    "count": "counted",
    "not_counted": "not counted yet: makes up for what the book lacked",
}
TAKEN = {
    "poured_on": "poured into another batch",
    "disposed": "disposed of",
    "lost": "lost",
    "spilled": "spilled",
    "returned": "given back",
}
"""What drew on a batch beside its lines -> words."""
ENDS = {
    "used": "used up",
    "poured_on": "poured into another batch",
    "disposed": "disposed of",
    "lost": "lost",
    "measured_again": "measured again",
}
MARKED = {"batches": "batches", "sessions": "sessions", "applications": "lines", "work_lines": "hand work"}
STATES = {code: str(label) for code, label in State.choices}
ENTRIES = {
    "create": "entered",
    "amend": "corrected",
    "end": "end entered",
    "attest": "attested",
    "countersign": "countersigned",
    "lock": "locked",
    "unlock": "unlocked",
    "answer": "answered for",
    "show": "photo added",
    "void": "voided",
    "reinstate": "reinstated",
}
"""What was done to a record, by one entry of the book."""
RECORD_STATES = {
    "draft": "draft: not signed",
    "attested": "attested by who applied it",
    "countersigned": "attested and countersigned",
    "locked": "signed and locked",
}
WAITS = {code: wait.words for code, wait in WAIT_CLASSES.items()}
WINDS = {"": "not told", "calm": "no wind", "variable": "changing directions"}

KNOWN = {
    "method": METHODS,
    "how_known": HOW_KNOWN,
    "carrier": CARRIERS,
    "signal_word": SIGNAL_WORDS,
    "op": OPS,
    "kind": {"application": "use", "work_line": "work without herbicide"},
    "basis": BASES,
    "age_class": AGE_CLASSES,
    "mark": MARKS,
    "stock": STOCK,
    "taken": TAKEN,
    "end": ENDS,
    "marked": MARKED,
    "state": STATES,
    "unit": UNITS,
    "record": RECORD_STATES,
    "entry": ENTRIES,
    "wind": WINDS,
    "wait": WAITS,
    "passed_over": PASSED_OVER,
    "hazard": dict(HazardKind.choices),
    "credential": CREDENTIALS,
    "covers": {code: str(label) for code, label in Covers.choices},
}
"""What a code is of -> code -> words."""

UNKNOWN = "unknown"


def word(code: str, of: str) -> str:
    """Return the words for a code; one that has none yet is shown with spaces."""
    return KNOWN[of].get(code, str(code).replace("_", " "))


def rule_words(rule: str) -> str:
    """Return a rule of RFC 5545 in words, such as: every second Saturday of the month."""
    parts = dict(part.split("=", 1) for part in rule.upper().split(";") if "=" in part)
    every = parts.get("FREQ", ""), parts.get("INTERVAL", "1"), parts.get("BYDAY", "")
    ordinal, day = every[2][:-2], WEEKDAYS.get(every[2][-2:], "")
    if every[:2] == ("MONTHLY", "1") and day and ordinal in ORDINALS:
        return f"every {ORDINALS[ordinal]} {day} of the month"
    freq = FREQS.get(every[:2], "")
    return f"{freq} on {day}" if freq and day and not ordinal else freq or "by a rule of its own"


def turn(number: int) -> str:
    """Return a place in a line: first to tenth in words, 11th, 12th, 13th, 21st, 22nd."""
    if number <= len(TURNS):
        return TURNS[number - 1]
    ending = "th" if number // 10 % 10 == 1 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def amount(base: int | None, unit: str, digits: int = 4) -> str:
    """Return whole base units as a number with its unit, or that it is unknown."""
    return UNKNOWN if base is None else f"{shown(base, unit, digits)} {UNITS[unit]}"


def change(base: int, unit: str, digits: int = 4) -> str:
    """Return a change in whole base units with its sign: +16 fl oz, −3 fl oz, or that there is none."""
    if not base:
        return "none"
    return f"{'+' if base > 0 else '−'}{amount(abs(base), unit, digits)}"


def money(cents: int | None, currency: str | None) -> str:
    """Return an amount of money: 125.50 USD, or that it is unknown."""
    return UNKNOWN if cents is None else f"{cents // 100:,}.{cents % 100:02} {currency}"


def unit_of(kept: Any, group: Group) -> str:
    """Return the group's unit of the measure that a lot, or a product in stock, is kept in."""
    unit: str = group.mass_unit if kept.base == "ug" else group.volume_unit
    return unit


def lot(lot: Lot, group: Group) -> str:
    """Return a lot in a list to choose from: bought Tue 1 Apr 2025, Barn: 115.2 fl oz left."""
    bought = f"bought {day(lot.purchased_on)}" if lot.purchased_on else "bought on an unknown date"
    left = f"{amount(lot.left, unit_of(lot, group))} left" if lot.left else "nothing left by the book"
    return f"{', '.join(filter(None, (bought, lot.store, lot.lot_number)))}: {left}"


def day(on: date) -> str:
    """Return a date with its weekday: Sat 1 May 2027."""
    return f"{on:%a} {on.day} {on:%b %Y}"


def ends(kind: CredentialType) -> str:
    """Return in a sentence when credentials of a kind end."""
    rule = kind.rule()
    spans = ((rule.years, "year"), (rule.months, "month"))
    after = " and ".join(f"{count} {name}{'s' if count > 1 else ''}" for count, name in spans if count)
    if rule.kind == "rolling":
        return f"It counts for {after} from its day of issue."
    if rule.kind in ("fixed_day", "end_of_year"):
        month, on = rule.month_day
        the_day = f"{on} {date(2024, month, 1):%B}"
        return (
            f"It ends on {the_day}, {after} after the year of its issue."
            if after
            else f"It ends on the next {the_day}."
        )
    return "It has no end." if rule.kind == "none" else "It ends on the day that is printed on it."


def clock(at: datetime, zone: ZoneInfo) -> str:
    """Return the time of day that a clock in the zone shows: 09:30."""
    return f"{at.astimezone(zone):%H:%M}"


def moment(at: datetime, zone: ZoneInfo) -> str:
    """Return a date and a time by the zone's clock."""
    local = at.astimezone(zone)
    return f"{day(local.date())}, {local:%H:%M}"


def span(length: timedelta) -> str:
    """Return a length of time, never negative: in hours, or from two days on in whole days."""
    length = abs(length)
    return hours(length) if length < timedelta(days=2) else f"{length.days} days"


def hours(span: timedelta | float) -> str:
    """Return a length of time in hours, to a tenth."""
    seconds = span.total_seconds() if isinstance(span, timedelta) else span
    tenths = (Decimal(str(seconds)) / 3600).quantize(Decimal("0.1"), ROUND_HALF_EVEN)
    return f"{tenths} h"


JURISDICTIONS = {
    "US": "the United States (federal rules only)", "US-CA": "California", "US-FL": "Florida", "US-GA": "Georgia",
    "US-ID": "Idaho", "US-IL": "Illinois", "US-MD": "Maryland", "US-MN": "Minnesota", "US-NY": "New York",
    "US-PA": "Pennsylvania", "US-WA": "Washington", "US-WI": "Wisconsin", "AU-NSW": "New South Wales",
}  # fmt: skip
"""ISO 3166 code of a jurisdiction with reference rules -> its name."""


def jurisdiction(code: str) -> str:
    """Return a jurisdiction by name; by its code where no name is on record."""
    return JURISDICTIONS.get(code, code)
