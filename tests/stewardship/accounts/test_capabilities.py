"""Who may what, as the table of the design says it, role by role."""

from typing import get_args, get_type_hints

import pytest

from stewardship.accounts.capabilities import CAPABILITIES, Actor
from stewardship.accounts.models import Role
from stewardship.journal.ids import new_id
from stewardship.sync.verbs import VERBS
from stewardship.sync.verbs.verb import ANYTHING

ALL = {"read", "plan_mix", "keep_own_details", "be_told", "void_own_held"}
WORKERS = {"record_work", "sign_up", "hand_in_files"}
BOARD = {"ask_for_reports", "prove_book"}
MANAGERS = {
    "amend_anyones", "manage_members", "manage_group", "manage_places", "manage_catalog", "manage_credentials",
    "manage_work_days", "manage_seasons", "manage_stock", "manage_contractors", "lock_records", "override_limits",
    "reconcile", "settle",
}  # fmt: skip
OF_A_ROLE = {
    "coordinator": ALL | WORKERS | BOARD | MANAGERS,
    "volunteer": ALL | WORKERS,
    "reviewer": ALL | BOARD,
}
WRITES_FIELD_DATA = WORKERS | MANAGERS


def actor(role, **more):
    return Actor(new_id(), new_id(), new_id(), role, **more)


@pytest.mark.parametrize("role", Role.values)
def test_a_role_may_exactly_this(role):
    assert set(actor(role).capabilities()) == OF_A_ROLE[role]


def test_the_table_names_roles_that_exist_and_no_capability_that_nobody_has():
    assert set(OF_A_ROLE) == set(Role.values)
    assert all(roles and roles <= set(Role.values) for roles in CAPABILITIES.values())


def test_a_reviewer_writes_no_field_data():
    assert not {name for name in WRITES_FIELD_DATA if actor("reviewer").may(name)}


@pytest.mark.parametrize("role", Role.values)
def test_a_former_member_may_nothing(role):
    assert actor(role, is_former=True).capabilities() == []


def test_a_capability_that_does_not_exist_is_a_fault_of_the_program():
    with pytest.raises(KeyError):
        actor("coordinator").may("fly")


def test_every_verb_asks_for_a_capability_of_the_table():
    asked = {may for verb in VERBS.values() for may in (verb.may, *verb.besides.values())}

    assert asked <= CAPABILITIES.keys()


def test_every_value_that_takes_another_capability_can_be_sent_in_its_field():
    for verb in VERBS.values():
        for name, value in verb.besides:
            assert value is ANYTHING or value in get_args(get_type_hints(verb.fields)[name])


def test_the_audiences_of_a_coordinator_are_all_and_of_others_the_group_and_themselves():
    volunteer = actor("volunteer")

    assert actor("coordinator").audiences() is None
    assert volunteer.audiences() == ("group", str(volunteer.person_id))
    assert "coordinators" not in actor("reviewer").audiences()
