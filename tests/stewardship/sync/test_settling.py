"""What was held waits for a person: released in its author's name, decided field by field, or voided."""

import json

import msgspec
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.errors import Conflict, NotPermitted, ReasonMissing, Unavailable
from stewardship.journal.ids import new_id
from stewardship.journal.models import Revision
from stewardship.places.models import Property
from stewardship.rules.shares import BatchOverdrawn
from stewardship.sync.models import ToSettle
from stewardship.sync.reading import Sent
from stewardship.sync.settling import AlreadySettled, ChoiceMissing, NothingDisputed
from stewardship.treatments.models import Application
from tests.cast import AT, sent
from tests.concurrency import in_threads
from tests.database import everything
from tests.ground import fl_oz, lay_out
from tests.stewardship.sync.settled import WHY, codes, item_of, new_property, unit_in, waiting
from tests.stewardship.sync.test_pull import page

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def theirs(volunteer):
    """Give what is held of a volunteer who entered a property, which a coordinator does."""
    return item_of(volunteer.pushes(new_property("Fen Edge")).results[0])


@pytest.fixture
def disputed(coordinator):
    """Give a conflict about two fields of a property, and one more that nobody disputes."""
    fen = coordinator.does("property", "create", name="Fen", time_zone="America/Denver").record
    coordinator.does("property", "amend", id=fen.id, name="Fen Edge", time_zone="America/Boise")
    wish = {"name": "Fen End", "time_zone": "America/Chicago", "note": "wet"}
    return item_of(coordinator.pushes(sent("property", "amend", wish, id=fen.id, base_rev=1)).results[0])


# -- kept ------------------------------------------------------------------------------------------


def test_what_is_held_is_kept_with_who_when_and_all_that_was_sent(volunteer):
    mutation = new_property("Fen Edge", reason="because", n=1, at=AT)

    item = item_of(volunteer.pushes(mutation).results[0])

    assert (item.mid, item.type, item.op, item.code) == (mutation.mid, "property", "create", "not_permitted")
    assert (item.author_id, item.entered_by_id, item.device) == (
        volunteer.member.id, volunteer.person.id, volunteer.device.id,
    )  # fmt: skip
    assert (item.said_at, item.received_at, item.state) == (AT, AT, "waiting")
    assert msgspec.json.decode(item.payload, type=Sent) == mutation


def test_what_is_unreadable_keeps_all_that_is_wrong_with_it(coordinator):
    item = item_of(coordinator.pushes(sent("property", "create", {"name": "", "colour": 1})).results[0])

    assert {problem["pointer"] for problem in item.problems} == {"/name", "/colour"}


def test_its_author_and_the_coordinators_pull_it_and_nobody_else(cast, theirs):
    def seen(someone):
        return [put["d"] for put in page(someone)[0] if put["t"] == "to_settle"]

    for someone in (cast.volunteer, cast.coordinator):
        (told,) = seen(someone)
        assert (told["code"], told["state"], told["author"]) == (
            "not_permitted", "waiting", str(cast.volunteer.member.id),
        )  # fmt: skip
        assert json.loads(told["payload"])["set"] == {"name": "Fen Edge"}
    assert seen(cast.other_volunteer) == seen(cast.reviewer) == []


def test_through_rest_nothing_is_kept_to_settle(volunteer):
    before = everything()

    with pytest.raises(NotPermitted):
        volunteer.does("property", "create", name="Fen Edge")

    assert everything() == before


def test_holding_costs_the_same_statements_for_1_10_and_500(volunteer):
    volunteer.pushes(new_property("first"))

    def counted(count):
        with CaptureQueriesContext(connection) as seen:
            taken = volunteer.pushes(*[new_property(str(i)) for i in range(count)])
        assert set(codes(taken)) == {"not_permitted"}
        return len(seen)

    counts = {count: counted(count) for count in (1, 10, 500)}

    assert len(set(counts.values())) == 1, counts
    assert waiting(volunteer) == 512


# -- released --------------------------------------------------------------------------------------


def test_a_release_performs_it_in_the_authors_name_and_both_are_on_record(cast, theirs):
    done = cast.coordinator.does("to_settle", "release", id=theirs.id, **WHY)

    made = Property.objects.get()
    first = Revision.objects.get(record_id=made.id)
    assert (made.name, made.entered_by_id) == ("Fen Edge", cast.volunteer.person.id)
    assert (first.by_id, first.op, str(first.mid)) == (cast.coordinator.person.id, "create", done.result["mid"])
    item = ToSettle.objects.get()
    assert (item.state, item.settled_by_id, item.settled_at, item.settled_why) == (
        "released", cast.coordinator.member.id, AT, "he telephoned",
    )  # fmt: skip
    assert Revision.objects.get(record_id=item.id, rev=2).reason == "he telephoned"
    assert waiting(cast.coordinator) == 0


