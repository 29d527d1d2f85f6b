"""Registrations of products are entered and corrected."""

from collections.abc import Mapping
from typing import Any

from stewardship.catalog.models import ProductRegistration
from stewardship.catalog.registrations.fields import AmendRegistration, NewRegistration
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import json_columns


class RegistrationUpsideDown(RuleViolation):
    """A registration ends after it begins."""

    code = "registration_upside_down"
    message = "The last day of the registration lies before its first. Correct one of the two dates."
    where = "valid_to"


def add_registration(entry: Entry, new: NewRegistration) -> ProductRegistration:
    """Enter a product's registration in a jurisdiction; it names its source."""
    values = json_columns(new)
    _check(values)
    return entry.create(ProductRegistration, id=new.id, **values)


def amend_registration(entry: Entry, wish: AmendRegistration) -> ProductRegistration:
    """Correct a registration, or say when it ends."""
    registration, values = entry.get(ProductRegistration, wish.id), json_columns(wish)
    _check(vars(registration) | values)
    return entry.change(registration, **values)


def _check(values: Mapping[str, Any]) -> None:
    first, last = values["valid_from"], values["valid_to"]
    if first is not None and last is not None and last < first:
        raise RegistrationUpsideDown
