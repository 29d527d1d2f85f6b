"""One mutation through the door of REST and pages: done once, whole, or refused without a trace."""

import pytest

from stewardship.accounts.capabilities import CAPABILITIES
from stewardship.errors import (
    Conflict,
    IdTaken,
    NotPermitted,
    ReasonMissing,
    RuleViolation,
    Unavailable,
    Unreadable,
)
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property, Unit
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.perform import MutationReused
from stewardship.sync.verbs import VERBS
from tests.cast import sent
from tests.database import everything

pytestmark = pytest.mark.django_db


@pytest.fixture
def fen(coordinator):
    """Give a property of the group."""
    return coordinator.does("property", "create", name="Fen Edge").record


def head(someone):
    return Book.objects.get(group_id=someone.group_id).head


def test_what_is_done_is_told_with_its_revision_and_number(coordinator):
    mid = new_id()

    done = coordinator.does("property", "create", name="Fen Edge", mid=mid)

    number = head(coordinator)
    assert done.result == {"mid": str(mid), "outcome": "applied", "id": str(done.record.id), "rev": 1, "seq": number}
    assert not done.replayed
    assert Revision.objects.get(group_id=coordinator.group_id, seq=number).mid == mid


def test_the_ledger_keeps_the_answer_and_no_payload(coordinator):
    done = coordinator.does("property", "create", name="Fen Edge")

    line = Mutation.objects.get(mid=done.result["mid"])
    assert (line.outcome, line.type, line.op, line.payload, line.n) == ("applied", "property", "create", None, None)
    assert (line.by_id, line.device_id) == (coordinator.person.id, None)
    assert not Outbox.objects.exists()


def test_a_client_may_choose_the_id(coordinator):
    id = new_id()

    assert coordinator.does("property", "create", id=id, name="Fen Edge").record.id == id


def test_the_same_again_is_answered_from_the_ledger_and_changes_nothing(coordinator):
    mutation = sent("property", "create", {"name": "Fen Edge"})
    first = coordinator.does_sent(mutation)
    before = everything()

    again = coordinator.does_sent(mutation)

    assert again.replayed
    assert again.result == first.result
    assert everything() == before


def test_the_answer_stays_the_first_one_whatever_happened_since(coordinator, fen):
    mutation = sent("property", "amend", {"name": "Fen"}, id=fen.id)
    first = coordinator.does_sent(mutation).result
    coordinator.does("property", "amend", id=fen.id, name="Edge")

    assert coordinator.does_sent(mutation).result == first
    assert Property.objects.get(id=fen.id).name == "Edge"


@pytest.mark.parametrize(
    "change",
    [{"set": {"name": "Other"}}, {"op": "amend"}, {"reason": "another"}, {"type": "unit"}, {"base_rev": 4}],
    ids=str,
)
def test_other_words_under_a_used_id_are_refused(coordinator, fen, change):
    mid = new_id()
    said = {"type": "property", "op": "create", "set": {"name": "Fen Edge"}, "mid": mid}
    coordinator.does_sent(sent(**said))
    other = said | change
    if other["op"] == "amend":
        other["id"] = fen.id
    if other["type"] == "unit":
        other["set"] = {"name": "Fen Edge", "property": str(fen.id)}
    before = everything()

    with pytest.raises(MutationReused) as refused:
        coordinator.does_sent(sent(**other))

    assert refused.value.code == "mid_reused"
    assert everything() == before


def test_when_and_under_which_number_it_was_said_makes_no_other_words(coordinator):
    mid = new_id()
    coordinator.does_sent(sent("property", "create", {"name": "Fen"}, mid=mid, n=4, tx="A"))

    assert coordinator.does_sent(sent("property", "create", {"name": "Fen"}, mid=mid)).replayed


def test_a_mutation_id_belongs_to_its_group_alone(coordinator, stranger):
    mutation = sent("property", "create", {"name": "Fen Edge"})

    coordinator.does_sent(mutation)
    done = stranger.does_sent(mutation)

    assert done.result["outcome"] == "applied"
    assert Property.objects.count() == 2


# -- the same record again -------------------------------------------------------------------------


def test_the_same_new_record_under_another_id_of_the_mutation_is_no_change(coordinator):
    words = {"id": str(new_id()), "name": "Fen Edge"}
    first = coordinator.does_sent(sent("property", "create", words))
    before = head(coordinator)

    again = coordinator.does_sent(sent("property", "create", words))

    assert again.result["outcome"] == "noop"
    assert again.record.id == first.record.id
    assert head(coordinator) == before


