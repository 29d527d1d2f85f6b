"""Who is old enough on a date, and whose consent is on record: reasons against a plan, marks on a fact."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

from stewardship.accounts.models import Consent, ConsentKind, ConsentText, PersonalDetails
from stewardship.journal.book import Entry
from stewardship.rules.ages import KnownAge, is_minor, old_enough
from stewardship.rules.dates import said

Found = tuple[str, str]
"""A code and a sentence: of a reason where a plan is refused, of a mark where a fact is recorded."""


def known_age(entry: Entry, member_id: UUID) -> KnownAge:
    """Return what is known of a member's age."""
    found = entry.list_of(PersonalDetails, "member_id", member_id)
    return found[0].known_age() if found else KnownAge()


def check_age(known: KnownAge, minimum_age: int | None, on: date, work: str) -> Iterator[Found]:
    """Tell whether somebody is too young for a piece of work on a local date, or whether nobody knows."""
    if minimum_age is None:
        return
    position = old_enough(known, minimum_age, on)
    if position == "no":
        yield "too_young_for_duty", f"Work as {work} takes an age of {minimum_age}, which is not reached on {said(on)}."
    elif position == "unknown":
        yield (
            "age_not_on_record",
            f"Work as {work} takes an age of {minimum_age}, and the age on {said(on)} is not on record. "
            "Enter under My account that the person is 18 or over, or the date of birth.",
        )


def check_guardian(entry: Entry, member_id: UUID, on: date, *, counted_as_youth: bool = False) -> Iterator[Found]:
    """Tell whether somebody who is under 18 on a local date lacks the consent of a guardian.

    ``counted_as_youth``: whoever checked them in took them for one, whatever is on record.
    """
    if not (is_minor(known_age(entry, member_id), on) or counted_as_youth):
        return
    if not _agreed(entry, member_id, ConsentKind.GUARDIAN, on):
        yield "guardian_consent_missing", f"No consent of a guardian is on record that counts on {said(on)}."


def check_waiver(entry: Entry, member_id: UUID, on: date) -> Iterator[Found]:
    """Tell which waiver that is asked of a member they have not agreed to for a local date."""
    in_use = [text for text in entry.all_of(ConsentText) if text.what == ConsentKind.WAIVER and text.is_in_use(on)]
    if not in_use:
        yield "waiver_missing", "The group asks for a waiver, and no text of one is entered."
    minor = is_minor(known_age(entry, member_id), on)
    given = {each.text_id for each in _consents(entry, member_id, on)}
    for text in in_use:
        if text.id not in given and (minor or not text.only_under_18):
            yield (
                "waiver_missing",
                f"No signature under \u201c{text.title}\u201d is on record that counts on {said(on)}.",
            )


def _agreed(entry: Entry, member_id: UUID, what: str, on: date) -> bool:
    texts = {text.id for text in entry.all_of(ConsentText) if text.what == what}
    return any(each.text_id in texts for each in _consents(entry, member_id, on))


def _consents(entry: Entry, member_id: UUID, on: date) -> list[Consent]:
    return [each for each in entry.list_of(Consent, "member_id", member_id) if each.counts_on(on)]
