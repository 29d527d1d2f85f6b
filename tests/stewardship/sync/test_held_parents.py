"""What builds on an entry that is held waits with it, and is taken up with it."""

import pytest

from stewardship.errors import Unavailable
from stewardship.journal.ids import new_id
from stewardship.places.models import Property, Unit
from stewardship.sync.models import ToSettle
from stewardship.treatments.models import Application
from tests.cast import sent
from tests.ground import fl_oz, lay_out
from tests.stewardship.sync.settled import WHY, codes, item_of, line_on, new_property, unit_in, waiting

pytestmark = pytest.mark.django_db(transaction=True)


def test_what_builds_on_a_held_entry_waits_with_it_and_is_released_with_it(cast):
    fen = str(new_id())
    parent = cast.volunteer.pushes(new_property("Fen", set={"id": fen})).results[0]
    child = cast.coordinator.pushes(unit_in(fen))
    assert (codes(child), child.results[0]["parent"]) == (["parent_held"], parent["mid"])
    assert item_of(child.results[0]).parents == [parent["mid"]]

    cast.coordinator.does("to_settle", "release", id=parent["to_settle"], **WHY)

    assert Unit.objects.get().entered_by_id == cast.coordinator.person.id
    assert item_of(child.results[0]).state == "released"
    assert waiting(cast.coordinator) == 0


def test_a_session_that_is_held_takes_its_lines_along_in_order(cast):
    ground = lay_out(cast.coordinator)
    batch, session, line = str(ground.batch()), str(new_id()), str(new_id())
    unit = str(new_id())
    begun = {"id": session, "unit": unit, "applicator": str(cast.volunteer.member.id)}
    taken = cast.volunteer.pushes(
        sent("unit", "create", {"id": unit, "name": "Far", "property": str(ground.property)}),
        sent("session", "create", begun | {"started_at": "2027-05-01T09:30:00-05:00"}),
        line_on(ground, session, "20", id=line, batch=batch),
        sent("application", "amend", {"mix": fl_oz("25")}, id=line, base_rev=1, reason="a slip"),
        line_on(ground, session, "60", batch=batch),
    )
    mids = [result["mid"] for result in taken.results]
    assert codes(taken) == ["not_permitted", *["parent_held"] * 4]
    assert [result.get("parent") for result in taken.results] == [None, mids[0], mids[1], mids[2], mids[1]]

    cast.coordinator.does("to_settle", "release", id=taken.results[0]["to_settle"], **WHY)

    made = Application.objects.get()
    assert (made.mix_value, made.entered_by_id) == ("25", cast.volunteer.person.id)
    left = ToSettle.objects.get(state="waiting")
    assert (str(left.mid), left.code) == (mids[4], "batch_overdrawn")
    assert waiting(cast.coordinator) == 1


def test_what_comes_days_later_still_finds_the_entry_it_builds_on(cast):
    ground, session = lay_out(cast.coordinator), str(new_id())
    first = cast.volunteer.pushes(sent("session", "create", {"id": session, "unit": str(new_id())}))

    later = cast.volunteer.pushes(line_on(ground, session, "20", batch=str(ground.batch())))

    assert (codes(later), later.results[0]["parent"]) == (["parent_held"], first.results[0]["mid"])


def test_nobody_learns_of_what_others_have_held(cast):
    ground, session = lay_out(cast.coordinator), str(new_id())
    cast.volunteer.pushes(sent("session", "create", {"id": session, "unit": str(new_id())}))

    taken = cast.other_volunteer.pushes(line_on(ground, session, "20", batch=str(ground.batch())))

    assert codes(taken) == ["target_unavailable"]


def test_an_all_or_nothing_group_is_released_whole_or_not_at_all(cast):
    fen = str(new_id())
    taken = cast.volunteer.pushes(
        new_property("Fen", set={"id": fen}, tx="A"), unit_in(fen, tx="A"), unit_in(new_id(), "Nowhere", tx="A")
    )
    with pytest.raises(Unavailable):
        cast.coordinator.does("to_settle", "release", id=taken.results[1]["to_settle"], **WHY)
    assert not Property.objects.exists()

    whole = cast.volunteer.pushes(new_property("Edge", set={"id": str(new_id())}, tx="B"), new_property("End", tx="B"))
    cast.coordinator.does("to_settle", "release", id=whole.results[1]["to_settle"], **WHY)

    assert set(Property.objects.values_list("name", flat=True)) == {"Edge", "End"}
    assert waiting(cast.coordinator) == 3
