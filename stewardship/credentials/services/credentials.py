"""Credentials are entered, corrected, and voided where they were entered by mistake."""

from datetime import date
from typing import Any

from msgspec import UNSET

from stewardship.accounts.models import Member
from stewardship.attachments.fields import named_with
from stewardship.catalog.models import Product
from stewardship.credentials import fields
from stewardship.credentials.models import Credential, CredentialType
from stewardship.credentials.services.values import told_values
from stewardship.errors import AlreadyVoided, NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.places.models import Property
from stewardship.rules.validity import CredentialEndsBeforeItBegins, ExpiryMissing, IssueMissing, last_day


class EndsAndNeverEnds(RuleViolation):
    """A credential either has a last day or has none."""

    code = "ends_and_never_ends"
    message = "This credential has a last day and is said never to expire. Leave out one of the two."
    where = "never_expires"


class TypeRetired(RuleViolation):
    """A kind that is out of use takes no new credentials."""

    code = "type_retired"
    message = "{name} is out of use. Choose the kind that took its place, or ask a coordinator to take it back."
    where = "type"


class CoversDisagree(RuleViolation):
    """A credential is for what its kind is for."""

    code = "covers_disagree"
    message = "{name} is for something else than what is entered here. Leave that out: it follows from the type."
    where = "covers"


class LastDayDisagrees(RuleViolation):
    """A stated last day that does not follow from the type's rule."""

    code = "last_day_disagrees"
    message = (
        "By the rule of {name}, one issued on {issued_on} counts up to {reckoned}, not {stated}. Check both days on "
        "the document; if it really prints another day, choose a type whose last day is the one printed."
    )
    where = "expires_on"


class CategoryUnknown(RuleViolation):
    """A credential has categories of its kind."""

    code = "category_unknown"
    message = "{code} is no category of {name}. Check the code, or enter the category with the type first."
    where = "categories"


class LimitsMissing(RuleViolation):
    """A kind that is good for named things only says on each which they are."""

    code = "limits_missing"
    message = "{name} is good only for the {what} named on it. Enter which are named."


def add_credential(entry: Entry, new: fields.NewCredential) -> Credential:
    """Enter a credential of a member; what its type says need not be told."""
    holder = entry.get(Member, new.holder)
    values = told_values(new)
    kind = _type(entry, values["type_id"])
    if kind and kind.retired_at:
        raise TypeRetired(name=kind.name)
    if kind:
        values["authority"] = values["authority"] or kind.authority
        values["grace_days"] = kind.grace_days if values["grace_days"] is None else values["grace_days"]
        _follow(values, kind, covers=values["covers"])
        _check_limits(values, kind)
    values["grace_days"] = values["grace_days"] or 0
    _check(entry, new, values, kind)
    return entry.create(Credential, id=new.id, person_id=holder.person_id, **values)


def amend_credential(entry: Entry, wish: fields.AmendCredential) -> Credential:
    """Correct what was entered wrongly; what was judged by it before keeps its marks.

    What follows from the type is worked out anew only where that, or a day, is corrected.
    """
    credential = entry.get(Credential, wish.id)
    if credential.voided_at:
        raise AlreadyVoided
    said = told_values(wish)
    kind = _type(entry, said.get("type_id", credential.type_id))
    if kind and said.keys() & {"type_id", "covers", "issued_on", "expires_on", "never_expires"}:
        said = {"expires_on": credential.expires_on, "never_expires": credential.never_expires} | said
        if kind.rule().kind != "stated" and wish.expires_on is UNSET:
            said |= {"expires_on": None, "never_expires": wish.never_expires is True}
        values = vars(credential) | said
        _follow(values, kind, covers=said.get("covers"))
        said |= {name: values[name] for name in ("covers", "expires_on", "never_expires")}
    values = vars(credential) | said
    if kind and said.keys() & {"type_id", "categories", "products", "properties"}:
        _check_limits(values, kind)
    _check(entry, wish, values, kind)
    return entry.change(credential, **said)


def show_credential(entry: Entry, wish: fields.ShowCredential) -> Credential:
    """Name files that show a credential: its holder does, or a coordinator. A file that it names stays as it is."""
    credential = entry.get(Credential, wish.id)
    if credential.voided_at:
        raise AlreadyVoided
    if credential.holder_id != entry.by.member_id and not entry.by.may("manage_credentials"):
        raise NotPermitted
    return entry.change(credential, evidence=named_with(credential.evidence, wish.evidence, where="evidence"))


