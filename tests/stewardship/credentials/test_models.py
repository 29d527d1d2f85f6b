"""Who may read a credential, and what the database itself never takes."""

import pytest
from django.db import IntegrityError, transaction

from stewardship.credentials.models import Credential
from tests.planning import licence


def test_own_credentials_are_a_persons_and_coordinators_see_all(cast):
    for someone in (cast.volunteer, cast.other_volunteer):
        licence(cast.coordinator, someone, "2027-06-30")

    def seen(someone):
        found = Credential.objects.filter(Credential.visible_to(someone.actor), group_id=someone.group_id)
        return {credential.person_id for credential in found}

    both = {cast.volunteer.person.id, cast.other_volunteer.person.id}
    assert seen(cast.coordinator) == both
    assert seen(cast.volunteer) == {cast.volunteer.person.id}
    assert seen(cast.reviewer) == seen(cast.stranger) == set()


@pytest.mark.parametrize(
    ("change", "constraint"),
    [
        ({"expires_on": None}, "ends_on_a_day_or_never"),
        ({"never_expires": True}, "ends_on_a_day_or_never"),
        ({"expires_on": "2025-06-30"}, "ends_after_its_issue"),
        ({"issued_on": None}, "in_hand_was_issued"),
        ({"grace_days": -1}, "grace_days"),
    ],
)
def test_the_database_takes_no_impossible_dates(coordinator, volunteer, change, constraint):
    id = licence(coordinator, volunteer, "2027-06-30")

    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        Credential.objects.filter(id=id).update(**change)