def test_a_record_that_changed_since_is_still_the_one_that_was_made(coordinator):
    words = {"id": str(new_id()), "name": "Fen Edge"}
    coordinator.does_sent(sent("property", "create", words))
    coordinator.does("property", "amend", id=words["id"], name="Fen")

    again = coordinator.does_sent(sent("property", "create", words))

    assert (again.result["outcome"], again.result["rev"]) == ("noop", 2)


def test_an_id_is_taken_by_other_content(coordinator, fen):
    with pytest.raises(IdTaken):
        coordinator.does("property", "create", id=fen.id, name="Other")


def test_an_id_is_taken_by_another_author(coordinator, volunteer, fen):
    coordinator.does("member", "amend", id=volunteer.member.id, role="coordinator")
    volunteer.read_again()

    with pytest.raises(IdTaken):
        volunteer.does("property", "create", id=fen.id, name="Fen Edge")


def test_an_id_is_taken_by_another_group(stranger, fen):
    with pytest.raises(IdTaken) as refused:
        stranger.does("property", "create", id=fen.id, name="Fen Edge")

    assert "Fen Edge" not in str(refused.value)
    assert Property.objects.count() == 1


def test_an_id_is_taken_by_another_type(coordinator, fen):
    with pytest.raises(IdTaken):
        coordinator.does("unit", "create", id=fen.id, name="North", property=fen.id)

    assert not Unit.objects.exists()


# -- the revision that was read --------------------------------------------------------------------


def test_a_change_of_what_was_read_is_applied(coordinator, fen):
    assert coordinator.does("property", "amend", id=fen.id, name="Fen", base_rev=1).result["rev"] == 2


@pytest.mark.parametrize("base_rev", [0, 1, 3, -1, 2**80])
def test_a_change_of_what_somebody_else_changed_is_a_conflict(coordinator, fen, base_rev):
    coordinator.does("property", "amend", id=fen.id, name="Fen")
    before = everything()

    with pytest.raises(Conflict):
        coordinator.does("property", "amend", id=fen.id, name="Edge", base_rev=base_rev)

    assert everything() == before


def test_a_stale_change_to_what_is_already_so_is_no_change(coordinator, fen):
    coordinator.does("property", "amend", id=fen.id, name="Fen")

    done = coordinator.does("property", "amend", id=fen.id, name="Fen", base_rev=1)

    assert (done.result["outcome"], done.result["rev"]) == ("noop", 2)


def test_ending_twice_is_no_change_even_with_a_stale_revision(coordinator, volunteer):
    coordinator.does("member", "end", id=volunteer.member.id, base_rev=1)

    assert coordinator.does("member", "end", id=volunteer.member.id, base_rev=1).result["outcome"] == "noop"


def test_a_change_without_a_base_asks_nothing(coordinator, fen):
    coordinator.does("property", "amend", id=fen.id, name="Fen")

    assert coordinator.does("property", "amend", id=fen.id, name="Edge").result["rev"] == 3


def test_no_change_uses_no_number(coordinator, fen):
    before = head(coordinator)

    done = coordinator.does("property", "amend", id=fen.id, name="Fen Edge")

    assert done.result["outcome"] == "noop"
    assert "seq" not in done.result
    assert head(coordinator) == before


def test_a_correction_keeps_its_reason(coordinator, fen):
    coordinator.does("property", "amend", id=fen.id, name="Fen", reason="a slip")

    assert Revision.objects.get(record_id=fen.id, rev=2).reason == "a slip"


# -- refused ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["volunteer", "reviewer", "former"])
def test_who_may_not_is_refused(cast, who):
    with pytest.raises(NotPermitted):
        getattr(cast, who).does("property", "create", name="Fen Edge")


def test_the_same_answer_for_an_unknown_id_and_one_of_another_group(coordinator, stranger, fen):
    told = []
    for id in (fen.id, new_id()):
        for type, op, id_, values in [
            ("property", "amend", id, {"name": "x"}),
            ("unit", "create", None, {"name": "x", "property": str(id)}),
            ("unit", "amend", id, {"name": "x"}),
        ]:
            with pytest.raises(Unavailable) as refused:
                stranger.does(type, op, id=id_, **values)
            told.append((type, op, refused.value.code, str(refused.value), refused.value.where))

    assert told[:3] == told[3:]


def test_an_id_of_another_type_is_as_unavailable(coordinator, fen):
    unit = coordinator.does("unit", "create", name="North", property=fen.id).record

    with pytest.raises(Unavailable):
        coordinator.does("unit", "create", name="South", property=unit.id)