def void_credential(entry: Entry, wish: Target) -> Credential:
    """Call a credential a mistaken entry: it counts for nothing. Voiding it again changes nothing."""
    credential = entry.get(Credential, wish.id)
    return credential if credential.voided_at else entry.change(credential, voided_at=entry.at)


def reinstate_credential(entry: Entry, wish: Target) -> Credential:
    """Take back that a credential was a mistaken entry."""
    return entry.change(entry.get(Credential, wish.id), voided_at=None)


# -- what follows from the type --------------------------------------------------------------------


def _type(entry: Entry, type_id: Any) -> CredentialType | None:
    if type_id is None:
        return None
    entry.load(CredentialType, [type_id], lock=False)
    return entry.get(CredentialType, type_id)


def _is_reckoned(kind: CredentialType | None) -> bool:
    return kind is not None and kind.rule().kind not in ("stated", "none")


def _follow(values: dict[str, Any], kind: CredentialType, *, covers: str | None) -> None:
    """Fill in what a type says. Raises CoversDisagree, EndsAndNeverEnds, LastDayDisagrees and others."""
    if covers not in (None, kind.covers):
        raise CoversDisagree(name=kind.name)
    values["covers"] = kind.covers
    never = kind.rule().kind == "none"
    if (values["expires_on"] and never) or (values["never_expires"] and not never):
        raise EndsAndNeverEnds
    values["never_expires"] = never
    if _is_reckoned(kind):
        _reckon(values, kind)


def _reckon(values: dict[str, Any], kind: CredentialType) -> None:
    """Work out the last day of a credential that was issued; a stated one must be the same."""
    issued_on, stated = values["issued_on"], values["expires_on"]
    if issued_on is None:
        return
    reckoned = last_day(kind.rule(), issued_on=issued_on)
    if stated and stated != reckoned:
        raise LastDayDisagrees(name=kind.name, issued_on=issued_on, reckoned=reckoned, stated=stated)
    values["expires_on"] = reckoned


# -- what cannot be --------------------------------------------------------------------------------


def _check(entry: Entry, wish: Any, values: dict[str, Any], kind: CredentialType | None) -> None:
    """Refuse what cannot be one credential. Raises the refusals above, Unavailable."""
    _check_dates(values, kind)
    for model, ids in ((Product, wish.products), (Property, wish.properties)):
        for id in ids or ():
            entry.get(model, id)
    if kind is None and values["categories"]:
        raise CategoryUnknown(code=values["categories"][0], name="a credential without a type")


def _check_limits(values: dict[str, Any], kind: CredentialType) -> None:
    """Refuse categories that a type does not have, and none where it has some.

    Raises CategoryUnknown, LimitsMissing.
    """
    codes = [each["code"] for each in kind.categories]
    for code in values["categories"]:
        if code not in codes:
            raise CategoryUnknown(code=code, name=kind.name)
    limits = (
        (codes, "categories", "categories"),
        (kind.names_products, "products", "products"),
        (kind.names_properties, "properties", "lands"),
    )
    for is_limited, column, what in limits:
        if is_limited and not values[column]:
            raise LimitsMissing(name=kind.name, what=what, where=column)


def _check_dates(values: dict[str, Any], kind: CredentialType | None) -> None:
    """Refuse dates that cannot be those of one credential.

    Raises ExpiryMissing, EndsAndNeverEnds, IssueMissing, CredentialEndsBeforeItBegins.
    """
    issued_on: date | None = values["issued_on"]
    expires_on: date | None = values["expires_on"]
    if values["never_expires"] and expires_on:
        raise EndsAndNeverEnds
    if values["received_on"] and not issued_on:
        raise IssueMissing("Enter the day of issue: a credential that is in hand was issued.", where="issued_on")
    if not values["never_expires"] and not expires_on and not (_is_reckoned(kind) and issued_on is None):
        raise ExpiryMissing("Enter the last day on which it counts, or say that it never expires.", where="expires_on")
    if issued_on and expires_on and expires_on < issued_on:
        raise CredentialEndsBeforeItBegins(issued_on=issued_on, last_on=expires_on, where="expires_on")
