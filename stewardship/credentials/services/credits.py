"""Credits are entered, corrected, and voided where they were entered by mistake."""

from stewardship.accounts.models import Member
from stewardship.credentials import fields
from stewardship.credentials.models import CredentialType, Credit
from stewardship.credentials.services.values import told_values
from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.rules.decimals import exact


class CreditsAreNone(RuleViolation):
    """A course gives some credits."""

    code = "credits_are_none"
    message = "Enter how many credits the course gave; none at all are not recorded."
    where = "amount"


class CreditsInUnknownCategory(RuleViolation):
    """Credits are earned in a category of the kind of credential, or in its core."""

    code = "credits_in_unknown_category"
    message = "{name} has no category {code}. Check the code, leave it out for core credits, or enter it with the type."
    where = "category"


def add_credit(entry: Entry, new: fields.NewCredit) -> Credit:
    """Enter the credits of a course that a member took."""
    values = told_values(new)
    _check(entry.get(CredentialType, new.type), values["category"], values["amount"])
    return entry.create(Credit, id=new.id, person_id=entry.get(Member, new.member).person_id, **values)


def amend_credit(entry: Entry, wish: fields.AmendCredit) -> Credit:
    """Correct the credits of a course."""
    credit = entry.get(Credit, wish.id)
    if credit.voided_at:
        raise AlreadyVoided
    values = told_values(wish)
    after = vars(credit) | values
    _check(entry.get(CredentialType, credit.type_id), after["category"], after["amount"])
    return entry.change(credit, **values)


def void_credit(entry: Entry, wish: Target) -> Credit:
    """Call them a mistaken entry: they count for nothing. Voiding them again changes nothing."""
    credit = entry.get(Credit, wish.id)
    return credit if credit.voided_at else entry.change(credit, voided_at=entry.at)


def reinstate_credit(entry: Entry, wish: Target) -> Credit:
    """Take back that they were a mistaken entry."""
    return entry.change(entry.get(Credit, wish.id), voided_at=None)


def _check(kind: CredentialType, category: str, amount: str) -> None:
    if not exact(amount):
        raise CreditsAreNone
    if category and category not in {each["code"] for each in kind.categories}:
        raise CreditsInUnknownCategory(name=kind.name, code=category)
