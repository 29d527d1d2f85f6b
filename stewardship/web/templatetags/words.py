"""Words, dates and amounts in templates; ids for forms."""

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from stewardship.journal.ids import new_id
from stewardship.rules.measures import base_of
from stewardship.rules.units import UNITS as UNIT_TABLE
from stewardship.treatments.services.top_ups import poured_of
from stewardship.web import words
from stewardship.web.forms.base import of_group
from stewardship.web.mending import Way, way_of
from stewardship.workdays.reasons import Reason

register = template.Library()

FEWEST_DIGITS = 3
IN_NUMBERS = frozenset("0123456789+-./() ")
"""What a telephone number is written with."""

WORKED_OUT = 4
"""Nobody writes more decimals than these: an amount that has more was worked out from another."""
register.filter("word", words.word)
register.filter("day", words.day)
register.filter("jurisdiction", words.jurisdiction)
register.filter("hours", words.hours)
register.filter("ends", words.ends)


@register.filter
def clock(at: datetime, zone: ZoneInfo) -> str:
    """Return the time of day by the zone's clock; nothing where there is no time."""
    return words.clock(at, zone) if at else ""


@register.filter
def reached(told: str) -> str:
    """Return what says how somebody is reached; where it is a telephone number alone, a tap calls it."""
    digits = sum(letter.isdigit() for letter in told)
    if digits < FEWEST_DIGITS or set(told) - IN_NUMBERS:
        return told
    return format_html('<a class="call" href="tel:{}">{}</a>', "".join(told.split()), told)


@register.filter
def rule_words(rule: str) -> str:
    """Return the rule of a series in words, if it is one of the usual ones; else that it has its own."""
    return words.rule_words(rule)


@register.filter
def turn(number: int) -> str:
    """Return a place in a line: first, second, … 11th."""
    return words.turn(number)


@register.filter
def moment(at: datetime | str, zone: ZoneInfo) -> str:
    """Return date and time by the zone's clock."""
    return words.moment(datetime.fromisoformat(at) if isinstance(at, str) else at, zone)


@register.simple_tag(takes_context=True)
def way(context: Any, reason: Reason, day: Any = None) -> Way | None:
    """Return where the reader mends what a reason tells, if one of their pages does."""
    return way_of(reason, context["here"], day or None)


@register.simple_tag
def over(by_nl: int, unit: str) -> str:
    """Return by how much a batch is off: + where more is accounted for than was mixed, – where it is missing."""
    return f"{'–' if by_nl > 0 else '+'}{words.amount(abs(by_nl), unit)}"


@register.filter
def standing(rule: Any) -> str:
    """Return how a record stands under a rule: complete or not, and the time left of it."""
    left = words.span(rule.standing.left or timedelta())
    complete = "complete" if rule.is_complete else "incomplete"
    return {
        "in_time": "complete, in time",
        "late": f"complete, but late by {left}",
        "open": f"incomplete, {left} left",
        "overdue": f"incomplete, and its time ran out {left} ago",
        "no_clock": f"{complete}; the rule states no time",
    }[rule.standing.state]


@register.filter
def weather(reading: dict[str, Any], zone: ZoneInfo) -> str:
    """Return a reading in words: the time, the wind, the temperature, the sky."""
    wind, warmth, humidity = reading["wind_speed"], reading["temperature"], reading["humidity_percent"]
    direction = reading["wind_direction"]
    told = [
        words.clock(datetime.fromisoformat(reading["at"]), zone),
        f"wind {wind['value']} {words.UNITS[wind['unit']]}" if wind else "",
        f"from {words.word(direction, 'wind').upper()}" if direction and direction not in words.WINDS else "",
        words.WINDS[direction] if direction in words.WINDS and direction else "",
        f"{warmth['value']} {words.UNITS[warmth['unit']]}" if warmth else "",
        f"humidity {humidity} %" if humidity is not None else "",
        reading["sky"],
    ]
    return ", ".join(each for each in told if each)


@register.filter
def on(text: str) -> str:
    """Return a date that is kept as text."""
    return words.day(date.fromisoformat(text))


@register.filter
def person_hours(minutes: int) -> str:
    """Return minutes of people's work in hours."""
    return words.hours(minutes * 60)


@register.simple_tag(takes_context=True)
def amount(context: Any, base: int | None, unit: str = "", digits: int = 4) -> str:
    """Return a volume in the group's unit, or in the one named."""
    return words.amount(base, unit or context["here"].group.volume_unit, digits)


@register.simple_tag(takes_context=True)
def of_lot(context: Any, lot: Any, amount: int) -> str:
    """Return an amount of a lot, or of a product in stock, in the group's unit of its measure."""
    return words.amount(amount, words.unit_of(lot, context["here"].group))


