"""What was worked without herbicide."""

import pytest

from stewardship.errors import AlreadyVoided, Unreadable
from stewardship.treatments.models import WorkLine
from stewardship.workdays.models import WorkDay
from tests.planning import Plan, at
from tests.stewardship.treatments.records import work_line

pytestmark = pytest.mark.django_db(transaction=True)


def test_work_without_herbicide_is_recorded_on_its_own_date_and_sets_the_day_under_way(ground, cast):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    plan.does("confirm")

    id = work_line(ground, cast.volunteer, unit=plan.unit, work_day=plan.id, done_at=at("9:30"))

    line = WorkLine.objects.get(id=id)
    assert (line.on_date, line.property_id, line.marks) == (plan.day.on_date, plan.property, [])
    assert WorkDay.objects.get(id=plan.id).state == "under_way"


@pytest.mark.parametrize(
    ("values", "pointer"),
    [({"method": "foliar"}, "/method"), ({"minutes": 0}, "/minutes"), ({"stems": 0}, "/stems")],
)
def test_a_work_line_that_cannot_be_read_says_where(ground, volunteer, values, pointer):
    with pytest.raises(Unreadable) as refused:
        work_line(ground, volunteer, **values)

    assert [each["pointer"] for each in refused.value.facts["errors"]] == [pointer]


def test_a_work_line_is_voided_kept_from_correction_and_reinstated(ground, volunteer):
    id = work_line(ground, volunteer)
    volunteer.does("work_line", "void", id=id, reason="typed twice")

    with pytest.raises(AlreadyVoided):
        volunteer.does("work_line", "amend", id=id, reason="misread", stems=3)

    assert volunteer.does("work_line", "reinstate", id=id, reason="it was real").record.voided_at is None
