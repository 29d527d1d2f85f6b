"""Why a credential did not count for a piece of work, each reason with a code and in a sentence."""

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any, NamedTuple

from stewardship.credentials.models import Covers, Credential, CredentialType
from stewardship.credentials.needs import Need
from stewardship.rules.dates import said
from stewardship.rules.methods import WORDS


class Lack(NamedTuple):
    """One reason."""

    code: str
    detail: str


# -- for its days ----------------------------------------------------------------------------------


def status_mark(covers: str, status: str, credential: Credential | None, on: date) -> Lack:
    """Return why a credential of this status did not count on a date."""
    code, sentence = MARKS[status]
    return Lack(code, sentence(covers, credential, on))


def _missing(covers: str, credential: Any, on: date) -> str:
    return f"No {Covers(covers).label} is on record for {said(on)}."


def _expired(covers: str, credential: Any, on: date) -> str:
    return f"{_called(covers, credential)} ended on {_end(credential)}. It did not count on {said(on)}."


def _in_grace(covers: str, credential: Any, on: date) -> str:
    ended = f"{_called(covers, credential)} ended on {_end(credential)}."
    return f"{ended} It could still be renewed on {said(on)}, but it did not count."


def _pending(covers: str, credential: Any, on: date) -> str:
    return f"{_called(covers, credential)} was not issued and in hand on {said(on)}. It counts from the day when it is."


def _suspended(covers: str, credential: Any, on: date) -> str:
    until = next(each.last_on for each in credential.dates().suspensions if each.holds(on))
    how_long = f"until {said(until)}" if until else "and not given back yet"
    return f"{_called(covers, credential)} was suspended on {said(on)}, {how_long}. It did not count."


MARKS: dict[str, tuple[str, Callable[[str, Any, date], str]]] = {
    "missing": ("credential_missing", _missing),
    "expired": ("credential_expired", _expired),
    "grace": ("credential_in_grace", _in_grace),
    "pending": ("credential_pending", _pending),
    "suspended": ("credential_suspended", _suspended),
}
"""Standing that does not count -> code and sentence."""


# -- for the work ----------------------------------------------------------------------------------


def lacks_of(credential: Credential, kind: CredentialType | None, need: Need) -> Iterator[Lack]:
    """Give each reason why a credential is not good for this one thing, whatever the day."""
    called = _called(credential.covers, credential)
    if kind and kind.categories and not _has_category(credential, kind, need):
        yield Lack("credential_wrong_category", f"{called} {_categories(credential)}, {_not_for(need)}.")
    yield from _not_named(credential, kind, need, called)
    if need.restricted and kind and not kind.admits_restricted:
        detail = f"{called} is not good for restricted-use products: {kind.name} does not take them in."
        yield Lack("credential_not_for_restricted", detail)


def _has_category(credential: Credential, kind: CredentialType, need: Need) -> bool:
    """Tell whether one category printed on it takes in the method and the site, as far as these are known."""
    held = [each for each in kind.categories if each["code"] in credential.categories]
    return not (need.methods or need.site_types) or any(_takes_in(each, need) for each in held)


def _takes_in(category: dict[str, Any], need: Need) -> bool:
    methods, sites = category["methods"], [site.casefold() for site in category["site_types"]]
    told = [site.casefold() for site in need.site_types]
    return (not methods or set(need.methods) <= set(methods)) and (
        not sites or all(any(site in each for site in sites) for each in told)
    )


def _categories(credential: Credential) -> str:
    codes = credential.categories
    return (
        f"is for {'category' if len(codes) == 1 else 'categories'} {', '.join(codes)}" if codes else "names no category"
    )


def _not_for(need: Need) -> str:
    work = [WORDS.get(method, method) for method in need.methods] + [f"a site of the kind {s}" for s in need.site_types]
    return f"which does not take in {' on '.join(work)}"


def _not_named(credential: Credential, kind: CredentialType | None, need: Need, called: str) -> Iterator[Lack]:
    if credential.products or (kind and kind.names_products):
        for used in need.products:
            if used.id not in credential.products:
                what = used.name or "a product of this work"
                detail = f"{called} is good only for the products named on it, and {what} is not one of them."
                yield Lack("credential_wrong_product", detail)
    limited = credential.properties or (kind and kind.names_properties)
    if need.property and limited and need.property.id not in credential.properties:
        where = need.property.name or "this one"
        detail = f"{called} is good only on the lands named on it, and {where} is not one of them."
        yield Lack("credential_wrong_land", detail)


# -- words -----------------------------------------------------------------------------------------


def _called(covers: str, credential: Credential | None) -> str:
    number = credential.number if credential else ""
    return f"The {Covers(covers).label} {number or 'without a number'}"


def _end(credential: Credential | None) -> str:
    last_on = credential.expires_on if credential else None
    return said(last_on) if last_on else "no day"
