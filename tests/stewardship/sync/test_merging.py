"""A correction that was made offline of what changed meanwhile (invariants I9, I19): merged by field, or to settle."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.errors import Conflict
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property
from stewardship.sync.models import Mutation, ToSettle
from stewardship.treatments.models import Application, Batch, Session
from tests.cast import sent, with_device
from tests.ground import fl_oz, lay_out

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def fen(coordinator):
    """Give a property whose name was changed after a device saw it."""
    made = coordinator.does("property", "create", name="Fen Edge", note="wet").record
    return coordinator.does("property", "amend", id=made.id, name="Fen").record


@pytest.fixture
def ground(coordinator):
    """Give ground to work on."""
    return lay_out(coordinator)


@pytest.fixture
def line(ground):
    """Give a line of 20 fl oz out of 64."""
    return ground.line(ground.session(), ground.batch(), "20", stems=5)


def amend(record, base_rev=1, **values):
    beside = {name: values.pop(name) for name in ("base", "tx") if name in values}
    return sent(record.kind, "amend", values, id=record.id, base_rev=base_rev, reason="a slip", **beside)


def pushed(someone, *mutations):
    return someone.pushes(*mutations).results


def outcomes(results):
    return [result["outcome"] for result in results]


def held(someone):
    return Book.objects.get(group_id=someone.group_id).held


# -- merged ----------------------------------------------------------------------------------------


def test_fields_that_nobody_else_changed_are_merged(coordinator, fen):
    (result,) = pushed(coordinator, amend(fen, time_zone="America/Denver"))

    assert (result["outcome"], result["rev"]) == ("merged", 3)
    assert result["seq"] == Book.objects.get(group_id=coordinator.group_id).head
    assert "fields" not in result
    stands = Property.objects.get()
    assert (stands.name, stands.time_zone) == ("Fen", "America/Denver")
    assert Revision.objects.get(record_id=fen.id, rev=3).reason == "a slip"
    assert Mutation.objects.get(mid=result["mid"]).payload is None


def test_what_both_want_is_no_change(coordinator, fen):
    before = Book.objects.get(group_id=coordinator.group_id).head

    (result,) = pushed(coordinator, amend(fen, name="Fen"))

    assert (result["outcome"], result["rev"]) == ("noop", 2)
    assert result["fields"] == {"name": {"base": "Fen Edge", "yours": "Fen", "server": "Fen"}}
    assert Book.objects.get(group_id=coordinator.group_id).head == before


def test_a_note_keeps_what_both_wrote(coordinator, fen):
    coordinator.does("property", "amend", id=fen.id, note="wet\nbeavers")

    (result,) = pushed(coordinator, amend(fen, base_rev=2, note="wet\ngate locked"))

    assert result["outcome"] == "merged"
    assert Property.objects.get().note == "wet\nbeavers\ngate locked"
    assert result["fields"]["note"]["server"] == "wet\nbeavers"


def test_what_is_told_as_seen_goes_before_what_stood_at_the_revision(volunteer, ground):
    session, batch = ground.session(by=volunteer), ground.batch(by=volunteer)
    line = ground.line(session, batch, "20", by=volunteer)

    results = pushed(
        volunteer,
        amend(line, mix=fl_oz("25"), base={"mix": fl_oz("20")}),
        amend(line, mix=fl_oz("30"), base={"mix": fl_oz("25")}),
    )

    assert outcomes(results) == ["applied", "merged"]
    assert Application.objects.get().mix_value == "30"


def test_without_a_revision_what_was_seen_decides(coordinator, fen):
    results = pushed(
        coordinator,
        amend(fen, None, name="Edge", base={"name": "Fen Edge"}),
        amend(fen, None, name="Edge", base={"name": "Fen"}),
    )

    assert outcomes(results) == ["conflict", "applied"]
    assert Property.objects.get().name == "Edge"


def test_an_amount_that_is_written_otherwise_is_the_same(coordinator, line):
    coordinator.does("application", "amend", id=line.id, stems=6, reason="counted")
    pint_and_a_quarter = {"value": "1.25", "unit": "pt"}

    (result,) = pushed(coordinator, amend(line, mix=fl_oz("21"), base={"mix": pint_and_a_quarter}))

    assert result["outcome"] == "merged"
    assert (Application.objects.get().mix_value, Application.objects.get().stems) == ("21", 6)


def test_a_time_that_is_told_in_another_zone_is_the_same(coordinator, ground):
    session = Session.objects.get(id=ground.session())
    coordinator.does("session", "amend", id=session.id, equipment="wick", reason="left out")

    (result,) = pushed(
        coordinator,
        amend(session, started_at="2027-05-01T09:45:00-05:00", base={"started_at": "2027-05-01T14:30:00Z"}),
    )

    assert result["outcome"] == "merged"


# -- conflicts -------------------------------------------------------------------------------------


def test_two_values_of_one_field_are_a_conflict_and_the_servers_stands(coordinator, fen):
    mutation = amend(fen, name="Edge", note="dry")

    (result,) = pushed(coordinator, mutation)

    told = {"name": {"base": "Fen Edge", "yours": "Edge", "server": "Fen"}}
    assert (result["outcome"], result["code"], result["rev"], result["fields"]) == ("conflict", "conflict", 2, told)
    assert "seq" not in result
    stands = Property.objects.get()
    assert (stands.name, stands.note, stands.rev) == ("Fen", "wet", 2)
    item = ToSettle.objects.get(id=result["to_settle"])
    assert (item.state, item.code, item.fields, item.target) == ("waiting", "conflict", told, fen.id)
    assert held(coordinator) == 1
    assert Mutation.objects.get(mid=mutation.mid).outcome == "conflict"


def test_a_wrong_revision_without_what_was_seen_is_a_conflict(coordinator, fen):
    results = pushed(coordinator, *[amend(fen, rev, name="Edge") for rev in (0, -1, 99, 2**60)])

    assert outcomes(results) == ["conflict"] * 4
    assert results[0]["fields"]["name"]["base"] is None


def test_who_saw_their_own_wish_that_is_held_does_not_replace_what_stands(coordinator, line):
    results = pushed(
        coordinator,
        amend(line, mix=fl_oz("65"), base={"mix": fl_oz("20")}),
        amend(line, mix=fl_oz("60"), base={"mix": fl_oz("65")}),
    )

    assert [result["code"] for result in results] == ["batch_overdrawn", "conflict"]
    assert Application.objects.get().mix_value == "20"


def test_a_list_is_compared_by_what_was_sent_of_it(coordinator, ground):
    batch = Batch.objects.get(id=ground.batch())
    parts = [{"product": str(ground.product), "volume": fl_oz(ounces)} for ounces in ("12.8", "10", "11")]

    results = pushed(
        coordinator,
        amend(batch, parts=parts[1:2], base={"parts": batch.content()["parts"]}),
        amend(batch, parts=parts[2:], base={"parts": parts[1:2]}),
        amend(batch, parts=parts[:1], base={"parts": parts[1:2]}),
    )

    assert outcomes(results) == ["applied", "merged", "conflict"]
    assert Batch.objects.get().parts[0]["volume"]["value"] == "11"


def test_a_question_and_its_answer_are_never_of_two_people(coordinator, ground):
    session = Session.objects.get(id=ground.session())
    coordinator.does("session", "amend", id=session.id, had_incident=False, reason="asked")

    (result,) = pushed(coordinator, amend(session, had_incident=True, incident="a cup tipped over"))

    assert result["outcome"] == "conflict"
    assert result["fields"].keys() == {"had_incident", "incident"}
    assert Session.objects.get().incident == ""


def test_what_is_merged_and_cannot_be_true_is_a_conflict(coordinator, ground):
    line = ground.line(
        ground.session(), ground.batch(), "20",
        area={"value": "2", "unit": "acre"}, infested_area={"value": "1", "unit": "acre"},
    )  # fmt: skip
    coordinator.does("application", "amend", id=line.id, area={"value": "1", "unit": "acre"}, reason="paced")

    (result,) = pushed(coordinator, amend(line, infested_area={"value": "1.5", "unit": "acre"}))

    assert (result["outcome"], result["code"]) == ("conflict", "infested_above_treated")
    assert Application.objects.get().infested_area_value == "1"
    assert ToSettle.objects.get().fields is None


def test_void_against_amend_is_a_conflict_and_void_against_void_is_none(coordinator, line):
    coordinator.does("application", "amend", id=line.id, stems=6, reason="counted")
    void = {"id": line.id, "reason": "entered twice"}

    results = pushed(
        coordinator,
        sent("application", "void", base_rev=1, **void),
        sent("application", "void", base_rev=2, **void),
        sent("application", "void", base_rev=2, **void),
        amend(line, stems=7, base_rev=2),
    )

    assert outcomes(results) == ["conflict", "applied", "noop", "conflict"]
    assert (results[0]["code"], results[3]["code"]) == ("conflict", "voided")
    assert Application.objects.get().stems == 6


def test_a_conflict_takes_its_whole_group_along(coordinator, fen):
    results = pushed(coordinator, amend(fen, note="dry", tx="A"), amend(fen, name="Edge", tx="A"))

    assert [(r["outcome"], r["code"]) for r in results] == [("held", "conflict"), ("conflict", "conflict")]
    assert Property.objects.get().note == "wet"
    assert len(set(ToSettle.objects.values_list("together", flat=True))) == 1


def test_what_somebody_may_not_change_is_no_conflict_and_tells_no_value(cast, fen):
    (result,) = pushed(cast.volunteer, amend(fen, name="Edge"))

    assert (result["outcome"], result["code"]) == ("held", "not_permitted")
    assert "fields" not in result


def test_through_rest_nothing_is_merged(coordinator, fen):
    with pytest.raises(Conflict):
        coordinator.does("property", "amend", id=fen.id, time_zone="America/Denver", base_rev=1)

    assert not ToSettle.objects.exists()


# -- again, and how much it costs ------------------------------------------------------------------


def test_the_same_conflict_again_is_answered_alike_and_kept_once(coordinator, fen):
    mutation = amend(fen, name="Edge")
    (first,) = pushed(coordinator, mutation)

    (again,) = with_device(coordinator.member, "tablet").pushes(mutation).results

    assert again == first | {"replayed": True}
    assert ToSettle.objects.count() == 1


def test_merging_costs_the_same_statements_for_1_10_and_500(coordinator):
    made = [coordinator.does("property", "create", name=str(i)).record for i in range(2)]
    coordinator.pushes(amend(made[0], name="changed", note="x"), amend(made[1], name="changed"))

    def counted(count):
        with CaptureQueriesContext(connection) as seen:
            results = pushed(
                coordinator,
                amend(made[0], note=f"line {count}"),
                *[amend(made[i % 2], name=f"{count} {i}") for i in range(count)],
            )
        assert set(outcomes(results[1:])) == {"conflict"}
        return len(seen)

    counts = {count: counted(count) for count in (1, 10, 500)}

    assert len(set(counts.values())) == 1, counts
