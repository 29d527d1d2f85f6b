"""Permissions and permits are entered, corrected, withdrawn; neighbours are told, every attempt recorded."""

from datetime import date

import pytest

from stewardship.errors import NotPermitted, ReasonMissing, Unreadable
from stewardship.places.models import LandPermission, NeighbourNotice, Permit
from tests.stewardship.places.papers import notice, permission, permit, tells

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def land(coordinator):
    return coordinator.does("property", "create", name="Heron Bend").record.id


def on(text):
    return date.fromisoformat(text)


@pytest.mark.parametrize(
    ("day", "holds"),
    [("2027-01-09", False), ("2027-01-10", True), ("2027-12-31", True), ("2028-01-01", False)],
)
def test_a_permission_holds_from_its_first_day_to_its_last(coordinator, land, day, holds):
    given = LandPermission.objects.get(id=permission(coordinator, land, valid_to="2027-12-31"))

    assert given.holds_on(on(day)) is holds


@pytest.mark.parametrize(("day", "holds"), [("2027-06-30", True), ("2027-07-01", False)])
def test_a_withdrawn_one_holds_until_the_day_before(coordinator, land, day, holds):
    id = permission(coordinator, land)
    coordinator.does("land_permission", "withdraw", id=id, withdrawn_on="2027-07-01", reason="the land was sold")

    given = LandPermission.objects.get(id=id)

    assert given.holds_on(on(day)) is holds
    assert (given.last_on(), given.withdrawn_why) == (on("2027-06-30"), "the land was sold")


def test_without_an_end_it_holds_until_it_is_withdrawn_and_a_mistaken_withdrawal_is_taken_back(coordinator, land):
    id = permission(coordinator, land)
    assert LandPermission.objects.get(id=id).last_on() is None
    with pytest.raises(ReasonMissing):
        coordinator.does("land_permission", "withdraw", id=id, withdrawn_on="2027-07-01")
    coordinator.does("land_permission", "withdraw", id=id, withdrawn_on="2027-07-01", reason="misread")

    coordinator.does("land_permission", "reinstate", id=id, reason="it was another farm's")

    assert LandPermission.objects.get(id=id).holds_on(on("2030-07-01"))


def test_it_says_what_it_leaves_out_and_which_notice_is_wanted(coordinator, land):
    wanted = {"hours_before": 48, "how": "by telephone", "to": "the farm's office"}
    id = permission(
        coordinator, land, excluded_actives=["picloram"], excluded_methods=["foliar"], notice=wanted, copy_wanted=True
    )

    given = LandPermission.objects.get(id=id)

    assert (given.excluded_actives, given.excluded_methods) == (["picloram"], ["foliar"])
    assert given.notice == wanted


def test_a_copy_that_was_given_is_noted_once(coordinator, land):
    id = permission(coordinator, land, copy_wanted=True)
    copy = {"what": "the record of 1 May", "on": "2027-05-03", "how": "by mail"}

    for _ in range(2):
        coordinator.does("land_permission", "give_copy", id=id, **copy)

    given = LandPermission.objects.get(id=id)
    assert (given.copies, given.rev) == ([copy], 2)


def test_a_method_without_herbicide_is_nothing_to_leave_out(coordinator, land):
    with pytest.raises(Unreadable) as refused:
        permission(coordinator, land, excluded_methods=["pulling"])

    assert [each["pointer"] for each in refused.value.facts["errors"]] == ["/excluded_methods/0"]


def test_a_permit_is_for_units_of_its_property_each_once(coordinator, land):
    unit = str(coordinator.does("unit", "create", property=land, name="North").record.id)

    assert Permit.objects.get(id=permit(coordinator, land, units=[unit, unit])).units == [unit]


def test_a_permit_without_a_property_is_for_all_of_them(coordinator):
    assert Permit.objects.get(id=permit(coordinator, None)).property_id is None


def test_every_attempt_to_tell_somebody_is_kept_and_the_last_time_that_they_were_told(coordinator, land):
    id = notice(coordinator, land, distance={"value": "300", "unit": "ft"}, registered=True)
    for at, told in (("2027-04-30T18:00:00Z", False), ("2027-05-01T09:00:00Z", True), ("2027-05-01T08:00:00Z", True)):
        tells(coordinator, id, at, told=told)
    tells(coordinator, id, "2027-05-01T08:00:00Z")

    found = NeighbourNotice.objects.get(id=id)

    assert [each["told"] for each in found.attempts] == [False, True, True]
    assert found.attempts[0]["by"] == str(coordinator.member.id)
    assert found.told_at.isoformat() == "2027-05-01T09:00:00+00:00"
    assert found.distance_nm == 300 * 304_800_000  # NIST Handbook 44, Appendix C: a foot is 0.3048 m


def test_neighbours_are_nobodys_business_but_the_coordinators(cast, land):
    id = notice(cast.coordinator, land)

    for someone in (cast.volunteer, cast.reviewer):
        assert not someone.actor.sees(NeighbourNotice.objects.get(id=id))
        assert not NeighbourNotice.objects.filter(NeighbourNotice.visible_to(someone.actor)).exists()


def test_volunteers_and_reviewers_enter_no_papers(cast, land):
    for someone in (cast.volunteer, cast.reviewer):
        for enter in (permission, permit, notice):
            with pytest.raises(NotPermitted):
                enter(someone, land)
