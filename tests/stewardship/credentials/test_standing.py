"""Which of somebody's credentials counts on a date, and what is flagged about it."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from stewardship.credentials.models import Credential
from stewardship.credentials.needs import Need
from stewardship.credentials.standing import marks_for, standing

ON = date(2027, 7, 1)
HERBICIDE = Need("herbicide_application")


def credential(number="A", covers="herbicide_application", **dates):
    told = {"issued_on": date(2025, 1, 1), "received_on": date(2025, 1, 1), "expires_on": date(2027, 12, 31)} | dates
    return Credential(id=UUID(int=ord(number)), covers=covers, number=number, authority="State", **told)


VALID = credential("V")
GRACE = credential("G", expires_on=date(2027, 6, 30), grace_days=60)
PENDING = credential("P", received_on=None)
EXPIRED = credential("E", expires_on=date(2027, 6, 30))


@pytest.mark.parametrize(
    ("held", "status", "number"),
    [
        ([EXPIRED, PENDING, GRACE, VALID], "valid", "V"),
        ([EXPIRED, PENDING, GRACE], "grace", "G"),
        ([EXPIRED, PENDING], "pending", "P"),
        ([EXPIRED], "expired", "E"),
    ],
)
def test_valid_beats_grace_beats_pending_beats_expired(held, status, number):
    found = standing(held, HERBICIDE, ON, {})

    assert (found.status, found.credential.number) == (status, number)
    assert found.counts == (status == "valid")


def test_who_holds_nothing_of_the_kind_has_nothing():
    found = standing([credential(covers="saw")], HERBICIDE, ON, {})

    assert (found.status, found.credential, found.counts) == ("missing", None, False)


def test_a_voided_credential_counts_for_nothing():
    assert standing([credential(voided_at=datetime(2027, 1, 1, tzinfo=UTC))], HERBICIDE, ON, {}).status == "missing"


def test_of_two_alike_the_one_that_ends_last_is_told():
    sooner, later = credential("S", expires_on=date(2026, 6, 30)), credential("L", expires_on=date(2027, 6, 30))
    never = credential("N", expires_on=None, never_expires=True)

    assert standing([later, sooner], HERBICIDE, ON, {}).credential is later
    assert standing([VALID, never], HERBICIDE, ON, {}).credential is never


@pytest.mark.parametrize(("on", "status"), [(date(2027, 6, 30), "valid"), (date(2027, 7, 1), "expired")])
def test_the_last_day_counts_and_the_next_does_not(on, status):
    assert standing([EXPIRED], HERBICIDE, on, {}).status == status


@pytest.mark.parametrize(
    ("on", "status"),
    [
        (date(2027, 6, 30), "valid"),
        (date(2027, 7, 1), "grace"),
        (date(2027, 8, 29), "grace"),
        (date(2027, 8, 30), "expired"),
    ],
)
def test_virginia_lets_a_licence_of_30_june_be_renewed_until_29_august_without_applying(on, status):
    """Virginia: expires 30 June, 60 days of grace without applying, after 29 August a new examination.

    Source: Virginia recertification summary of a training provider; common practice there.
    """
    assert standing([GRACE], HERBICIDE, on, {}).status == status


@pytest.mark.parametrize(
    ("held", "code", "words"),
    [
        ([], "credential_missing", "No herbicide credential is on record for 1 July 2027."),
        (
            [EXPIRED],
            "credential_expired",
            "The herbicide credential E ended on 30 June 2027. It did not count on 1 July 2027.",
        ),
        (
            [GRACE],
            "credential_in_grace",
            "The herbicide credential G ended on 30 June 2027. It could still be renewed on 1 July 2027,"
            " but it did not count.",
        ),
        (
            [PENDING],
            "credential_pending",
            "The herbicide credential P was not issued and in hand on 1 July 2027. It counts from the day when it is.",
        ),
    ],
)
def test_what_did_not_count_is_flagged_in_a_sentence(held, code, words):
    marks = marks_for(standing(held, HERBICIDE, ON, {}), "mixed_by", ON)

    source = "State" if held else ""
    assert marks == [{"code": code, "detail": words, "field": "mixed_by", "source": source}]


def test_what_counted_is_not_flagged():
    assert marks_for(standing([VALID], HERBICIDE, ON, {}), "mixed_by", ON) == []


def test_a_mark_of_a_credential_without_a_number_says_so():
    [mark] = marks_for(standing([credential("E", expires_on=date(2026, 1, 1))], HERBICIDE, ON, {}), "m", ON)
    nameless = credential("E", expires_on=date(2026, 1, 1))
    nameless.number = ""

    [other] = marks_for(standing([nameless], HERBICIDE, ON, {}), "m", ON)

    assert mark["detail"].replace("credential E", "credential without a number") == other["detail"]
