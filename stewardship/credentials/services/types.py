"""Kinds of credentials are entered and corrected; the services of the catalogue take them out of use and back."""

from collections.abc import Mapping
from typing import Any

from stewardship.credentials import fields
from stewardship.credentials.models import CredentialType
from stewardship.credentials.services.values import told_values
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry


class CategoryTwice(RuleViolation):
    """A category stands once in a type."""

    code = "category_twice"
    message = "The category {code} stands twice in this type: give it once, with everything that it is good for."
    where = "categories"


class NeedsItself(RuleViolation):
    """Nothing depends on itself."""

    code = "needs_itself"
    message = "A credential cannot need one of its own kind. Name what its holder must have beside it."
    where = "needs"


class CreditsWithoutCycle(RuleViolation):
    """Credits are wanted within a time."""

    code = "credits_without_cycle"
    message = "Say within how many years these credits are wanted."
    where = "credit_cycle_years"


class CreditsOfUnknownCategory(RuleViolation):
    """Credits are wanted in the type's own categories, or in the core."""

    code = "credits_of_unknown_category"
    message = "This type has no category {code}. Enter it among its categories, or leave it out for core credits."
    where = "credits"


def add_type(entry: Entry, new: fields.NewCredentialType) -> CredentialType:
    """Enter a kind of credential; it names its source."""
    values = told_values(new)
    _find_needed(entry, new)
    _check(values)
    return entry.create(CredentialType, id=new.id, **values)


def amend_type(entry: Entry, wish: fields.AmendCredentialType) -> CredentialType:
    """Correct a kind of credential; what was judged by it before keeps its marks."""
    found = entry.get(CredentialType, wish.id)
    values = told_values(wish)
    _find_needed(entry, wish)
    _check(vars(found) | values, str(found.id))
    return entry.change(found, **values)


def _find_needed(entry: Entry, wish: Any) -> None:
    for id in wish.needs_types or ():
        entry.get(CredentialType, id)


def _check(values: Mapping[str, Any], own_id: str = "") -> None:
    """Refuse what cannot be true of one kind. Raises the refusals of this module."""
    codes = [each["code"] for each in values["categories"]]
    for code in codes:
        if codes.count(code) > 1:
            raise CategoryTwice(code=code)
    if values["covers"] in values["needs"] or own_id in values["needs_types"]:
        raise NeedsItself
    if values["credits"] and not values["credit_cycle_years"]:
        raise CreditsWithoutCycle
    for each in values["credits"]:
        if each["category"] not in ("", *codes):
            raise CreditsOfUnknownCategory(code=each["category"])
