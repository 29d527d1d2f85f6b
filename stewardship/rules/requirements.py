"""What a rule can ask a record of use to say: the closed list of facts, and whether each of them is told.

The list is the union of what the rules in ``fixtures/reference/rule_profiles.json`` ask for. Facts are a plain mapping:
a name from the list or a condition -> what the record says; what is absent, None or blank is unknown, and unknown is
never taken for "no".
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple, get_args

from stewardship.rules.refusals import RuleViolation

Facts = Mapping[str, Any]

FieldName = Literal[
    "location", "applied_on", "started_at", "ended_at", "product_name", "registration_no", "active_ingredients",
    "product_amount", "mix_strength", "mix_amount", "carrier", "adjuvants", "rate_per_area", "area_mm2", "plants",
    "target_species", "site_type", "method", "equipment", "wind_speed", "wind_direction", "temperature", "wind_changes",
    "other_weather", "applicators", "applicator_credentials", "supervisor", "supervisor_credential", "helpers",
    "customer", "recommended_by", "mixing_place", "reentry", "incident", "disposal", "remarks", "recorded_by",
    "recorded_at", "signature", "countersigned_by", "spot_words",
]  # fmt: skip

WORDS: dict[str, str] = {
    "location": "where it was applied",
    "applied_on": "the date",
    "started_at": "the time it began",
    "ended_at": "the time it was completed",
    "product_name": "the product's name",
    "registration_no": "the registration number on the label",
    "active_ingredients": "the active ingredients",
    "product_amount": "the amount of undiluted product",
    "mix_strength": "the strength of the mix",
    "mix_amount": "the total mix applied",
    "carrier": "the carrier",
    "adjuvants": "adjuvants and dye",
    "rate_per_area": "the product used on a unit of area",
    "area_mm2": "the area treated",
    "plants": "the number of stems or plants",
    "target_species": "the species treated",
    "site_type": "what kind of place it is",
    "method": "the method",
    "equipment": "the equipment",
    "wind_speed": "the wind speed",
    "wind_direction": "the wind direction",
    "temperature": "the temperature",
    "wind_changes": "wind and weather after each significant change",
    "other_weather": "the other weather that the label makes relevant",
    "applicators": "the names of those who applied it",
    "applicator_credentials": "their licence or certificate numbers",
    "supervisor": "the name of the supervising licence holder",
    "supervisor_credential": "the supervisor's licence or certificate number",
    "helpers": "the names of everybody else involved",
    "customer": "the name and address of whom it was done for",
    "recommended_by": "the name of the person who recommended it",
    "mixing_place": "where it was mixed and loaded",
    "reentry": "when people may enter again, and how that was posted",
    "incident": "what happened unexpectedly, and what was done about it",
    "disposal": "what was disposed of, how much and how",
    "remarks": "remarks",
    "recorded_by": "who wrote the record",
    "recorded_at": "when it was written",
    "signature": "the signature of the person who applied it",
    "countersigned_by": "the signature of the supervising licence holder",
    "spot_words": "the words “spot treatment”",
}
"""Fact -> what it is called to people."""

Condition = Literal[
    "restricted_use", "has_reentry", "was_supervised", "had_helpers", "was_sprayed", "weather_changed",
    "label_names_weather", "had_incident", "was_disposed_of", "mixed_elsewhere", "for_a_customer",
]  # fmt: skip

CONDITIONS: dict[str, str] = {
    "restricted_use": "whether the product is classed restricted-use here",
    "has_reentry": "whether the label sets a time before people may enter again",
    "was_supervised": "whether somebody without a licence applied it under supervision",
    "had_helpers": "whether others were involved",
    "was_sprayed": "whether it was sprayed outdoors",
    "weather_changed": "whether wind or weather changed significantly meanwhile",
    "label_names_weather": "whether the label makes other weather relevant",
    "had_incident": "whether anything unexpected happened: a spill, an exposure, drift",
    "was_disposed_of": "whether any of it was disposed of",
    "mixed_elsewhere": "whether it was mixed or loaded away from the licensed premises",
    "for_a_customer": "whether it was done for somebody else",
}
"""Condition -> the question that a record answers with true or false."""

LocationForm = Literal[
    "address", "description", "map", "legal_description", "county_section", "usda_map_number", "lat_long"
]

LOCATION_FORMS: dict[str, str] = {
    "address": "street address",
    "description": "description by which it can be found",
    "map": "map",
    "legal_description": "legal description",
    "county_section": "county, range, township and section",
    "usda_map_number": "number on a map of the United States Department of Agriculture",
    "lat_long": "latitude and longitude",
}
"""Form of a location -> what it is called to people."""

_POST_BOX = re.compile(r"\s*(p\.?\s*o\.?|g\.?\s*p\.?\s*o\.?|post(al)?[\s-]*office)\s*box\b", re.IGNORECASE)


class RequirementUnclear(RuleViolation):
    """A requirement that asks for nothing, or for what is not in the list."""

    code = "requirement_unclear"
    message = "This requirement cannot be judged: {lacking}."


class Missing(NamedTuple):
    """What a record does not say yet: the fact (or the condition that is not answered), and its words."""

    field: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """Facts that a record must say: all of one of the sets in ``any_of``, if every condition in ``when`` holds.

    Raises RequirementUnclear.
    """

    any_of: tuple[tuple[str, ...], ...]
    when: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.any_of or not all(self.any_of):
            raise RequirementUnclear(lacking="it asks for nothing", where="any_of")
        check_names(tuple(name for names in self.any_of for name in names), where="any_of")
        if unknown := set(self.when) - set(get_args(Condition)):
            raise RequirementUnclear(lacking=f"there is no condition called {min(unknown)}", where="when")


def check_names(names: tuple[str, ...], *, where: str) -> None:
    """Refuse a name that is not in the list of facts. Raises RequirementUnclear."""
    if unknown := set(names) - set(get_args(FieldName)):
        raise RequirementUnclear(lacking=f"there is no fact called {min(unknown)}", where=where)


def is_post_box(place: str) -> bool:
    """Tell whether a text names a post-office box where a place belongs; one behind a street address is no harm.

    Source: "P.O. box instead of location", common problems, guidance on the New York Pesticide Reporting Law.
    """
    return _POST_BOX.match(place) is not None


def is_told(facts: Facts, name: str, forms: tuple[str, ...]) -> bool:
    """Tell whether the record says this fact; a location counts in one of ``forms`` only, and no post-office box does.

    The fact ``location`` is a mapping: form -> text (or GeoJSON for a map); ``spot_words`` is True where they stand.
    """
    value = facts.get(name)
    if name == "spot_words":
        return value is True
    if name != "location":
        return _says(value)
    told = value if isinstance(value, Mapping) else {}
    return any(_says(told.get(form)) and not (form == "address" and is_post_box(str(told[form]))) for form in forms)


def _says(value: Any) -> bool:
    """Tell whether a value says anything: zero and false do, a list only if each of its members does."""
    if value is None:
        return False
    if isinstance(value, str):
        return bool(value.strip())
    if isinstance(value, Mapping):
        return bool(value) and all(map(_says, value.values()))
    if isinstance(value, list | tuple):
        return bool(value) and all(map(_says, value))
    return True


def lacking(facts: Facts, wanted: Requirement, forms: tuple[str, ...]) -> Missing | None:
    """Return what keeps the record from meeting a requirement: a fact, or a condition that is not answered."""
    answers = [facts.get(condition) for condition in wanted.when]
    if any(answer is False for answer in answers) or any(
        all(is_told(facts, name, forms) for name in names) for names in wanted.any_of
    ):
        return None
    for condition, answer in zip(wanted.when, answers, strict=True):
        if answer is not True:
            return Missing(condition, CONDITIONS[condition])
    return _missing_fact(facts, wanted, forms)


def _missing_fact(facts: Facts, wanted: Requirement, forms: tuple[str, ...]) -> Missing:
    """Return the first untold fact of the first set; the words give every set, without what is told already."""
    sets = [[name for name in names if not is_told(facts, name, forms)] for names in wanted.any_of]
    return Missing(sets[0][0], ", or else ".join(" and ".join(_words(name, forms) for name in names) for names in sets))


def _words(name: str, forms: tuple[str, ...]) -> str:
    if name != "location":
        return WORDS[name]
    shapes = "" if set(forms) == LOCATION_FORMS.keys() else f", as {', or '.join(LOCATION_FORMS[f] for f in forms)}"
    return f"{WORDS[name]}{shapes}; a post-office box is no place"
