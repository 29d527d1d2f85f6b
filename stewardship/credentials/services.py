"""Credentials are entered, corrected, and voided where they were entered by mistake."""

from datetime import date
from typing import Any

from stewardship.accounts.models import Member
from stewardship.credentials import fields
from stewardship.credentials.models import Credential
from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.rules.validity import CredentialEndsBeforeItBegins, ExpiryMissing, IssueMissing


class EndsAndNeverEnds(RuleViolation):
    """A credential either has a last day or has none."""

    code = "ends_and_never_ends"
    message = "This credential has a last day and is said never to expire. Leave out one of the two."
    where = "never_expires"


def add_credential(entry: Entry, new: fields.NewCredential) -> Credential:
    """Enter a credential of a member."""
    holder = entry.get(Member, new.holder)
    values = columns(new)
    _check(values)
    return entry.create(Credential, id=new.id, person_id=holder.person_id, **values)


def amend_credential(entry: Entry, wish: fields.AmendCredential) -> Credential:
    """Correct what was entered wrongly; what was judged by it before keeps its marks."""
    credential = entry.get(Credential, wish.id)
    if credential.voided_at:
        raise AlreadyVoided
    values = columns(wish)
    _check(vars(credential) | values)
    return entry.change(credential, **values)


def void_credential(entry: Entry, wish: Target) -> Credential:
    """Call a credential a mistaken entry: it counts for nothing. Voiding it again changes nothing."""
    credential = entry.get(Credential, wish.id)
    return credential if credential.voided_at else entry.change(credential, voided_at=entry.at)


def reinstate_credential(entry: Entry, wish: Target) -> Credential:
    """Take back that a credential was a mistaken entry."""
    return entry.change(entry.get(Credential, wish.id), voided_at=None)


def _check(values: dict[str, Any]) -> None:
    """Refuse dates that cannot be those of one credential.

    Raises ExpiryMissing, EndsAndNeverEnds, IssueMissing, CredentialEndsBeforeItBegins.
    """
    issued_on: date | None = values["issued_on"]
    expires_on: date | None = values["expires_on"]
    if values["never_expires"] and expires_on:
        raise EndsAndNeverEnds
    if not values["never_expires"] and not expires_on:
        raise ExpiryMissing("Enter the last day on which it counts, or say that it never expires.", where="expires_on")
    if values["received_on"] and not issued_on:
        raise IssueMissing("Enter the day of issue: a credential that is in hand was issued.", where="issued_on")
    if issued_on and expires_on and expires_on < issued_on:
        raise CredentialEndsBeforeItBegins(issued_on=issued_on, last_on=expires_on, where="expires_on")
