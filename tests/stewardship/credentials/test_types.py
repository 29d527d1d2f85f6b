"""Kinds of credentials, and what a credential has from its kind."""

from datetime import date

import pytest

from stewardship.credentials.models import Credential, CredentialType
from stewardship.credentials.services.credentials import (
    CategoryUnknown,
    EndsAndNeverEnds,
    LastDayDisagrees,
    LimitsMissing,
)
from stewardship.errors import NotPermitted, Unavailable, Unreadable
from stewardship.rules.validity import ExpiryMissing, ValidityRule, last_day
from stewardship.sync.reference import reference_rows
from tests.credentials import enters, kind
from tests.published import published

REFERENCE = {row["reference_key"]: row for row in reference_rows("credential_type")}
PUBLISHED = {
    "PA-plain": "pa-applicator", "PA-leap-day": "pa-applicator", "VA-after-june": "va-applicator",
    "VA-before-june": "va-applicator", "VA-leap-day": "va-applicator", "IL-spring": "il-volunteer-certificate",
    "IL-autumn": "il-volunteer-certificate", "MN-noncommercial": "mn-noncommercial",
    "MN-noncommercial-last-day": "mn-noncommercial", "MN-private": "mn-private", "MN-private-new-year": "mn-private",
}  # fmt: skip
"""Case of a published table -> the reference row that keeps its rule."""
TABLES = ("pennsylvania_recertification", "virginia_recertification", "illinois_250_22", "minnesota_18b")
CASES = [pytest.param(row, id=row["id"]) for table in TABLES for row in published(table)]


@pytest.mark.parametrize("case", CASES)
def test_the_kinds_that_come_with_the_service_end_as_the_published_rules_have_it(case):
    """Sources: those of the four tables, named in their first lines."""
    row = REFERENCE[PUBLISHED[case["id"]]]

    issued_on = date.fromisoformat(case["issued_on"])
    last_on = last_day(ValidityRule(**row["validity"]), issued_on=issued_on)

    assert last_on == date.fromisoformat(case["last_on"])
    graced_on = date.fromisoformat(case["grace_last_on"])
    assert row.get("grace_days", 0) == (graced_on - last_on).days


def test_a_kind_names_its_source_and_how_long_it_counts(coordinator):
    for lacking in ({"source": " "}, {"validity": {"kind": "rolling"}}, {"validity": {"kind": "fixed_day"}}):
        with pytest.raises(Unreadable):
            kind(coordinator, **lacking)


def test_only_a_coordinator_enters_a_kind(volunteer, reviewer):
    for someone in (volunteer, reviewer):
        with pytest.raises(NotPermitted):
            kind(someone)


def test_a_kind_needs_only_kinds_of_its_group(cast):
    foreign = kind(cast.stranger, covers="first_aid")

    with pytest.raises(Unavailable):
        kind(cast.coordinator, covers="saw", needs_types=[str(foreign)])


def test_what_a_kind_says_need_not_be_told(coordinator, volunteer):
    id = kind(coordinator, grace_days=60)

    held = enters(coordinator, volunteer, id)

    assert (held.covers, held.authority, held.grace_days) == ("herbicide_application", "County Board of Weeds", 60)
    assert held.expires_on == date(2028, 9, 1)


def test_what_is_printed_otherwise_is_kept(coordinator, volunteer):
    held = enters(coordinator, volunteer, kind(coordinator, grace_days=60), authority="The other county", grace_days=0)

    assert (held.authority, held.grace_days) == ("The other county", 0)


def test_the_same_last_day_told_twice_is_taken_and_another_is_refused(coordinator, volunteer):
    id = kind(coordinator)
    assert enters(coordinator, volunteer, id, expires_on="2028-09-01").expires_on == date(2028, 9, 1)

    with pytest.raises(LastDayDisagrees, match="counts up to 2028-09-01, not 2028-08-31"):
        enters(coordinator, volunteer, id, expires_on="2028-08-31")


def test_29_february_and_a_year_is_28_february(coordinator, volunteer):
    id = kind(coordinator, validity={"kind": "rolling", "years": 1})

    held = enters(coordinator, volunteer, id, issued_on="2028-02-29", received_on="2028-02-29")

    assert held.expires_on == date(2029, 2, 28)


