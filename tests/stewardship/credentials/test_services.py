"""Credentials are entered, corrected and voided by coordinators."""

from datetime import date

import pytest

from stewardship.credentials.models import Credential
from stewardship.credentials.services.credentials import EndsAndNeverEnds
from stewardship.errors import AlreadyVoided, NotPermitted, ReasonMissing, Unavailable, Unreadable
from stewardship.rules.validity import CredentialEndsBeforeItBegins, ExpiryMissing, IssueMissing
from tests.planning import LICENCE, licence


@pytest.fixture
def held(coordinator, volunteer):
    return licence(coordinator, volunteer, "2027-06-30")


def amends(coordinator, held, **values):
    return coordinator.does("credential", "amend", id=held, reason="typing error", **values)


def test_a_credential_is_entered_for_a_member_and_is_their_persons(coordinator, volunteer, held):
    found = Credential.objects.get(id=held)

    assert (found.holder_id, found.person_id) == (volunteer.member.id, volunteer.person.id)
    assert (found.number, found.expires_on) == ("QX-4471", date(2027, 6, 30))
    assert found.audience() == str(volunteer.person.id)


def test_one_that_never_expires_has_no_last_day(coordinator, volunteer):
    id = licence(coordinator, volunteer, None, never_expires=True)

    assert Credential.objects.get(id=id).expires_on is None


def test_one_without_a_last_day_is_refused_unless_it_never_expires(coordinator, volunteer):
    with pytest.raises(ExpiryMissing) as refused:
        licence(coordinator, volunteer, None)

    assert (refused.value.code, refused.value.where) == ("expiry_missing", "expires_on")
    assert not Credential.objects.exists()


def test_one_with_a_last_day_that_never_expires_is_refused(coordinator, volunteer):
    with pytest.raises(EndsAndNeverEnds):
        licence(coordinator, volunteer, "2027-06-30", never_expires=True)


def test_one_that_ends_before_its_issue_is_refused(coordinator, volunteer):
    with pytest.raises(CredentialEndsBeforeItBegins) as refused:
        licence(coordinator, volunteer, "2025-06-30")

    assert refused.value.where == "expires_on"


def test_one_that_ends_on_the_day_of_issue_is_taken(coordinator, volunteer):
    assert licence(coordinator, volunteer, LICENCE["issued_on"])


def test_one_in_hand_without_a_day_of_issue_is_refused(coordinator, volunteer):
    with pytest.raises(IssueMissing):
        licence(coordinator, volunteer, "2027-06-30", issued_on=None)


def test_a_pending_one_may_have_no_day_of_issue(coordinator, volunteer):
    assert licence(coordinator, volunteer, "2027-06-30", issued_on=None, received_on=None)


@pytest.mark.parametrize(
    "values",
    [{"covers": "juggling"}, {"grace_days": -1}, {"issued_on": "30 June"}, {"received_on": "9999-12-31"}, {"x": 1}],
)
def test_a_field_that_cannot_be_read_is_refused_with_its_place(coordinator, volunteer, values):
    with pytest.raises(Unreadable) as refused:
        licence(coordinator, volunteer, "2027-06-30", **values)

    assert [error["pointer"] for error in refused.value.facts["errors"]] == [f"/{name}" for name in values]


def test_a_holder_of_another_group_is_unavailable(coordinator, stranger):
    with pytest.raises(Unavailable):
        licence(coordinator, stranger, "2027-06-30")


def test_neither_volunteer_nor_reviewer_enters_a_credential(volunteer, reviewer):
    for someone in (volunteer, reviewer):
        with pytest.raises(NotPermitted):
            licence(someone, someone, "2027-06-30")


def test_a_correction_keeps_its_reason_and_checks_the_whole(coordinator, held):
    amends(coordinator, held, number="QX-4417")

    with pytest.raises(CredentialEndsBeforeItBegins):
        amends(coordinator, held, expires_on="2024-06-30")
    assert Credential.objects.get(id=held).number == "QX-4417"


@pytest.mark.parametrize(("op", "values"), [("amend", {"number": "1"}), ("void", {}), ("reinstate", {})])
def test_a_correction_without_a_reason_is_refused(coordinator, held, op, values):
    with pytest.raises(ReasonMissing):
        coordinator.does("credential", op, id=held, **values)


def test_a_voided_credential_is_not_amended_until_it_is_reinstated(coordinator, held):
    coordinator.does("credential", "void", id=held, reason="somebody else's card")
    with pytest.raises(AlreadyVoided):
        amends(coordinator, held, number="1")

    coordinator.does("credential", "reinstate", id=held, reason="it was theirs")

    assert amends(coordinator, held, number="1").record.number == "1"


def test_voiding_again_changes_nothing(coordinator, held):
    coordinator.does("credential", "void", id=held, reason="somebody else's card")

    assert coordinator.does("credential", "void", id=held, reason="again").result["outcome"] == "noop"