def test_a_device_that_sends_a_released_entry_again_gets_the_stored_answer(cast):
    mutation = new_property("Fen Edge", n=1)
    first = cast.volunteer.pushes(mutation).results[0]
    cast.coordinator.does("to_settle", "release", id=first["to_settle"], **WHY)

    assert cast.volunteer.pushes(mutation).results == [first | {"replayed": True}]
    assert Property.objects.count() == 1


def test_what_still_breaks_a_rule_is_refused_by_that_rule_and_waits_on(cast):
    ground = lay_out(cast.coordinator)
    batch, session = ground.batch(), ground.session()
    told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "method": "basal_bark"}
    line = sent("application", "create", told | {"mix": fl_oz("65"), "how_known": "measured"})
    item = item_of(cast.volunteer.pushes(line).results[0])
    before = everything()

    with pytest.raises(BatchOverdrawn):
        cast.coordinator.does("to_settle", "release", id=item.id, **WHY)

    assert everything() == before
    cast.coordinator.does("batch", "amend", id=batch, mix=fl_oz("70"), reason="read again")
    cast.coordinator.does("to_settle", "release", id=item.id, **WHY)
    made = Application.objects.get()
    assert (made.mix_value, made.entered_by_id) == ("65", cast.volunteer.person.id)


def test_a_release_through_a_push_that_still_breaks_a_rule_is_held_itself(cast):
    item = item_of(cast.volunteer.pushes(unit_in(new_id())).results[0])

    taken = cast.coordinator.pushes(sent("to_settle", "release", id=item.id, **WHY))

    assert codes(taken) == ["target_unavailable"]
    assert (ToSettle.objects.get(id=item.id).state, waiting(cast.coordinator)) == ("waiting", 2)
    with pytest.raises(Exception, match="Settle that one"):
        cast.coordinator.does("to_settle", "release", id=taken.results[0]["to_settle"], **WHY)


def test_a_release_through_a_push_does_what_rest_does(cast, theirs):
    taken = cast.coordinator.pushes(sent("to_settle", "release", id=theirs.id, **WHY))

    assert codes(taken) == ["applied"]
    assert Property.objects.get().entered_by_id == cast.volunteer.person.id


def test_what_a_member_sent_who_left_since_is_released_in_their_name(cast):
    item = item_of(cast.former.pushes(new_property("Fen Edge")).results[0])

    cast.coordinator.does("to_settle", "release", id=item.id, **WHY)

    assert Property.objects.get().entered_by_id == cast.former.person.id


@pytest.mark.parametrize("who", ["volunteer", "reviewer", "former"])
def test_nobody_but_a_coordinator_releases(cast, who):
    someone = getattr(cast, who)
    item = item_of(someone.pushes(new_property("Fen Edge")).results[0])

    with pytest.raises(NotPermitted):
        someone.does("to_settle", "release", id=item.id, **WHY)


def test_a_release_says_why(coordinator, theirs):
    with pytest.raises(ReasonMissing):
        coordinator.does("to_settle", "release", id=theirs.id)


def test_of_many_that_release_it_at_once_one_does(cast, theirs):
    told = in_threads([lambda: cast.coordinator.does("to_settle", "release", id=theirs.id, **WHY) for _ in range(4)])

    assert sorted(type(each).__name__ for each in told) == [*["AlreadySettled"] * 3, "Done"]
    assert Property.objects.count() == 1
    assert waiting(cast.coordinator) == 0


def test_what_one_push_releases_twice_is_done_once(cast, theirs):
    taken = cast.coordinator.pushes(*[sent("to_settle", "release", id=theirs.id, **WHY) for _ in range(2)])

    assert codes(taken) == ["applied", "already_settled"]
    assert Property.objects.count() == 1


def test_500_releases_cost_the_statements_of_one(cast):
    def counted(count):
        items = [result["to_settle"] for result in cast.volunteer.pushes(*map(new_property, "x" * count)).results]
        with CaptureQueriesContext(connection) as seen:
            taken = cast.coordinator.pushes(*[sent("to_settle", "release", id=id, **WHY) for id in items])
        assert set(codes(taken)) == {"applied"}
        return len(seen)

    counted(1)
    counts = {count: counted(count) for count in (1, 10, 500)}

    assert len(set(counts.values())) == 1, counts


# -- settled ---------------------------------------------------------------------------------------


CHOICES = [
    ({"name": "theirs", "time_zone": "theirs"}, ("Fen End", "America/Chicago")),
    ({"name": "ours", "time_zone": "theirs"}, ("Fen Edge", "America/Chicago")),
    ({"name": "theirs", "time_zone": "ours"}, ("Fen End", "America/Boise")),
    ({"name": "ours", "time_zone": "ours"}, ("Fen Edge", "America/Boise")),
]


