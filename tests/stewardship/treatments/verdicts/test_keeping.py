"""Nobody deletes a record."""

from datetime import UTC, datetime

import pytest

from stewardship.accounts.models import Group
from stewardship.treatments.models import Application, Batch, Session, WorkLine
from stewardship.treatments.verdicts.keeping import Kept, refuse_to_delete
from tests.stewardship.treatments.records import work_line
from tests.stewardship.treatments.verdicts.records import at_home_in, rule, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(ground, coordinator):
    """Give a line of 1 May 2027 in Washington, under its rule of seven years and a shorter one of the country."""
    at_home_in(ground, "US-WA")
    coordinator.does("product", "amend", id=ground.product, restricted_use=True)
    for key in ("us-wa", "us-40-cfr-171"):
        rule(coordinator, key)
    return Application.objects.get(id=whole(ground))


@pytest.mark.parametrize("day", ["2034-03-25", "2034-06-06"])
def test_a_record_of_6_9_years_under_washington_is_not_deleted_and_one_of_7_1_is_not_either(line, day):
    """The longest rule wins (7 years, Washington); and nothing expires by itself."""
    now = datetime.fromisoformat(day).replace(tzinfo=UTC)
    group = Group.objects.get(id=line.group_id)
    for record in (line, line.session, line.batch):
        with pytest.raises(Kept) as refused:
            refuse_to_delete(group, record, now)

        assert "The longest rule, Washington, has it kept until 1 May 2034." in str(refused.value)
        assert "Nothing expires by itself" in str(refused.value)


def test_the_door_answers_409_and_the_record_stays(line, cast, coordinator):
    answer = coordinator.client().delete(f"/api/v1/groups/{cast.group.id}/applications/{line.id}")

    assert (answer.status_code, answer.json()["code"]) == (409, "kept")
    assert "1 May 2034" in answer.json()["detail"]
    assert Application.objects.filter(id=line.id).exists()


def test_a_record_that_no_stored_rule_speaks_of_is_kept_all_the_same(ground, cast, coordinator):
    id = work_line(ground, coordinator)

    answer = coordinator.client().delete(f"/api/v1/groups/{cast.group.id}/work-lines/{id}")

    assert (answer.status_code, answer.json()["code"]) == (409, "kept")
    assert "No stored rule names a day" in answer.json()["detail"]
    assert WorkLine.objects.count() == 1


def test_what_is_no_legal_record_has_no_such_door(ground, cast, coordinator):
    answer = coordinator.client().delete(f"/api/v1/groups/{cast.group.id}/species/{ground.species}")

    assert answer.status_code == 405
    assert (Session.objects.count(), Batch.objects.count()) == (0, 0)
