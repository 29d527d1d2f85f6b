from datetime import date, timedelta

import pytest

from stewardship.rules.dates import DateOutOfRange, NoSuchDay
from stewardship.rules.validity import (
    CredentialDates,
    CredentialEndsBeforeItBegins,
    ExpiryMissing,
    GraceNegative,
    IssueMissing,
    Suspension,
    SuspensionEndsBeforeItBegins,
    ValidityRule,
    ValidityUnclear,
    counts_on,
    last_day,
    status_on,
)
from tests.published import published

A_DAY = timedelta(days=1)
TABLES = ["virginia_recertification", "minnesota_18b", "illinois_250_22", "pennsylvania_recertification"]
ROWS = [row for table in TABLES for row in published(table)]


def rule_of(row):
    return ValidityRule(
        kind=row["kind"],
        years=int(row["years"]),
        months=int(row["months"]),
        month=int(row["month"]) if row["month"] else None,
        day=int(row["day"]) if row["day"] else None,
    )


def dates_of(row):
    issued_on = date.fromisoformat(row["issued_on"])
    return CredentialDates(
        issued_on=issued_on,
        received_on=date.fromisoformat(row.get("received_on") or row["issued_on"]),
        last_on=last_day(rule_of(row), issued_on=issued_on),
        grace_days=int(row["grace_days"]),
    )


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_the_last_day_is_the_one_that_the_authority_states(row):
    dates = dates_of(row)

    assert dates.last_on == date.fromisoformat(row["last_on"])
    assert dates.grace_last_on == date.fromisoformat(row["grace_last_on"])


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_the_last_day_counts_and_the_next_does_not(row):
    dates = dates_of(row)
    after = status_on(dates, dates.last_on + A_DAY)

    assert status_on(dates, dates.last_on) == "valid"
    assert after == ("grace" if dates.grace_days else "expired")
    assert status_on(dates, dates.grace_last_on + A_DAY) == "expired"
    assert not counts_on(dates, dates.last_on + A_DAY)


@pytest.mark.parametrize(
    ("on", "expected"),
    [("2024-06-30", "valid"), ("2024-07-01", "grace"), ("2024-08-29", "grace"), ("2024-08-30", "expired")],
)
def test_virginia_grants_sixty_days_of_grace_that_do_not_count_for_applying(on, expected):
    dates = dates_of(published("virginia_recertification")[0])

    assert status_on(dates, date.fromisoformat(on)) == expected
    assert counts_on(dates, date.fromisoformat(on)) == (expected == "valid")


@pytest.mark.parametrize("row", published("illinois_250_22"), ids=str)
def test_illinois_counts_nothing_before_the_certificate_has_arrived(row):
    dates = dates_of(row)

    assert status_on(dates, dates.issued_on) == "pending"
    assert status_on(dates, dates.received_on - A_DAY) == "pending"
    assert status_on(dates, dates.received_on) == "valid"


@pytest.mark.parametrize(
    ("issued_on", "received_on"), [(None, None), (date(2025, 3, 1), None), (None, date(2025, 3, 1))]
)
def test_a_credential_not_issued_or_not_in_hand_is_pending_on_every_date(issued_on, received_on):
    dates = CredentialDates(issued_on=issued_on, received_on=received_on, last_on=date(2025, 12, 31))

    assert {status_on(dates, on) for on in (date(2024, 1, 1), date(2025, 6, 1), date(2027, 1, 1))} == {"pending"}


def test_a_credential_in_hand_before_its_issue_is_pending_until_its_issue():
    dates = CredentialDates(issued_on=date(2025, 3, 1), received_on=date(2025, 2, 1), last_on=None)

    assert [status_on(dates, date(2025, 2, 28)), status_on(dates, date(2025, 3, 1))] == ["pending", "valid"]


def test_a_credential_without_end_is_valid_for_ever():
    dates = CredentialDates(
        issued_on=date(2001, 5, 4),
        received_on=date(2001, 5, 4),
        last_on=last_day(ValidityRule(kind="none"), issued_on=None),
    )

    assert dates.last_on is None
    assert dates.grace_last_on is None
    assert status_on(dates, date(9999, 12, 31)) == "valid"


def test_the_date_printed_on_a_credential_is_its_last_day():
    stated = date(2026, 4, 30)

    assert last_day(ValidityRule(kind="stated"), issued_on=None, stated_last_on=stated) == stated
    assert last_day(ValidityRule(kind="stated"), issued_on=stated, stated_last_on=stated) == stated


def test_training_counts_up_to_twelve_months_and_not_a_day_longer():
    """302 KAR 26:070, Kentucky; Washington State DoA: trained within the last 12 months before use."""
    trained_on = date(2025, 4, 30)
    last_on = last_day(ValidityRule(kind="rolling", months=12), issued_on=trained_on)
    dates = CredentialDates(issued_on=trained_on, received_on=trained_on, last_on=last_on)

    assert [counts_on(dates, date(2026, 4, 30)), counts_on(dates, date(2026, 5, 1))] == [True, False]


