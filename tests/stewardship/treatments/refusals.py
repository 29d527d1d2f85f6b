"""How the refusals about batches, sessions and lines come about."""

from stewardship.rules.mixes.amounts import PieceContentUnknown
from stewardship.rules.mixes.compositions import CarriersDiffer, ContentsUnknown, ProductsNotCompatible
from stewardship.rules.shares import BatchOverdrawn
from stewardship.treatments.services import batches, closing, facts, leftovers, lines, sessions, top_ups
from stewardship.treatments.services.stock import ProductIsDry, ProductIsLiquid
from tests.doors import Case, last_act
from tests.ground import fl_oz, lay_out, lb
from tests.stewardship.treatments import (
    refusals_of_bottles,
    refusals_of_licences,
    refusals_of_mix_movements,
    refusals_of_plans,
    refusals_of_records,
    refusals_of_signatures,
    refusals_of_stock,
)
from tests.stewardship.treatments.records import tank_mix

NINE, TEN, NOON = "2027-05-01T09:00:00-05:00", "2027-05-01T10:00:00-05:00", "2027-05-01T12:00:00-05:00"


def part(ground, ounces):
    return {"product": str(ground.product), "volume": fl_oz(ounces)}


def more_is_used_than_is_left(cast):
    ground = lay_out(cast.coordinator)
    session, batch = ground.session(), ground.batch()
    ground.line(session, batch, "40")
    return last_act(lambda: ground.line(session, batch, "24.1"))


def the_parts_are_more_than_the_mix(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.batch(parts=[part(ground, "64.1")]))


def a_product_stands_twice_in_a_mix(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.batch(parts=[part(ground, "6.4"), part(ground, "6.4")]))


def a_batch_in_use_is_voided(cast):
    ground = lay_out(cast.coordinator)
    batch = ground.batch()
    ground.line(ground.session(), batch, "5")
    return last_act(lambda: cast.coordinator.does("batch", "void", id=batch, reason="typed twice"))


def what_counts_is_reinstated(cast):
    batch = lay_out(cast.coordinator).batch()
    return last_act(lambda: cast.coordinator.does("batch", "reinstate", id=batch, reason="it was real"))


def a_line_is_in_a_unit_of_another_property(cast):
    ground = lay_out(cast.coordinator)
    far = cast.coordinator.does("property", "create", name="Far Field").record.id
    unit = cast.coordinator.does("unit", "create", property=far, name="Slope").record.id
    session, batch = ground.session(), ground.batch()
    return last_act(lambda: ground.line(session, batch, "5", unit=unit))


def a_session_ends_before_it_begins(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.session(started_at=TEN, ended_at=NINE))


def an_ended_session_ends_at_another_time(cast):
    session = lay_out(cast.coordinator).session(started_at=NINE, ended_at=TEN)
    values = {"ended_at": "2027-05-01T11:00:00-05:00"}
    return last_act(lambda: cast.coordinator.does("session", "end", id=session, **values))


def a_session_with_lines_is_voided(cast):
    ground = lay_out(cast.coordinator)
    session = ground.session()
    ground.line(session, ground.batch(), "5")
    return last_act(lambda: cast.coordinator.does("session", "void", id=session, reason="typed twice"))


def a_batch_is_left_without_contents(cast):
    batch = lay_out(cast.coordinator).batch()
    return last_act(lambda: cast.coordinator.does("batch", "amend", id=batch, parts=[], reason="typed twice"))


def a_found_bottle_is_used(cast):
    ground = lay_out(cast.coordinator)
    session, found = ground.session(), ground.leftover(None, "20")
    return last_act(lambda: ground.line(session, None, "5", leftover=str(found)))


def a_found_bottle_is_topped_up(cast):
    ground = lay_out(cast.coordinator)
    found = ground.leftover(None, "20")
    return last_act(lambda: ground.top_up({"leftover": str(found)}))


def a_found_bottle_is_said_to_be_used_up(cast):
    found = lay_out(cast.coordinator).leftover(None, "20")
    return last_act(lambda: cast.coordinator.does("leftover", "end", id=found, ended_at=NOON, end="used"))


def a_leftover_in_oil_is_topped_up_with_water(cast):
    ground = lay_out(cast.coordinator)
    left = ground.leftover(ground.batch(), "24")
    return last_act(lambda: ground.top_up({"leftover": str(left)}, carrier="water"))


def a_leftover_is_topped_up_with_a_product_that_is_no_partner(cast):
    ground = lay_out(cast.coordinator)
    other = tank_mix(ground)["parts"][1]
    left = ground.leftover(ground.batch(), "24")
    return last_act(lambda: ground.top_up({"leftover": str(left)}, parts=[other]))


def a_leftover_and_another_batch_are_named(cast):
    ground = lay_out(cast.coordinator)
    session, left, other = ground.session(), ground.leftover(ground.batch(), "24"), ground.batch()
    return last_act(lambda: ground.line(session, other, "5", leftover=str(left)))


def a_batch_that_was_poured_on_is_voided(cast):
    ground = lay_out(cast.coordinator)
    batch = ground.batch()
    ground.top_up({"batch": str(batch), "volume": fl_oz("24")})
    return last_act(lambda: cast.coordinator.does("batch", "void", id=batch, reason="typed twice"))


def a_leftover_ends_twice(cast):
    ground = lay_out(cast.coordinator)
    left = ground.leftover(ground.batch(), "24")
    cast.coordinator.does("leftover", "end", id=left, ended_at=NOON, end="used")
    later = {"ended_at": "2027-05-01T13:00:00-05:00", "end": "used"}
    return last_act(lambda: cast.coordinator.does("leftover", "end", id=left, **later))


