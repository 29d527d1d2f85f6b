"""The registration number of a product: its form, and what regulators see people write instead of it.

A number of the United States' federal register is company-product, or company-product-distributor: EPA, Label Review
Manual, chapter 14, Identification Numbers (company number, a dash, product number). How many digits each part has:
California DPR, "What's in a Registration Number?" (up to seven, five and seven). What goes wrong (hyphens missing,
parts left out, leading zeros, the establishment number in its place): New York Pesticide Reporting Law guidance, common
problems tables, "Incorrect or Invalid EPA Registration Numbers" (Cornell, Pesticide Sales and Use Reporting).

Registers of other countries give bare digits. They are told apart by the letters of the register before the digits,
such as "PCP 99990": a way of writing of our own, so that bare digits never stand for a number that lost its hyphens.
"""

import re

from stewardship.rules.decimals import quoted
from stewardship.rules.refusals import RuleViolation

_FORM = re.compile(r"[1-9][0-9]{0,6}-[1-9][0-9]{0,4}(-[1-9][0-9]{0,6})?")
_PADDED = re.compile(r"[0-9]{1,15}(-[0-9]{1,15}){1,2}")
_ESTABLISHMENT = re.compile(r"[0-9]{1,7}-[A-Z]{2,3}-[0-9]{1,4}", re.IGNORECASE)
_OTHER_REGISTER = re.compile(r"[A-Z]{2,8} [1-9][0-9]{2,9}")
_DIGITS = re.compile(r"[0-9]+")


class RegistrationNoMalformed(RuleViolation):
    """The text cannot be a registration number."""

    code = "registration_no_malformed"
    message = (
        "{shown} is not a registration number: copy the whole number from the label, company and product with a hyphen "
        "between them and perhaps a distributor behind another, such as 99990-101 or 99990-101-12345. A number from "
        "another country's register has the register's letters before its digits, such as PCP 99990."
    )


class HyphensMissing(RegistrationNoMalformed):
    """Digits without the hyphens that part company from product."""

    code = "registration_no_without_hyphens"
    message = (
        "{shown} has no hyphens: put them where the label has them, between the company's number and the product's, "
        "such as 99990-101. Without them nobody can tell where one ends. A number from another country's register has "
        "the register's letters before its digits, such as PCP 99990."
    )


class LeadingZeros(RegistrationNoMalformed):
    """A part of the number begins with zeros; ``normalised`` is the number without them."""

    code = "registration_no_leading_zeros"
    message = "{shown} has zeros before its numbers, which the label does not print: write {normalised}."


class EstablishmentNo(RegistrationNoMalformed):
    """The number of the factory stands in place of the product's.

    Source: New York guidance (numbers with a two or three letter abbreviation of a state or country are no registration
    numbers); EPA, Pesticide Establishment Registration and Reporting, General Information, with 99999-NY-002.
    """

    code = "establishment_no"
    message = (
        "{shown} is an establishment number: it names the place where a product was made, not the product. Copy the "
        "number that stands behind EPA Reg. No. on the label; it has no letters in it."
    )


def check_registration_no(text: str, *, where: str = "") -> str:
    """Return ``text`` if it has the form of a registration number.

    Raises EstablishmentNo, HyphensMissing, LeadingZeros (with ``normalised``), else RegistrationNoMalformed; TypeError
    for what is no text. Only the form is checked: that it is this product's number, a person sees on the label.
    """
    if not isinstance(text, str):
        raise TypeError(f"text is wanted, not {type(text).__name__}")
    if _FORM.fullmatch(text) or _OTHER_REGISTER.fullmatch(text):
        return text
    shown = quoted(text)
    if _ESTABLISHMENT.fullmatch(text):
        raise EstablishmentNo(where=where, shown=shown)
    if _DIGITS.fullmatch(text):
        raise HyphensMissing(where=where, shown=shown)
    if normalised := without_leading_zeros(text):
        raise LeadingZeros(where=where, shown=shown, normalised=normalised)
    raise RegistrationNoMalformed(where=where, shown=shown)


def without_leading_zeros(text: str) -> str | None:
    """Return the number without the zeros before its parts: "099990-00101" gives "99990-101"; None if it has no form.

    It is offered, never put in place of what was written: a person compares it with the label.
    """
    if not _PADDED.fullmatch(text):
        return None
    stripped = "-".join(part.lstrip("0") for part in text.split("-"))
    return stripped if _FORM.fullmatch(stripped) else None
