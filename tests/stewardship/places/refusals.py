"""How the refusals that every app shares come about, with properties and units."""

from stewardship.errors import Conflict, IdTaken, NotPermitted, Unavailable, Unreadable
from stewardship.journal.ids import new_id
from tests.cast import sent
from tests.doors import Case


def fen(cast, someone=None):
    return (someone or cast.coordinator).does("property", "create", name="Fen Edge").record


def another_group_amends_a_property(cast):
    return cast.stranger, sent("property", "amend", {"name": "Ours"}, id=fen(cast).id)


def a_unit_is_laid_out_in_another_groups_property(cast):
    theirs = fen(cast, cast.stranger)
    return cast.coordinator, sent("unit", "create", {"name": "North", "property": str(theirs.id)})


def a_property_that_does_not_exist_is_amended(cast):
    return cast.coordinator, sent("property", "amend", {"name": "Ours"}, id=new_id())


def an_id_is_used_for_another_property(cast):
    return cast.coordinator, sent("property", "create", {"id": str(fen(cast).id), "name": "Other"})


def an_id_is_used_by_another_group(cast):
    return cast.stranger, sent("property", "create", {"id": str(fen(cast).id), "name": "Fen Edge"})


def an_id_is_used_for_another_type(cast):
    id = str(fen(cast).id)
    return cast.coordinator, sent("unit", "create", {"id": id, "name": "North", "property": id})


def a_property_changed_after_it_was_read(cast):
    made = fen(cast)
    cast.coordinator.does("property", "amend", id=made.id, name="Fen")
    return cast.coordinator, sent("property", "amend", {"name": "Edge"}, id=made.id, base_rev=1)


def a_volunteer_enters_a_property(cast):
    return cast.volunteer, sent("property", "create", {"name": "Fen Edge"})


def a_former_member_enters_a_property(cast):
    return cast.former, sent("property", "create", {"name": "Fen Edge"})


def a_name_is_empty_and_a_field_unknown(cast):
    return cast.coordinator, sent("property", "create", {"name": "", "colour": "green"})


def a_boundary_is_no_boundary(cast):
    shape = {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [0, 1], [1, 0], [0, 0]]]}
    return cast.coordinator, sent("property", "create", {"name": "Bow tie", "boundary": shape})


def nobody_can_do_this_to_a_property(cast):
    return cast.coordinator, sent("property", "paint", {}, id=fen(cast).id)


CASES = [
    Case(Unavailable, another_group_amends_a_property),
    Case(Unavailable, a_unit_is_laid_out_in_another_groups_property),
    Case(Unavailable, a_property_that_does_not_exist_is_amended),
    Case(IdTaken, an_id_is_used_for_another_property),
    Case(IdTaken, an_id_is_used_by_another_group),
    Case(IdTaken, an_id_is_used_for_another_type),
    Case(Conflict, a_property_changed_after_it_was_read),
    Case(NotPermitted, a_volunteer_enters_a_property),
    Case(NotPermitted, a_former_member_enters_a_property),
    Case(Unreadable, a_name_is_empty_and_a_field_unknown),
    Case(Unreadable, a_boundary_is_no_boundary),
    Case(Unreadable, nobody_can_do_this_to_a_property),
]