def a_known_leftover_is_identified(cast):
    ground = lay_out(cast.coordinator)
    batch = ground.batch()
    told = {"id": ground.leftover(batch, "24"), "batch": batch, "evidence": "its tag", "reason": "tag found"}
    return last_act(lambda: cast.coordinator.does("leftover", "identify", **told))


def a_found_container_is_identified_after_some_of_it_was_disposed_of(cast):
    ground = lay_out(cast.coordinator)
    left, batch, does = str(ground.leftover(None, "20")), ground.batch(), cast.coordinator.does
    told = {"what": "disposal", "leftover": left, "volume": fl_oz("5"), "happened_at": "2027-05-01T13:00:00-05:00"}
    does("stock_movement", "create", **told, by=str(cast.coordinator.member.id), manner="county collection")
    known = {"id": left, "batch": batch, "evidence": "its tag", "reason": "tag found"}
    return last_act(lambda: does("leftover", "identify", **known))


def a_batch_with_a_gap_is_closed_without_a_reason(cast):
    ground = lay_out(cast.coordinator)
    batch = ground.batch()
    ground.line(ground.session(), batch, "38")
    ground.leftover(batch, "24")
    return last_act(lambda: cast.coordinator.does("batch", "close", id=batch, closed_at=NOON))


def a_closed_batch_is_closed(cast):
    ground = lay_out(cast.coordinator)
    batch = ground.batch()
    ground.leftover(batch, "64")
    cast.coordinator.does("batch", "close", id=batch, closed_at=NOON)
    return last_act(lambda: cast.coordinator.does("batch", "close", id=batch, closed_at=NOON))


def an_open_batch_is_reopened(cast):
    batch = lay_out(cast.coordinator).batch()
    return last_act(lambda: cast.coordinator.does("batch", "reopen", id=batch, reason="a line came late"))


def a_powder_is_measured_by_volume(cast):
    ground = lay_out(cast.coordinator)
    id = ground.powder()
    return last_act(lambda: ground.batch(parts=[{"product": str(id), "volume": fl_oz("2")}]))


def a_liquid_is_weighed(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.batch(parts=[{"product": str(ground.product), "mass": lb("2")}]))


def pieces_are_counted_of_which_nobody_says_what_they_hold(cast):
    ground = lay_out(cast.coordinator)
    id = ground.powder(piece=None)
    return last_act(lambda: ground.batch(parts=[{"product": str(id), "pieces": 2}]))


def a_batch_is_reopened_of_which_more_was_drawn_than_mixed(cast):
    ground = lay_out(cast.coordinator)
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")
    ground.leftover(batch, "26")
    cast.coordinator.does("batch", "close", id=batch, closed_at=NOON, reason="measured twice")
    ground.line(ground.session(started_at="2027-05-01T13:00:00-05:00"), batch, "26")
    return last_act(lambda: cast.coordinator.does("batch", "reopen", id=batch, reason="a line came late"))


CASES = [
    *refusals_of_bottles.CASES,
    Case(ProductIsDry, a_powder_is_measured_by_volume),
    Case(ProductIsLiquid, a_liquid_is_weighed),
    Case(PieceContentUnknown, pieces_are_counted_of_which_nobody_says_what_they_hold),
    Case(BatchOverdrawn, more_is_used_than_is_left),
    Case(batches.PartsAboveMix, the_parts_are_more_than_the_mix),
    Case(batches.PartTwice, a_product_stands_twice_in_a_mix),
    Case(batches.BatchInUse, a_batch_in_use_is_voided),
    Case(batches.BatchInUse, a_batch_that_was_poured_on_is_voided),
    Case(batches.NothingPoured, a_batch_is_left_without_contents),
    Case(batches.BatchClosed, a_closed_batch_is_closed),
    Case(closing.BatchNotClosed, an_open_batch_is_reopened),
    Case(closing.MoreDrawnThanMixed, a_batch_is_reopened_of_which_more_was_drawn_than_mixed),
    Case(closing.BatchDoesNotBalance, a_batch_with_a_gap_is_closed_without_a_reason),
    Case(ContentsUnknown, a_found_bottle_is_used),
    Case(ContentsUnknown, a_found_bottle_is_topped_up),
    Case(ContentsUnknown, a_found_bottle_is_said_to_be_used_up),
    Case(CarriersDiffer, a_leftover_in_oil_is_topped_up_with_water),
    Case(ProductsNotCompatible, a_leftover_is_topped_up_with_a_product_that_is_no_partner),
    Case(top_ups.LeftoverOfAnotherBatch, a_leftover_and_another_batch_are_named),
    Case(leftovers.LeftoverEnded, a_leftover_ends_twice),
    Case(leftovers.ContentsKnown, a_known_leftover_is_identified),
    Case(leftovers.TakenFromUnknown, a_found_container_is_identified_after_some_of_it_was_disposed_of),
    Case(facts.NotVoided, what_counts_is_reinstated),
    Case(lines.UnitElsewhere, a_line_is_in_a_unit_of_another_property),
    Case(sessions.EndsBeforeItBegins, a_session_ends_before_it_begins),
    Case(sessions.AlreadyEnded, an_ended_session_ends_at_another_time),
    Case(sessions.SessionInUse, a_session_with_lines_is_voided),
    *refusals_of_mix_movements.CASES,
    *refusals_of_stock.CASES,
    *refusals_of_plans.CASES,
    *refusals_of_records.CASES,
    *refusals_of_signatures.CASES,
    *refusals_of_licences.CASES,
]