@pytest.mark.parametrize(("fields", "stands"), CHOICES)
def test_a_conflict_is_decided_field_by_field_and_the_rest_goes_along(coordinator, disputed, fields, stands):
    assert disputed.fields.keys() == {"name", "time_zone"}

    coordinator.does("to_settle", "settle", id=disputed.id, fields=fields, **WHY)

    place = Property.objects.get()
    assert ((place.name, place.time_zone), place.note) == (stands, "wet")
    assert ToSettle.objects.get().state == "settled"
    assert waiting(coordinator) == 0


def test_one_half_of_a_unit_is_decided_for_the_author(cast):
    ground = lay_out(cast.coordinator)
    line = ground.line(ground.session(), ground.batch(), "20", by=cast.volunteer)
    told = {"id": line.id, "reason": "measured anew"}
    cast.coordinator.does("application", "amend", how_known="measured", **told)
    taken = cast.volunteer.pushes(sent("application", "amend", {"mix": fl_oz("25")}, base_rev=1, **told))
    assert codes(taken) == ["conflict"]

    item = taken.results[0]["to_settle"]
    cast.coordinator.does("to_settle", "settle", id=item, fields={"mix": "theirs"}, **WHY)

    made = Application.objects.get()
    assert (made.mix_value, made.how_known) == ("25", "measured")


def test_what_changed_again_is_not_settled_by_what_stood_before(coordinator, disputed):
    coordinator.does("property", "amend", id=disputed.target, name="Sedge Bottom")

    with pytest.raises(Conflict):
        coordinator.does("to_settle", "settle", id=disputed.id, fields=CHOICES[0][0], **WHY)

    assert Property.objects.get().name == "Sedge Bottom"


def test_a_release_of_what_is_disputed_is_refused(coordinator, disputed):
    with pytest.raises(Conflict):
        coordinator.does("to_settle", "release", id=disputed.id, **WHY)


@pytest.mark.parametrize("fields", [{"name": "theirs"}, {"name": "ours", "time_zone": "ours", "note": "ours"}])
def test_each_disputed_field_is_decided_and_no_other(coordinator, disputed, fields):
    with pytest.raises(ChoiceMissing) as refused:
        coordinator.does("to_settle", "settle", id=disputed.id, fields=fields, **WHY)

    assert "name, time_zone" in str(refused.value)


def test_where_nothing_is_disputed_there_is_nothing_to_decide(coordinator, theirs):
    with pytest.raises(NothingDisputed):
        coordinator.does("to_settle", "settle", id=theirs.id, fields={"name": "ours"}, **WHY)


def test_a_void_that_met_a_correction_is_done_by_a_release(cast):
    ground = lay_out(cast.coordinator)
    line = ground.line(ground.session(), ground.batch(), "20", by=cast.volunteer)
    told = {"id": line.id, "reason": "entered twice"}
    cast.coordinator.does("application", "amend", stems=6, **told)
    taken = cast.volunteer.pushes(sent("application", "void", base_rev=1, **told))
    assert codes(taken) == ["conflict"]

    cast.coordinator.does("to_settle", "release", id=taken.results[0]["to_settle"], **WHY)

    assert Application.objects.get().voided_at


# -- voided ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["volunteer", "coordinator"])
def test_its_author_or_a_coordinator_voids_it(cast, theirs, who):
    getattr(cast, who).does("to_settle", "void", id=theirs.id, **WHY)

    item = ToSettle.objects.get()
    assert (item.state, item.settled_by_id) == ("voided", getattr(cast, who).member.id)
    assert waiting(cast.coordinator) == 0
    assert not Property.objects.exists()
    assert getattr(cast, who).does("to_settle", "void", id=theirs.id, **WHY).result["outcome"] == "noop"


def test_nobody_else_voids_it(cast, theirs):
    for someone in (cast.other_volunteer, cast.reviewer):
        with pytest.raises(Unavailable):
            someone.does("to_settle", "void", id=theirs.id, **WHY)


def test_a_group_is_voided_together(cast):
    taken = cast.volunteer.pushes(new_property("Fen", tx="A"), new_property("Edge", tx="A"), new_property("End"))

    cast.volunteer.does("to_settle", "void", id=taken.results[0]["to_settle"], **WHY)

    assert [item_of(result).state for result in taken.results] == ["voided", "voided", "waiting"]
    assert waiting(cast.coordinator) == 1


def test_what_was_voided_is_not_released(coordinator, theirs):
    coordinator.does("to_settle", "void", id=theirs.id, **WHY)

    with pytest.raises(AlreadySettled) as refused:
        coordinator.does("to_settle", "release", id=theirs.id, **WHY)

    assert "it was voided" in str(refused.value)