@register.simple_tag(takes_context=True)
def change(context: Any, lot: Any, amount: int) -> str:
    """Return what a lot was changed by, with its sign, in the group's unit of its measure."""
    return words.change(amount, words.unit_of(lot, context["here"].group))


@register.simple_tag
def money(cents: int | None, currency: str | None) -> str:
    """Return an amount of money, or that it is unknown."""
    return words.money(cents, currency)


@register.simple_tag(takes_context=True)
def mass(context: Any, base: int | None) -> str:
    """Return a mass in the group's unit."""
    return words.amount(base, context["here"].group.mass_unit)


@register.simple_tag(takes_context=True)
def in_mix(context: Any, each: dict[str, Any], mix_unit: str) -> str:
    """Return how much of a product or adjuvant is in a mix: as it was poured, where all of it was."""
    base, poured = base_of(each), poured_of(each)
    if poured and poured["unit"] != "piece" and poured[base] == each[base]:
        return f"{poured['value']} {unit(poured['unit'])}"
    pieces = f" ({poured['value']} pieces)" if poured and poured["unit"] == "piece" else ""
    return words.amount(each[base], context["here"].group.mass_unit if base == "ug" else mix_unit, 4) + pieces


@register.simple_tag(takes_context=True)
def product(context: Any, figure: Any) -> str:
    """Return how much product something tells: liquid by volume, dry by weight, or both."""
    group, tell = (
        context["here"].group,
        (figure.get if isinstance(figure, dict) else lambda name: getattr(figure, name)),
    )
    liquid, dry = tell("product_nl"), tell("dry_product_ug")
    told = [words.amount(dry, group.mass_unit)] if dry else []
    return " and ".join([words.amount(liquid, group.volume_unit, 4)] + told if liquid or not told else told)


@register.simple_tag(takes_context=True)
def area(context: Any, base: int | None) -> str:
    """Return an area in the group's unit."""
    return words.amount(base, context["here"].group.area_unit)


@register.simple_tag(takes_context=True)
def known_mass(context: Any, figure: dict[str, Any], name: str) -> SafeString:
    """Return the sum of a mass in a report, and how many of its records do not state it."""
    told = words.amount(figure[name], context["here"].group.mass_unit)
    return _known(told, figure[name], figure[f"{name}_unknown"])


@register.simple_tag(takes_context=True)
def known_area(context: Any, figure: dict[str, Any]) -> SafeString:
    """Return the sum of areas in a report, and how many of its records do not state one."""
    told = words.amount(figure["area_mm2"], context["here"].group.area_unit)
    return _known(told, figure["area_mm2"], figure["area_mm2_unknown"])


@register.simple_tag
def known_count(figure: dict[str, Any], name: str, of: str = "") -> SafeString:
    """Return the sum of a count in a report, of what, and how many of its records do not state it."""
    return _known(f"{figure[name]} {of}".strip(), figure[name], figure[f"{name}_unknown"])


@register.simple_tag
def known_hours(figure: dict[str, Any]) -> SafeString:
    """Return the sum of people's minutes in hours, and how many records do not state them."""
    return _known(words.hours(figure["minutes"] * 60), figure["minutes"], figure["minutes_unknown"])


def _known(told: str, total: int | None, unknown: int) -> SafeString:
    if not unknown:
        return format_html("{}", told)
    if not total:
        return format_html('<span class="warn">unknown ({})</span>', unknown)
    return format_html('{} <span class="warn">({} unknown)</span>', told, unknown)


@register.simple_tag
def entered(record: Any, name: str) -> str:
    """Return a quantity as it was entered, such as 40 fl oz; one that was worked out, to four digits."""
    value, unit = getattr(record, f"{name}_value"), getattr(record, f"{name}_unit")
    if value and len(value.partition(".")[2]) > WORKED_OUT and hasattr(record, f"{name}_nl"):
        return words.amount(getattr(record, f"{name}_nl"), unit)
    return f"{value} {words.UNITS[unit]}" if value else ""


@register.filter
def unit(code: str) -> str:
    """Return the short name of a unit."""
    return words.UNITS.get(code, code)


@register.filter
def unit_name(code: str) -> str:
    """Return the whole name of a unit, in the plural."""
    return UNIT_TABLE[code].name_many


@register.simple_tag(takes_context=True)
def mid(context: Any) -> SafeString:
    """Return the hidden id of a form, by which it is performed once however often it is sent, and its group."""
    here = context.get("here")
    return format_html('<input type="hidden" name="mid" value="{}">{}', new_id(), of_group(here and here.group.id))
