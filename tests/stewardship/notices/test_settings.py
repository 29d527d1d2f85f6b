"""Each person says how they are told, and sees how nobody else is; what a group says holds for the rest."""

import pytest
from django.db import IntegrityError, transaction

from stewardship.accounts.models import Group
from stewardship.errors import Unavailable, Unreadable
from stewardship.notices import fields
from stewardship.notices.kinds import KINDS
from stewardship.notices.models import NotificationSettings


def test_what_is_left_out_stays_as_it_is_for_everybody(volunteer):
    told = volunteer.does("notification_settings", "create").record

    assert told.content() | {"id": "", "member": "", "person": ""} == told.content() | {
        "id": "", "member": "", "person": "", "page_only": [], "digest": "daily", "digest_hour": 7, "lead_days": None,
    }  # fmt: skip
    assert (told.member_id, told.person_id) == (volunteer.member.id, volunteer.person.id)


def test_kinds_and_days_are_kept_once_and_in_order(volunteer):
    told = volunteer.does(
        "notification_settings", "create", page_only=["invitation", "reminder", "invitation"], lead_days=[7, 90, 7]
    ).record

    assert told.page_only == ["reminder", "invitation"]
    assert told.lead_days == [90, 7]


def test_no_reminder_at_all_is_something_one_may_wish(volunteer):
    settings = volunteer.does("notification_settings", "create", lead_days=[]).record
    assert settings.lead_days == []

    again = volunteer.does("notification_settings", "amend", id=settings.id, lead_days=None, digest="at_once").record
    assert (again.lead_days, again.digest, again.rev) == (None, "at_once", 2)


@pytest.mark.parametrize(
    "wish", [{"digest": "never"}, {"digest_hour": 24}, {"digest_hour": -1}, {"lead_days": [14]}, {"page_only": ["x"]}],
    ids=str,
)  # fmt: skip
def test_what_nobody_can_wish_is_refused(volunteer, wish):
    with pytest.raises(Unreadable):
        volunteer.does("notification_settings", "create", **wish)


def test_another_persons_settings_are_not_there(volunteer, other_volunteer):
    settings = volunteer.does("notification_settings", "create").record

    with pytest.raises(Unavailable):
        other_volunteer.does("notification_settings", "amend", id=settings.id, digest="at_once")


def test_the_database_keeps_one_row_a_member(volunteer):
    settings = volunteer.does("notification_settings", "create").record
    settings.pk = None

    with pytest.raises(IntegrityError), transaction.atomic():
        NotificationSettings.objects.bulk_create([settings])


def test_every_kind_can_be_sent_and_no_other():
    assert fields.KindName.__args__ == tuple(KINDS)


def test_a_group_says_when_and_whom_it_reminds(coordinator, volunteer):
    coordinator.does("member", "amend", id=volunteer.member.id, role="coordinator")
    coordinator.does(
        "group", "amend", id=coordinator.group_id,
        lead_days=[0, 30, 0], second_coordinator=volunteer.member.id, escalate_after_days=3,
    )  # fmt: skip

    group = Group.objects.get(id=coordinator.group_id)
    assert (group.lead_days, group.second_coordinator_id, group.escalate_after_days) == (
        [30, 0],
        volunteer.member.id,
        3,
    )

    coordinator.does("group", "amend", id=coordinator.group_id, second_coordinator=None)
    assert Group.objects.get(id=coordinator.group_id).second_coordinator is None


def test_a_group_begins_with_every_reminder(coordinator):
    group = Group.objects.get(id=coordinator.group_id)

    assert (group.lead_days, group.second_coordinator, group.escalate_after_days) == ([90, 60, 30, 7, 0], None, 1)