def test_a_reason_is_asked_for_where_the_verb_says_so(coordinator, fen, monkeypatch):
    import dataclasses

    strict = dataclasses.replace(VERBS["property", "amend"], reason=True)
    monkeypatch.setitem(VERBS, ("property", "amend"), strict)

    for reason in ("", "   ", "\n"):
        with pytest.raises(ReasonMissing):
            coordinator.does("property", "amend", id=fen.id, name="Fen", reason=reason)
    assert coordinator.does("property", "amend", id=fen.id, name="Fen", reason="a slip").result["rev"] == 2


def test_an_act_of_ones_own_is_refused_to_others_but_coordinators(cast, monkeypatch):
    import dataclasses

    for op in ("create", "amend"):
        open_to_all = dataclasses.replace(VERBS["property", op], may="record_work", own=True)
        monkeypatch.setitem(VERBS, ("property", op), open_to_all)
    made = cast.volunteer.does("property", "create", name="Fen Edge").record

    with pytest.raises(NotPermitted, match="Only the person who entered this"):
        cast.other_volunteer.does("property", "amend", id=made.id, name="Fen")

    assert cast.volunteer.does("property", "amend", id=made.id, name="Edge").result["rev"] == 2
    assert cast.coordinator.does("property", "amend", id=made.id, name="Fen Edge").result["rev"] == 3


REFUSED = [
    ("unreadable", lambda c, fen: sent("property", "create", {"name": "", "colour": 1})),
    ("unreadable", lambda c, fen: sent("property", "paint", {})),
    ("target_unavailable", lambda c, fen: sent("property", "amend", {"name": "x"}, id=new_id())),
    ("target_unavailable", lambda c, fen: sent("unit", "create", {"name": "x", "property": str(new_id())})),
    ("id_taken", lambda c, fen: sent("property", "create", {"id": str(fen.id), "name": "x"})),
    ("id_taken", lambda c, fen: sent("unit", "create", {"id": str(fen.id), "name": "x", "property": str(fen.id)})),
    ("conflict", lambda c, fen: sent("property", "amend", {"name": "x"}, id=fen.id, base_rev=7)),
    ("last_coordinator", lambda c, fen: sent("member", "end", id=c.coordinator.member.id)),
    ("already_member", lambda c, fen: sent("member", "create", {
        "display_name": "T", "role": "volunteer", "email": "TOBIAS@tamarack.example"})),
]  # fmt: skip


@pytest.mark.parametrize(("code", "mutation"), REFUSED, ids=[f"{i}-{code}" for i, (code, _) in enumerate(REFUSED)])
def test_a_refusal_leaves_every_table_as_it_was_and_its_id_unused(cast, fen, code, mutation):
    mutation = mutation(cast, fen)
    before = everything()

    with pytest.raises(RuleViolation) as refused:
        cast.coordinator.does_sent(mutation)

    assert refused.value.code == code
    assert everything() == before
    good = sent("property", "create", {"name": "Sedge Bottom"}, mid=mutation.mid)
    assert cast.coordinator.does_sent(good).result["outcome"] == "applied"


def test_all_that_is_wrong_is_told_at_once(coordinator):
    with pytest.raises(Unreadable) as refused:
        coordinator.does("property", "create", name="", colour="green", time_zone="Mars/Base")

    pointers = sorted(problem["pointer"] for problem in refused.value.facts["errors"])
    assert pointers == ["/colour", "/name", "/time_zone"]


def test_a_mutation_id_of_somebody_else_is_not_answered_with_their_answer(cast):
    mid = new_id()
    cast.coordinator.does("property", "create", mid=mid, name="Fen Edge")

    with pytest.raises(MutationReused):
        cast.reviewer.does("property", "create", mid=mid, name="Fen Edge")


def test_a_record_that_is_not_for_the_person_is_as_unavailable_as_an_unknown_one(cast, monkeypatch):
    licence = {"covers": "saw", "issued_on": "2027-01-01", "received_on": "2027-01-01", "expires_on": "2028-01-01"}
    theirs = cast.coordinator.does("credential", "create", holder=cast.volunteer.member.id, **licence).record
    everybody = frozenset({"coordinator", "volunteer", "reviewer"})
    monkeypatch.setitem(CAPABILITIES, "manage_credentials", everybody)

    with pytest.raises(Unavailable):
        cast.other_volunteer.does("credential", "amend", id=theirs.id, note="mine?", reason="curious")
    assert cast.volunteer.does("credential", "amend", id=theirs.id, note="in my wallet", reason="so").result["rev"] == 2