def test_one_without_a_last_day_is_refused_unless_its_kind_says_none(coordinator, volunteer):
    with pytest.raises(ExpiryMissing):
        enters(coordinator, volunteer, kind(coordinator, validity={"kind": "stated"}))

    held = enters(coordinator, volunteer, kind(coordinator, validity={"kind": "none"}))

    assert (held.expires_on, held.never_expires) == (None, True)


@pytest.mark.parametrize(
    ("rule", "told"), [("none", {"expires_on": "2028-01-01"}), ("rolling", {"never_expires": True})]
)
def test_one_that_ends_otherwise_than_its_kind_is_refused(coordinator, volunteer, rule, told):
    with pytest.raises(EndsAndNeverEnds):
        enters(
            coordinator, volunteer, kind(coordinator, validity={"kind": rule, "years": 2 * (rule != "none")}), **told
        )


def test_a_pending_one_has_no_last_day_until_it_is_issued(coordinator, volunteer):
    held = enters(coordinator, volunteer, kind(coordinator), issued_on=None, received_on=None)
    assert held.expires_on is None

    told = {"issued_on": "2027-02-01", "received_on": "2027-02-08", "reason": "it came"}
    done = coordinator.does("credential", "amend", id=held.id, **told)

    assert done.record.expires_on == date(2029, 2, 1)


def test_another_day_of_issue_or_kind_gives_another_last_day(coordinator, volunteer):
    held = enters(coordinator, volunteer, kind(coordinator))
    moved = coordinator.does("credential", "amend", id=held.id, issued_on="2026-03-01", reason="misread").record
    assert moved.expires_on == date(2028, 3, 1)

    other = kind(coordinator, validity={"kind": "end_of_year"}, covers="saw")
    found = coordinator.does("credential", "amend", id=held.id, type=other, reason="the other form").record

    assert (found.covers, found.expires_on) == ("saw", date(2026, 12, 31))


def test_a_rule_that_changes_moves_no_last_day_that_was_entered(coordinator, volunteer):
    id = kind(coordinator)
    held = enters(coordinator, volunteer, id)
    coordinator.does("credential_type", "amend", id=id, validity={"kind": "none"}, categories=[{"code": "1A"}])

    found = coordinator.does("credential", "amend", id=held.id, number="W-209", reason="misread").record

    assert (found.number, found.expires_on) == ("W-209", date(2028, 9, 1))


def test_categories_products_and_lands_are_named_where_the_kind_wants_them(coordinator, volunteer):
    property_ = coordinator.does("property", "create", name="Heron Bend").record.id
    id = kind(coordinator, categories=[{"code": "1A"}, {"code": "1D"}], names_properties=True)
    for lacking in ({"categories": ["1A"]}, {"properties": [str(property_)]}):
        with pytest.raises(LimitsMissing):
            enters(coordinator, volunteer, id, **lacking)
    with pytest.raises(CategoryUnknown, match="2B"):
        enters(coordinator, volunteer, id, categories=["2B"], properties=[str(property_)])

    held = enters(coordinator, volunteer, id, categories=["1D"], properties=[str(property_)])

    assert Credential.objects.get(id=held.id).properties == [str(property_)]


def test_a_credential_names_only_lands_of_its_group(cast):
    foreign = cast.stranger.does("property", "create", name="Larkspur Ridge").record.id

    with pytest.raises(Unavailable):
        enters(cast.coordinator, cast.volunteer, kind(cast.coordinator), properties=[str(foreign)])


def test_a_suspension_that_ends_before_it_begins_is_refused(coordinator, volunteer):
    with pytest.raises(Unreadable, match="before it begins"):
        enters(
            coordinator, volunteer, kind(coordinator), suspensions=[{"first_on": "2027-05-02", "last_on": "2027-05-01"}]
        )


def test_a_credential_of_which_nobody_says_what_it_is_for_is_refused(coordinator, volunteer):
    with pytest.raises(Unreadable, match="what the credential covers"):
        coordinator.does("credential", "create", holder=volunteer.member.id, expires_on="2028-01-01")


def test_a_kind_out_of_use_stays_and_comes_back(coordinator):
    id = kind(coordinator)
    coordinator.does("credential_type", "retire", id=id)
    assert CredentialType.objects.get(id=id).retired_at

    coordinator.does("credential_type", "reinstate", id=id)

    assert CredentialType.objects.get(id=id).retired_at is None
