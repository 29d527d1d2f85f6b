"""How the refusals about batches, sessions and lines come about."""

from stewardship.rules.shares import BatchOverdrawn
from stewardship.treatments.services import batches, facts, lines, sessions
from tests.doors import Case, last_act
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments import refusals_of_records, refusals_of_stock

NINE, TEN = "2027-05-01T09:00:00-05:00", "2027-05-01T10:00:00-05:00"


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


CASES = [
    Case(BatchOverdrawn, more_is_used_than_is_left),
    Case(batches.PartsAboveMix, the_parts_are_more_than_the_mix),
    Case(batches.PartTwice, a_product_stands_twice_in_a_mix),
    Case(batches.BatchInUse, a_batch_in_use_is_voided),
    Case(facts.NotVoided, what_counts_is_reinstated),
    Case(lines.UnitElsewhere, a_line_is_in_a_unit_of_another_property),
    Case(sessions.EndsBeforeItBegins, a_session_ends_before_it_begins),
    Case(sessions.AlreadyEnded, an_ended_session_ends_at_another_time),
    Case(sessions.SessionInUse, a_session_with_lines_is_voided),
    *refusals_of_stock.CASES,
    *refusals_of_records.CASES,
]
