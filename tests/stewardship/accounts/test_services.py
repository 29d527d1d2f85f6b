"""A group is founded; members come, change, leave and come back."""

import pytest
from django.db import IntegrityError, transaction

from stewardship.accounts.models import Group, Member, Person
from stewardship.accounts.services.groups import AlreadyMember, LastCoordinator, found_group
from stewardship.errors import NotPermitted, Unavailable, Unreadable
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from tests.cast import AT

pytestmark = pytest.mark.django_db


def joins(coordinator, **changes):
    told = {"display_name": "Nell Ash", "role": "volunteer", "email": "nell@tamarack.example"}
    return coordinator.does("member", "create", **(told | changes)).record


# -- founding --------------------------------------------------------------------------------------


def test_a_group_begins_with_its_book_itself_and_its_first_coordinator():
    founder = Person.objects.create_user(email="Founder@Sedge.example")

    group = found_group(founder=founder, display_name="Ada Fen", name="Sedge", time_zone="America/Boise", at=AT)

    assert (group.id, group.rev, group.entered_by_id, group.entered_at) == (group.group_id, 1, founder.id, AT)
    told = Revision.objects.filter(group_id=group.id).order_by("seq").values_list("seq", "kind", "op")
    assert list(told) == [(1, "group", "found_group"), (2, "member", "found_group")]
    assert Book.objects.get(group_id=group.id).head == 2
    member = Member.objects.get(group_id=group.id)
    assert (member.person_id, member.role, member.display_name) == (founder.id, "coordinator", "Ada Fen")


def test_a_person_may_found_a_second_group(coordinator):
    group = found_group(founder=coordinator.person, display_name="M", name="Second", time_zone="UTC", at=AT)

    assert coordinator.person.memberships.count() == 2
    assert Book.objects.filter(group_id=group.id).exists()


def test_a_group_founded_under_a_used_id_is_refused_whole(coordinator):
    used = {"name": "Again", "time_zone": "UTC", "at": AT, "group_id": coordinator.group_id}

    with pytest.raises(IntegrityError):
        found_group(founder=coordinator.person, display_name="M", **used)

    assert not Group.objects.filter(name="Again").exists()


# -- persons ---------------------------------------------------------------------------------------


def test_an_address_is_kept_and_found_in_lower_case():
    person = Person.objects.create_user(email=" Nell@Tamarack.EXAMPLE ", password="correct horse battery")

    assert person.email == "nell@tamarack.example"
    assert Person.objects.get_by_natural_key("NELL@tamarack.example") == person
    assert person.check_password("correct horse battery")
    assert person.password.startswith("argon2")


def test_the_database_takes_no_address_in_capitals():
    with pytest.raises(IntegrityError, match="an_email_is_in_lower_case"), transaction.atomic():
        Person.objects.create(email="Nell@tamarack.example")


def test_without_an_address_or_a_password_nobody_signs_in():
    person = Person.objects.create_user()

    assert person.email is None
    assert not person.has_usable_password()


# -- joining ---------------------------------------------------------------------------------------


def test_somebody_new_gets_a_person_without_a_password(coordinator):
    member = joins(coordinator, email="Nell@Tamarack.example")

    assert member.person.email == "nell@tamarack.example"
    assert not member.person.has_usable_password()
    assert member.entered_by_id == coordinator.person.id


def test_who_has_no_address_works_along(coordinator):
    first, second = (joins(coordinator, display_name="Drop-in", email=None) for _ in range(2))

    assert first.person_id != second.person_id
    assert first.person.email is None


def test_the_same_address_is_the_same_person_in_every_group(coordinator, stranger):
    here, there = joins(coordinator), joins(stranger)

    assert here.person_id == there.person_id
    assert here.group_id != there.group_id