@pytest.mark.parametrize(
    ("issued_on", "expected"),
    [
        (date(2025, 6, 29), date(2025, 6, 30)),
        (date(2025, 6, 30), date(2025, 6, 30)),
        (date(2025, 7, 1), date(2026, 6, 30)),
    ],
)
def test_a_fixed_day_with_no_years_is_the_next_such_day(issued_on, expected):
    assert last_day(ValidityRule(kind="fixed_day", month=6, day=30), issued_on=issued_on) == expected


def test_a_fixed_29_february_is_28_february_in_a_common_year():
    rule = ValidityRule(kind="fixed_day", years=1, month=2, day=29)

    assert last_day(rule, issued_on=date(2024, 2, 29)) == date(2025, 2, 28)
    assert last_day(rule, issued_on=date(2027, 1, 1)) == date(2028, 2, 29)


def test_29_february_and_one_year_make_28_february():
    assert last_day(ValidityRule(kind="rolling", years=1), issued_on=date(2024, 2, 29)) == date(2025, 2, 28)
    assert last_day(ValidityRule(kind="rolling", years=4), issued_on=date(2024, 2, 29)) == date(2028, 2, 29)


@pytest.mark.parametrize(
    ("on", "expected"),
    [
        ("2025-05-31", "valid"),
        ("2025-06-01", "suspended"),
        ("2025-06-10", "suspended"),
        ("2025-06-11", "valid"),
        ("2025-12-30", "suspended"),
        ("2026-01-15", "suspended"),
        ("2026-01-31", "expired"),
    ],
)
def test_a_suspension_holds_from_its_first_to_its_last_day_and_ends_with_the_credential(on, expected):
    dates = CredentialDates(
        issued_on=date(2025, 1, 1),
        received_on=date(2025, 1, 1),
        last_on=date(2025, 12, 31),
        grace_days=30,
        suspensions=(Suspension(date(2025, 6, 1), date(2025, 6, 10)), Suspension(date(2025, 12, 30))),
    )

    assert status_on(dates, date.fromisoformat(on)) == expected
    assert counts_on(dates, date.fromisoformat(on)) == (expected == "valid")


@pytest.mark.parametrize(
    ("wish", "where"),
    [
        ({"kind": "rolling"}, "years"),
        ({"kind": "rolling", "years": -1, "months": 14}, "years"),
        ({"kind": "end_of_year", "months": -1}, "years"),
        ({"kind": "fixed_day", "years": 1, "month": 6}, "day"),
        ({"kind": "fixed_day", "years": 1, "day": 30}, "day"),
        ({"kind": "for_ever"}, "kind"),
    ],
)
def test_a_rule_from_which_no_last_day_follows_is_refused(wish, where):
    with pytest.raises(ValidityUnclear, match="does not say how long") as refusal:
        ValidityRule(**wish)

    assert (refusal.value.code, refusal.value.where) == ("validity_unclear", where)


def test_a_fixed_day_that_no_year_has_is_refused():
    with pytest.raises(NoSuchDay):
        ValidityRule(kind="fixed_day", years=1, month=2, day=30)


def test_a_type_that_states_its_expiry_wants_it():
    with pytest.raises(ExpiryMissing) as refusal:
        last_day(ValidityRule(kind="stated"), issued_on=date(2025, 1, 1))

    assert (refusal.value.code, refusal.value.where) == ("expiry_missing", "stated_last_on")


@pytest.mark.parametrize(
    "rule",
    [
        ValidityRule(kind="rolling", years=1),
        ValidityRule(kind="end_of_year"),
        ValidityRule(kind="fixed_day", month=6, day=30),
    ],
)
def test_a_type_reckoned_from_its_issue_wants_the_day_of_issue(rule):
    with pytest.raises(IssueMissing) as refusal:
        last_day(rule, issued_on=None)

    assert (refusal.value.code, refusal.value.where) == ("issue_missing", "issued_on")


def test_a_credential_that_ends_before_its_issue_is_refused():
    issued_on, last_on = date(2025, 1, 2), date(2025, 1, 1)

    with pytest.raises(CredentialEndsBeforeItBegins, match="ends on 2025-01-01, before it was issued on 2025-01-02"):
        last_day(ValidityRule(kind="stated"), issued_on=issued_on, stated_last_on=last_on)
    with pytest.raises(CredentialEndsBeforeItBegins):
        CredentialDates(issued_on=issued_on, received_on=issued_on, last_on=last_on)


def test_a_suspension_that_ends_before_it_begins_is_refused():
    with pytest.raises(SuspensionEndsBeforeItBegins):
        Suspension(date(2025, 6, 2), date(2025, 6, 1))


def test_a_negative_grace_is_refused():
    with pytest.raises(GraceNegative, match="-1 days"):
        CredentialDates(issued_on=None, received_on=None, last_on=None, grace_days=-1)


@pytest.mark.parametrize(
    "rule", [ValidityRule(kind="rolling", years=8000), ValidityRule(kind="end_of_year", years=8000)]
)
def test_a_last_day_beyond_the_calendar_is_refused(rule):
    with pytest.raises(DateOutOfRange):
        last_day(rule, issued_on=date(2025, 1, 1))


def test_a_grace_beyond_the_calendar_is_refused_when_its_last_day_is_asked_for():
    dates = CredentialDates(issued_on=None, received_on=None, last_on=date(9999, 12, 31), grace_days=1)

    with pytest.raises(DateOutOfRange):
        _ = dates.grace_last_on
