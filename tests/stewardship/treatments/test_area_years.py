"""A unit's area-year ledger follows its lines: the audit after each test counts them again."""

import pytest

from stewardship.places.models import Unit
from stewardship.rules.area_years import total
from tests.cast import sent
from tests.ground import FL_OZ, fl_oz

pytestmark = pytest.mark.django_db(transaction=True)


def used(unit, year=2027, measure="product_nl"):
    cells = Unit.objects.get(id=unit).used_in_years.get(str(year), [])
    found = total(cells, measure)
    return round(found.known / FL_OZ, 6) if measure == "product_nl" else (found.known, found.unknown)


@pytest.fixture
def line(ground):
    return ground.line(ground.session(), ground.batch(), "40", stems=17)


def test_a_line_counts_in_its_unit_and_year(ground, line):
    assert used(ground.unit) == 8
    assert used(ground.unit, measure="stems") == (17, 0)
    assert used(ground.other_unit) == used(ground.unit, 2026) == 0


def test_another_amount_and_other_stems_restate_it(ground, line, coordinator):
    coordinator.does("application", "amend", id=line.id, reason="read again", mix=fl_oz("20"), stems=None)

    assert used(ground.unit) == 4
    assert used(ground.unit, measure="stems") == (0, 1)


def test_another_unit_takes_it_over(ground, line, coordinator):
    coordinator.does("application", "amend", id=line.id, reason="the other slope", unit=ground.other_unit)

    assert Unit.objects.get(id=ground.unit).used_in_years == {}
    assert used(ground.other_unit) == 8


def test_a_voided_line_counts_nowhere_and_counts_again_when_reinstated(ground, line, coordinator):
    coordinator.does("application", "void", id=line.id, reason="typed twice")
    assert Unit.objects.get(id=ground.unit).used_in_years == {}

    coordinator.does("application", "reinstate", id=line.id, reason="it was real")
    assert used(ground.unit) == 8


def test_a_session_moved_to_another_year_takes_its_lines_along_and_no_voided_one(ground, line, coordinator):
    other = ground.line(line.session_id, ground.batch(), "10")
    coordinator.does("application", "void", id=other.id, reason="typed twice")

    values = {"started_at": "2026-05-01T09:30:00-05:00", "reason": "the year was mistyped"}
    coordinator.does("session", "amend", id=line.session_id, **values)

    assert used(ground.unit, 2027) == 0
    assert used(ground.unit, 2026) == 8


def test_a_ledger_is_told_with_its_unit_and_is_no_change_of_it(ground, line, coordinator):
    unit = Unit.objects.get(id=ground.unit)

    assert unit.rev == 1
    assert "used_in_years" not in unit.content()
    told = coordinator.client().get(f"/api/v1/groups/{coordinator.group_id}/units/{unit.id}").json()
    assert told["used_in_years"]["2027"][0]["lines"] == 1


def test_session_and_lines_of_one_push_count(ground, coordinator):
    batch, session = str(ground.batch()), "01890000-0000-7000-8000-000000000001"
    begun = {"unit": str(ground.other_unit), "applicator": str(coordinator.member.id)}
    begun |= {"id": session, "started_at": "2027-05-01T09:30:00-05:00"}
    told = {"session": session, "batch": batch, "species": str(ground.species), "method": "basal_bark"}
    told |= {"mix": fl_oz("5"), "how_known": "measured"}

    taken = coordinator.pushes(sent("session", "create", begun), *[sent("application", "create", told)] * 1)

    assert [each["outcome"] for each in taken.results] == ["applied", "applied"]
    assert used(ground.other_unit) == 1