@pytest.mark.parametrize("email", ["tobias@tamarack.example", "TOBIAS@TAMARACK.EXAMPLE", "josie@tamarack.example"])
def test_who_is_or_was_a_member_does_not_join_again(cast, email):
    with pytest.raises(AlreadyMember) as refused:
        joins(cast.coordinator, email=email)

    assert (refused.value.code, refused.value.where) == ("already_member", "email")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("role", "owner"), ("role", None), ("display_name", ""), ("display_name", "  "), ("display_name", "x" * 201),
        ("email", "nell"), ("email", "a b@c.example"), ("email", ""), ("email", "x" * 250 + "@a.example"),
        ("ended_at", "2027-05-01T00:00:00Z"), ("person", "0193a6c0-0000-7000-8000-000000000001"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told_where(coordinator, field, value):
    with pytest.raises(Unreadable) as refused:
        joins(coordinator, **{field: value})

    assert [problem["pointer"] for problem in refused.value.facts["errors"]] == [f"/{field}"]


@pytest.mark.parametrize("who", ["volunteer", "other_volunteer", "reviewer", "former"])
def test_only_a_coordinator_manages_members_and_the_group(cast, who):
    someone = getattr(cast, who)
    for type, op, id, values in [
        ("member", "create", None, {"display_name": "N", "role": "volunteer"}),
        ("member", "amend", someone.member.id, {"role": "coordinator"}),
        ("member", "end", cast.volunteer.member.id, {}),
        ("member", "reinstate", cast.former.member.id, {}),
        ("group", "amend", cast.group.id, {"name": "Ours"}),
    ]:
        with pytest.raises(NotPermitted):
            someone.does(type, op, id=id, **values)


def test_the_coordinator_of_another_group_changes_nothing_here(cast):
    for type, op, id, values in [
        ("member", "amend", cast.volunteer.member.id, {"role": "reviewer"}),
        ("member", "end", cast.volunteer.member.id, {}),
        ("group", "amend", cast.group.id, {"name": "Ours"}),
    ]:
        with pytest.raises(Unavailable):
            cast.stranger.does(type, op, id=id, **values)


# -- leaving ---------------------------------------------------------------------------------------


def test_a_membership_ends_at_the_servers_time_and_what_was_recorded_stays(cast):
    ended = cast.former.member

    assert ended.ended_at == AT
    assert Revision.objects.filter(record_id=ended.id).count() == 2
    assert cast.former.person.is_active


def test_who_left_comes_back_in_the_role_they_had(cast):
    cast.coordinator.does("member", "reinstate", id=cast.former.member.id)

    back = cast.former.read_again().actor
    assert (back.role, back.is_former) == ("volunteer", False)


def test_coming_back_without_having_left_changes_nothing(coordinator, volunteer):
    assert coordinator.does("member", "reinstate", id=volunteer.member.id).result["outcome"] == "noop"


@pytest.mark.parametrize(
    ("op", "values"), [("end", {}), ("amend", {"role": "volunteer"}), ("amend", {"role": "reviewer"})]
)
def test_the_last_coordinator_stays_one(coordinator, op, values):
    with pytest.raises(LastCoordinator) as refused:
        coordinator.does("member", op, id=coordinator.member.id, **values)

    assert refused.value.code == "last_coordinator"


def test_the_last_coordinator_may_change_her_name(coordinator):
    done = coordinator.does("member", "amend", id=coordinator.member.id, display_name="M. Oduya", role="coordinator")

    assert done.record.display_name == "M. Oduya"


def test_a_coordinator_leaves_once_there_is_another(coordinator, volunteer):
    coordinator.does("member", "amend", id=volunteer.member.id, role="coordinator")

    coordinator.does("member", "end", id=coordinator.member.id)

    assert coordinator.read_again().actor.is_former
    assert volunteer.read_again().actor.role == "coordinator"


def test_the_role_of_who_left_may_change_though_nobody_else_coordinates(cast):
    cast.coordinator.does("member", "amend", id=cast.former.member.id, role="coordinator")

    cast.coordinator.does("member", "amend", id=cast.former.member.id, role="reviewer")

    assert cast.former.read_again().actor.role == "reviewer"


# -- the group -------------------------------------------------------------------------------------


def test_the_settings_of_a_group_change(coordinator):
    done = coordinator.does(
        "group", "amend", id=coordinator.group_id, name="Hollow", time_zone="America/Denver", volume_unit="ml"
    )

    assert (done.record.name, done.record.time_zone, done.record.volume_unit) == ("Hollow", "America/Denver", "ml")


@pytest.mark.parametrize(
    ("field", "value"),
    [("time_zone", "Mars/Base"), ("volume_unit", "acre"), ("area_unit", "ml"), ("mass_unit", "stone"), ("name", "")],
)
def test_a_setting_that_is_none_is_refused(coordinator, field, value):
    with pytest.raises(Unreadable) as refused:
        coordinator.does("group", "amend", id=coordinator.group_id, **{field: value})

    assert refused.value.facts["errors"][0]["pointer"] == f"/{field}"


@pytest.mark.parametrize("change", [{"id": new_id()}, {"group_id": None}])
def test_a_group_owns_itself_in_the_database_too(stranger, change, cast, tampering):
    change = {"group_id": cast.group.id} if "group_id" in change else change
    with pytest.raises(IntegrityError), transaction.atomic():
        Group.objects.filter(id=stranger.group_id).update(**change)


def test_a_person_is_a_member_once_in_the_database_too(cast):
    with pytest.raises(IntegrityError), transaction.atomic():
        Member.objects.filter(id=cast.other_volunteer.member.id).update(person_id=cast.volunteer.person.id)
