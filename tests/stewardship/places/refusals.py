"""How the refusals that every app shares come about, with properties and units."""

from stewardship.errors import AlreadyVoided, Conflict, IdTaken, NotPermitted, Unavailable, Unreadable
from stewardship.journal.ids import new_id
from stewardship.places.services.neighbour_notices import AttemptInFuture, NoticeUpsideDown, PermissionElsewhere
from stewardship.places.services.papers import PaperUpsideDown, PermitUnitElsewhere
from tests.cast import sent
from tests.doors import Case, last_act
from tests.stewardship.places.papers import notice, permission, permit


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


def a_permission_ends_before_it_begins(cast):
    place = fen(cast).id
    return last_act(lambda: permission(cast.coordinator, place, valid_to="2027-01-09"))


def a_permit_names_a_unit_of_another_property(cast):
    here, there = fen(cast).id, fen(cast).id
    unit = cast.coordinator.does("unit", "create", property=there, name="North").record.id
    return last_act(lambda: permit(cast.coordinator, here, units=[str(unit)]))


def work_that_neighbours_are_told_of_ends_before_it_begins(cast):
    place = fen(cast).id
    return last_act(lambda: notice(cast.coordinator, place, last_on="2027-06-30"))


def a_landowner_is_told_of_work_elsewhere(cast):
    given = permission(cast.coordinator, fen(cast).id)
    place = fen(cast).id
    return last_act(lambda: notice(cast.coordinator, place, permission=given))


def an_attempt_to_tell_somebody_lies_in_the_future(cast):
    id = notice(cast.coordinator, fen(cast).id)
    told = {"at": "2027-05-01T10:01:00-05:00", "how": "by telephone", "told": True}
    return cast.coordinator, sent("neighbour_notice", "attempt", told, id=id)


def a_notice_that_was_voided_gets_an_attempt(cast):
    id = notice(cast.coordinator, fen(cast).id)
    cast.coordinator.does("neighbour_notice", "void", id=id, reason="entered twice")
    told = {"at": "2027-05-01T09:00:00-05:00", "how": "by telephone", "told": True}
    return cast.coordinator, sent("neighbour_notice", "attempt", told, id=id)


CASES = [
    Case(PaperUpsideDown, a_permission_ends_before_it_begins),
    Case(PermitUnitElsewhere, a_permit_names_a_unit_of_another_property),
    Case(NoticeUpsideDown, work_that_neighbours_are_told_of_ends_before_it_begins),
    Case(PermissionElsewhere, a_landowner_is_told_of_work_elsewhere),
    Case(AttemptInFuture, an_attempt_to_tell_somebody_lies_in_the_future),
    Case(AlreadyVoided, a_notice_that_was_voided_gets_an_attempt),
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
