"""Suspended, restored, leaving: who may still do what, and that a group is never without a coordinator."""

import pytest

from stewardship.accounts.queries import memberships
from tests.cast import sent
from tests.database import everything


@pytest.fixture
def suspended(cast):
    cast.coordinator.does("member", "suspend", id=cast.volunteer.member.id, reason="shared her sign-in")
    return cast.volunteer.read_again()


def test_who_is_suspended_acts_like_who_left_and_their_pushes_are_held(suspended):
    (result,) = suspended.pushes(sent("member", "leave", id=suspended.member.id)).results

    assert (result["outcome"], result["code"]) == ("held", "not_permitted")
    assert suspended.actor.capabilities() == []
    assert list(memberships(suspended.person.id)) == []


def test_who_is_suspended_reads_nothing_of_the_group_and_is_told_why(suspended):
    response = suspended.client().get(f"/api/v1/groups/{suspended.group_id}/members")

    assert response.status_code == 403
    assert "suspended" in response.json()["detail"]


def test_who_is_restored_acts_again(cast, suspended):
    cast.coordinator.does("member", "restore", id=suspended.member.id)

    assert suspended.client().get(f"/api/v1/groups/{suspended.group_id}/members").status_code == 200


def test_suspending_again_changes_nothing(cast, suspended):
    again = cast.coordinator.does("member", "suspend", id=suspended.member.id, reason="again")

    assert again.result["outcome"] == "noop"


def test_why_somebody_was_suspended_is_for_coordinators_to_read(cast, suspended):
    address = f"/api/v1/groups/{suspended.group_id}/members/{suspended.member.id}/history"

    told = [who.client().get(address).json()["results"][-1] for who in (cast.coordinator, cast.other_volunteer)]

    assert [each["op"] for each in told] == ["suspend", "suspend"]
    assert [each["reason"] for each in told] == ["shared her sign-in", ""]


def test_anybody_leaves_by_themselves_and_what_they_recorded_stays(cast):
    for who in (cast.volunteer, cast.reviewer):
        who.does("member", "leave", id=who.member.id)

        assert who.read_again().actor.is_former
        assert who.member.rev == 2


def test_a_coordinator_leaves_once_there_is_another(cast):
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="coordinator")

    cast.coordinator.does("member", "leave", id=cast.coordinator.member.id)

    assert cast.coordinator.read_again().member.ended_at


def test_what_one_push_does_to_two_coordinators_leaves_one(cast):
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="coordinator")
    both = [cast.volunteer.member.id, cast.coordinator.member.id]

    told = cast.coordinator.pushes(*(sent("member", "amend", {"role": "volunteer"}, id=id) for id in both)).results

    assert [(each["outcome"], each.get("code")) for each in told] == [("applied", None), ("held", "last_coordinator")]


def test_deleting_the_sole_coordinator_is_refused_by_every_way(cast):
    own = cast.coordinator
    address = f"/api/v1/groups/{own.group_id}/members/{own.member.id}"
    own.client().get(address)  # from here on the device was seen lately
    before = everything()

    answers = [
        own.client().delete(address),
        own.client().post(f"{address}/end", "{}", "application/json"),
        own.client().post(f"{address}/leave", "{}", "application/json"),
        own.client().post(f"{address}/suspend", '{"reason": "x"}', "application/json"),
        own.client().patch(address, '{"role": "volunteer"}', "application/json", headers={"If-Match": '"1"'}),
    ]

    assert [answer.status_code for answer in answers] == [405, 409, 409, 409, 409]
    assert {answer.json()["code"] for answer in answers[1:]} == {"last_coordinator"}
    assert everything() == before
