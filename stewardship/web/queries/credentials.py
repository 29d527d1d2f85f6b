"""Credentials as people read them: what somebody holds, when it ends, what it lets them do and what not."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from stewardship.catalog.models import Product
from stewardship.credentials.models import Credential, CredentialType
from stewardship.credentials.needs import Need
from stewardship.credentials.queries import credentials_of, types_of
from stewardship.credentials.standing import marks_for, standing
from stewardship.places.models import Property
from stewardship.rules.methods import WORDS
from stewardship.web.access import Here

LETS = {
    "herbicide_application": "signing up as applicator, mixing and applying herbicide, supervising",
    "saw": "signing up as sawyer",
    "burning": "signing up as burn boss",
    "first_aid": "standing beside cards that need it",
    "training": "duties that ask for it",
}
"""What a credential covers -> what it counts for here."""


@dataclass(frozen=True)
class Held:
    """One credential as it stands today."""

    credential: Credential
    kind: CredentialType | None
    counts: bool
    lacks: list[str]
    """Why it does not count today, in sentences."""
    lets: str
    limits: list[str]
    """What it is good for only, in sentences."""


def held_by(here: Here, member_id: UUID) -> list[Held]:
    """Return a member's credentials that were not voided, as they stand today; four statements at most."""
    types = types_of(here.group.id)
    credentials = credentials_of(here.group.id, [member_id])[member_id]
    names = _names(here, credentials)
    found = [_held(here, each, credentials, types, names) for each in credentials]
    return sorted(found, key=lambda each: (not each.counts, each.credential.covers, str(each.credential.expires_on)))


def types_listed(here: Here) -> list[CredentialType]:
    """Return the group's kinds of credentials by name, those out of use last."""
    return sorted(types_of(here.group.id).values(), key=lambda kind: (kind.retired_at is not None, kind.name))


def _held(here: Here, one: Credential, beside: list[Credential], types: Any, names: dict[str, str]) -> Held:
    others = [each for each in beside if each.covers != one.covers]
    found = standing([one, *others], Need(one.covers), here.today, types)
    kind = types.get(one.type_id) if one.type_id else None
    lacks = [mark["detail"] for mark in marks_for(found, "holder", here.today)]
    return Held(one, kind, found.counts, lacks, LETS[one.covers], list(_limits(one, kind, names)))


def _limits(one: Credential, kind: CredentialType | None, names: dict[str, str]) -> Iterator[str]:
    for category in kind.categories if kind else ():
        if category["code"] in one.categories:
            yield _category(category)
    if one.products:
        yield f"Only these products: {', '.join(names[id] for id in one.products)}."
    if one.properties:
        yield f"Only on these lands: {', '.join(names[id] for id in one.properties)}."
    if kind and kind.covers == "herbicide_application" and not kind.admits_restricted:
        yield "Not for restricted-use products."


def _category(category: dict[str, Any]) -> str:
    name = f"Category {category['code']}" + (f", {category['name']}" if category["name"] else "")
    methods = ", ".join(WORDS.get(each, each) for each in category["methods"])
    sites = ", ".join(category["site_types"])
    return name + (f": only {methods}" if methods else "") + (f", only on {sites}" if sites else "") + "."


def _names(here: Here, credentials: list[Credential]) -> dict[str, str]:
    """Return the names of the products and lands that these credentials name, by id."""
    named: dict[Any, set[str]] = {
        Product: {id for each in credentials for id in each.products},
        Property: {id for each in credentials for id in each.properties},
    }
    return {
        str(id): name
        for model, ids in named.items()
        if ids
        for id, name in model.objects.filter(group_id=here.group.id, id__in=ids).values_list("id", "name")
    }
