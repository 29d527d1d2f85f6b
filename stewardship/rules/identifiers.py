"""Identifiers of plants, substances and places: the form that each has, checked before one is kept.

Only the form is checked: whether a well-formed identifier names what is meant, a person looks up.
"""

import re

from stewardship.rules.decimals import quoted
from stewardship.rules.refusals import RuleViolation


class IdentifierMalformed(RuleViolation):
    """The text cannot be such an identifier."""

    code = "identifier_malformed"
    message = "{shown} is not {kind}: {form}."


_FORMS = {
    "usda_symbol": (
        re.compile(r"[A-Z]{4,6}[0-9]{0,3}"),
        "a USDA PLANTS symbol",
        "at least four capital letters, then a number where several plants share them, such as RHCA3",
    ),
    "eppo_code": (re.compile(r"[A-Z]{5}"), "an EPPO code of a plant", "five capital letters, such as RHACT"),
    "cas": (
        re.compile(r"[1-9][0-9]{1,6}-[0-9]{2}-[0-9]"),
        "a CAS registry number",
        "two to seven digits, two digits and a check digit that fits, such as 1071-83-6",
    ),
    "jurisdiction": (
        re.compile(r"[A-Z]{2}(-[A-Z0-9]{1,3})?"),
        "the ISO 3166 code of a jurisdiction",
        "two capital letters for a country, such as US, or with a part of it, such as US-WA",
    ),
}


def check_identifier(kind: str, text: str, *, where: str = "") -> str:
    """Return ``text`` if it has the form of this kind of identifier; else IdentifierMalformed. Unknown kind: KeyError.

    Kinds: ``usda_symbol`` (four or more characters: USDA, National Plant Materials Manual, glossary), ``eppo_code``
    (five letters for a plant: EPPO Global Database), ``cas`` (with its check digit), ``jurisdiction`` (ISO 3166-1
    alpha-2 or ISO 3166-2).
    """
    pattern, name, form = _FORMS[kind]
    if not isinstance(text, str):
        raise TypeError(f"text is wanted, not {type(text).__name__}")
    if not pattern.fullmatch(text) or (kind == "cas" and not _cas_check_digit_fits(text)):
        raise IdentifierMalformed(where=where, shown=quoted(text), kind=name, form=form)
    return text


def _cas_check_digit_fits(text: str) -> bool:
    """Tell whether the digits, weighted 1, 2, 3... from the right, sum to the check digit modulo 10.

    Source: Chemical Abstracts Service, Check Digit Verification of CAS Registry Numbers.
    """
    *digits, check = (int(sign) for sign in text if sign != "-")
    return sum(place * digit for place, digit in enumerate(reversed(digits), start=1)) % 10 == check
