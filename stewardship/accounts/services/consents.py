"""People agree to texts of the group, signed in as themselves or on a sheet that a coordinator names."""

from datetime import date
from zoneinfo import ZoneInfo

from stewardship.accounts import fields
from stewardship.accounts.ages import known_age
from stewardship.accounts.models import Consent, ConsentKind, ConsentText, Group, Member
from stewardship.accounts.services.details import check_own, whose
from stewardship.errors import NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.rules.ages import is_minor
from stewardship.rules.dates import add_months, local_date


class TextRetired(RuleViolation):
    """A text that is out of use is not agreed to."""

    code = "text_retired"
    message = "This text was taken out of use. Agree to the one that replaced it."
    where = "text"


class GivenTooEarly(RuleViolation):
    """Nobody agrees to a text before it is there."""

    code = "given_too_early"
    message = "This text is asked for from {from_on} on. Correct the day, or choose another text."
    where = "given_on"


class GivenInFuture(RuleViolation):
    """A consent is a fact."""

    code = "given_in_future"
    message = "This day is still to come. Enter the day on which it was given."
    where = "given_on"


class GuardianMissing(RuleViolation):
    """A guardian gives the consent for somebody under 18."""

    code = "guardian_missing"
    message = "For somebody under 18 a guardian signs. Name the guardian, and what they are to the member."
    where = "given_by"


class GuardianSignsOnSheet(RuleViolation):
    """A guardian is not signed in as the member."""

    code = "guardian_signs_on_sheet"
    message = "A guardian signs a sheet. A coordinator enters it and names the sheet."
    where = "how"


class ConsentVoided(RuleViolation):
    """A mistaken entry is not withdrawn."""

    code = "consent_voided"
    message = "This consent was called a mistaken entry. It counts for nothing already."


def add_text(entry: Entry, new: fields.NewConsentText) -> ConsentText:
    """Enter a text that people are asked to agree to."""
    return entry.create(ConsentText, id=new.id, **columns(new))


def amend_text(entry: Entry, wish: fields.AmendConsentText) -> ConsentText:
    """Change the title of a text, or the first day on which it is asked for."""
    return entry.change(entry.get(ConsentText, wish.id), **columns(wish))


def retire_text(entry: Entry, wish: Target) -> ConsentText:
    """Take a text out of use; who agreed to it has agreed. Again changes nothing."""
    found = entry.get(ConsentText, wish.id)
    return found if found.retired_at else entry.change(found, retired_at=entry.at)


def reinstate_text(entry: Entry, wish: Target) -> ConsentText:
    """Ask for a text again."""
    return entry.change(entry.get(ConsentText, wish.id), retired_at=None)


def give_consent(entry: Entry, new: fields.NewConsent) -> Consent:
    """Agree to a text: oneself, signed in; or on a sheet, which a coordinator enters."""
    member, text = whose(entry, new.member), entry.get(ConsentText, new.text)
    entry.load(Group, [entry.group_id], lock=False)
    zone = ZoneInfo(entry.get(Group, entry.group_id).time_zone)
    _check_day(text, new.given_on, local_date(entry.at, zone))
    _check_signer(entry, member, text, new)
    values = columns(new) | {"member_id": member.id, "person_id": member.person_id, "time_zone": zone.key}
    return entry.create(Consent, id=new.id, **values, ends_on=last_day(text, new.given_on))


def withdraw_consent(entry: Entry, wish: Target) -> Consent:
    """Take a consent back: it does not count from this day on. Again changes nothing."""
    found = entry.get(Consent, wish.id)
    check_own(entry, found.member_id)
    if found.voided_at:
        raise ConsentVoided
    return found if found.withdrawn_at else entry.change(found, withdrawn_at=entry.at)


def void_consent(entry: Entry, wish: Target) -> Consent:
    """Call a consent a mistaken entry: it never counted. Again changes nothing."""
    found = entry.get(Consent, wish.id)
    return found if found.voided_at else entry.change(found, voided_at=entry.at)


def last_day(text: ConsentText, given_on: date) -> date | None:
    """Return the last day on which a consent of that day counts; None without an end."""
    if text.renewal == "calendar_year":
        return date(given_on.year, 12, 31)
    return add_months(given_on, text.renew_months) if text.renew_months else None


def _check_day(text: ConsentText, given_on: date, today: date) -> None:
    if text.retired_at:
        raise TextRetired
    if given_on > today:
        raise GivenInFuture
    if given_on < text.from_on:
        raise GivenTooEarly(from_on=text.from_on)


def _check_signer(entry: Entry, member: Member, text: ConsentText, new: fields.NewConsent) -> None:
    """Refuse who cannot have signed. Raises NotPermitted, GuardianMissing, GuardianSignsOnSheet."""
    is_own = member.id == entry.by.member_id
    if not is_own and new.how == "signed_in":
        raise NotPermitted("Only the person themselves can agree signed in. Name the sheet that they signed.")
    minor = is_minor(known_age(entry, member.id), new.given_on)
    by_guardian = text.what == ConsentKind.GUARDIAN or minor
    if by_guardian and not (new.given_by.strip() and new.relation.strip()):
        raise GuardianMissing
    if by_guardian and new.how == "signed_in":
        raise GuardianSignsOnSheet
    if new.how == "signed_sheet" and not entry.by.may("manage_members"):
        raise NotPermitted("A coordinator enters a sheet that was signed, and names it.")
