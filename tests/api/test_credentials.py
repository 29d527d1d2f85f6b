"""Credentials through REST: whose they are, and who is covered on a date."""

import pytest

from tests.api.asking import get, post
from tests.credentials import enters, kind
from tests.planning import LICENCE, licence


@pytest.fixture
def held(cast):
    return [licence(cast.coordinator, someone, "2027-06-30") for someone in (cast.volunteer, cast.other_volunteer)]


def test_a_coordinator_enters_a_credential_and_a_volunteer_may_not(coordinator, volunteer):
    body = LICENCE | {"holder": str(volunteer.member.id), "expires_on": "2027-06-30"}

    assert post(coordinator, "credentials", body).status_code == 201
    assert post(volunteer, "credentials", body).status_code == 403


@pytest.mark.parametrize(
    ("values", "status", "code"),
    [
        ({"expires_on": "2025-01-01"}, 400, "credential_ends_before_it_begins"),
        ({"expires_on": None}, 400, "expiry_missing"),
        ({"never_expires": True}, 409, "ends_and_never_ends"),
    ],
)
def test_dates_that_cannot_be_are_refused_with_their_code(coordinator, volunteer, values, status, code):
    body = LICENCE | {"holder": str(volunteer.member.id), "expires_on": "2027-06-30"} | values

    refused = post(coordinator, "credentials", body)

    assert (refused.status_code, refused.json()["code"]) == (status, code)


def test_a_volunteer_reads_their_own_credentials_alone(cast, held):
    own, others = held

    assert [c["id"] for c in get(cast.volunteer, "credentials").json()["results"]] == [str(own)]
    assert get(cast.volunteer, f"credentials/{own}").status_code == 200
    assert get(cast.volunteer, f"credentials/{own}/history").status_code == 200
    for path in (f"credentials/{others}", f"credentials/{others}/history"):
        assert get(cast.volunteer, path).status_code == 404
    assert get(cast.reviewer, "credentials").json()["results"] == []
    assert len(get(cast.coordinator, "credentials").json()["results"]) == 2


def test_a_list_of_credentials_is_filtered(coordinator, volunteer, held):
    post(coordinator, f"credentials/{held[0]}/void", {"reason": "somebody else's card"})

    def found(**filters):
        return [c["id"] for c in get(coordinator, "credentials", **filters).json()["results"]]

    assert found(holder=volunteer.member.id) == found(voided="true") == [str(held[0])]
    assert found(voided="false") == [str(held[1])]
    assert found(covers="saw") == found(expires_before="2027-06-30") == []
    assert len(found(expires_before="2027-07-01")) == 2


def test_coverage_tells_coordinators_who_is_covered_on_a_date(coordinator, volunteer, held):
    def herbicide(on):
        answer = get(coordinator, "credentials/coverage", on=on).json()
        [member] = [m for m in answer["results"] if m["member"] == str(volunteer.member.id)]
        assert answer["on"] == on
        return next(s for s in member["standings"] if s["covers"] == "herbicide_application")

    told = {"covers": "herbicide_application", "credential": str(held[0]), "expires_on": "2027-06-30", "lacks": []}
    assert herbicide("2027-06-30") == told | {"status": "valid", "counts": True}
    assert herbicide("2027-07-01") == told | {"status": "expired", "counts": False}


def test_nobody_else_reads_the_coverage(volunteer, reviewer, stranger, coordinator):
    for someone in (volunteer, reviewer):
        assert get(someone, "credentials/coverage", on="2027-07-01").status_code == 403
    path = f"/api/v1/groups/{coordinator.group_id}/credentials/coverage"
    assert stranger.client().get(path, {"on": "2027-07-01"}).status_code == 404


@pytest.mark.parametrize(
    "query", [{}, {"on": ""}, {"on": "2027-02-30"}, {"on": "soon"}, {"on": "2027-07-01", "x": "1"}]
)
def test_a_coverage_without_a_date_is_refused(coordinator, query):
    assert get(coordinator, "credentials/coverage", **query).status_code == 400


def test_coverage_says_why_a_card_counts_for_nothing_alone(cast):
    saw = kind(cast.coordinator, name="Saw card", covers="saw", needs=["first_aid"])
    enters(cast.coordinator, cast.volunteer, saw)

    members = get(cast.coordinator, "credentials/coverage", on="2027-06-30").json()["results"]

    standings = next(each["standings"] for each in members if each["member"] == str(cast.volunteer.member.id))
    (told,) = [each for each in standings if each["covers"] == "saw"]
    assert (told["status"], told["counts"]) == ("valid", False)
    assert [lack["code"] for lack in told["lacks"]] == ["credential_needs_lapsed"]
