"""A device's push: every mutation ends in a stored outcome, in its place, whatever the others are."""

import msgspec
import orjson
import pytest

from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property, Unit
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.perform import DeviceForked, Gap
from stewardship.sync.reading import Sent
from tests.cast import sent, with_device
from tests.database import everything

pytestmark = pytest.mark.django_db


@pytest.fixture
def fen(coordinator):
    """Give a property of the group."""
    return coordinator.does("property", "create", name="Fen Edge").record


def new_property(name, **more):
    return sent("property", "create", {"name": name}, **more)


def outcomes(taken):
    return [result.get("code") or result["outcome"] for result in taken.results]


def head(someone):
    return Book.objects.get(group_id=someone.group_id).head


# -- taken in order --------------------------------------------------------------------------------


def test_results_come_in_the_order_sent_with_numbers_in_that_order(coordinator):
    before = head(coordinator)

    taken = coordinator.pushes(*[new_property(str(i)) for i in range(5)])

    assert outcomes(taken) == ["applied"] * 5
    assert [result["seq"] for result in taken.results] == [before + i for i in range(1, 6)]
    assert (taken.last_n, taken.head) == (5, before + 5)


def test_what_comes_later_builds_on_what_came_before_in_the_same_push(coordinator):
    fen, unit = str(new_id()), str(new_id())

    taken = coordinator.pushes(
        sent("property", "create", {"id": fen, "name": "Fen"}),
        sent("unit", "create", {"id": unit, "name": "North", "property": fen}),
        sent("unit", "amend", {"name": "South"}, id=unit, base_rev=1),
        sent("property", "amend", {"name": "Fen"}, id=fen),
    )

    assert outcomes(taken) == ["applied", "applied", "applied", "noop"]
    assert Unit.objects.get().name == "South"


def test_the_revisions_name_device_author_and_mutation(coordinator):
    taken = coordinator.pushes(new_property("Fen"))

    told = Revision.objects.get(group_id=coordinator.group_id, seq=taken.head)
    assert (told.device_id, told.by_id, str(told.mid)) == (
        coordinator.device.id, coordinator.person.id, taken.results[0]["mid"],
    )  # fmt: skip


def test_an_empty_push_is_no_push(coordinator):
    before = head(coordinator)

    taken = coordinator.pushes()

    assert (taken.results, taken.last_n, taken.head) == ([], 0, before)


# -- held ------------------------------------------------------------------------------------------


def test_what_breaks_a_rule_is_held_with_all_that_was_sent(volunteer):
    mutation = new_property("Fen", reason="because", n=1)

    taken = volunteer.pushes(mutation)

    (result,) = taken.results
    assert (result["outcome"], result["code"]) == ("held", "not_permitted")
    assert result["detail"].endswith("A coordinator can.")
    line = Mutation.objects.get(mid=mutation.mid)
    assert (line.outcome, orjson.loads(line.result)) == ("held", result)
    assert msgspec.json.decode(line.payload, type=Sent) == mutation
    assert not Property.objects.exists()


def test_what_is_held_is_numbered_itself_and_counted(volunteer):
    before = head(volunteer)

    taken = volunteer.pushes(new_property("Fen"), new_property("Edge"))

    assert (taken.last_n, head(volunteer)) == (2, before + 2)
    kept = Revision.objects.filter(group_id=volunteer.group_id, seq__gt=before).values_list("kind", "op")
    assert list(kept) == [("to_settle", "hold")] * 2
    assert Book.objects.get(group_id=volunteer.group_id).held == 2


def test_a_former_members_work_is_kept_not_lost(former):
    taken = former.pushes(new_property("Fen"))

    assert outcomes(taken) == ["not_permitted"]
    assert Mutation.objects.get(mid=taken.results[0]["mid"]).payload


def test_unreadable_is_held_with_all_pointers(coordinator):
    taken = coordinator.pushes(sent("property", "create", {"name": "", "colour": 1}), sent("moon", "land", {}))

    assert outcomes(taken) == ["unreadable", "unreadable"]
    assert {problem["pointer"] for problem in taken.results[0]["errors"]} == {"/name", "/colour"}
    assert taken.results[1]["errors"][0]["code"] == "verb_unknown"


def test_a_change_of_what_was_changed_is_a_conflict_and_the_servers_value_stands(coordinator, fen):
    coordinator.does("property", "amend", id=fen.id, name="Fen")

    taken = coordinator.pushes(sent("property", "amend", {"name": "Edge"}, id=fen.id, base_rev=1))

    assert outcomes(taken) == ["conflict"]
    assert Property.objects.get().name == "Fen"


def test_a_type_or_op_longer_than_its_column_is_held_whole(coordinator):
    mutation = sent("t" * 500, "o" * 500, {"name": "x"})

    taken = coordinator.pushes(mutation)

    assert outcomes(taken) == ["unreadable"]
    assert msgspec.json.decode(Mutation.objects.get(mid=mutation.mid).payload, type=Sent).type == "t" * 500


# -- again -----------------------------------------------------------------------------------------


def test_the_same_push_again_is_answered_alike_and_changes_nothing(coordinator, volunteer):
    for someone in (coordinator, volunteer):
        mutations = [new_property("Fen", n=1), new_property("Edge", n=2), sent("moon", "land", {}, n=3)]
        first = someone.pushes(*mutations)
        before = everything()

        again = someone.pushes(*mutations)

        assert again.results == [result | {"replayed": True} for result in first.results]
        assert (again.last_n, again.head) == (first.last_n, first.head)
        assert everything() == before


def test_any_push_that_comes_again_leaves_the_book_where_it_was(coordinator, fen):
    """Invariant I14: with any outcome, whole or in parts, in any order, from this device or another."""
    coordinator.does("property", "amend", id=fen.id, name="Fen")
    mid, slip = new_id(), {"id": fen.id, "base_rev": 1}
    mutations = [
        new_property("a", mid=mid), new_property("b", mid=mid), new_property("c"), sent("moon", "land", {}),
        sent("property", "amend", {"name": "Fen"}, id=fen.id), sent("property", "amend", {"note": "wet"}, **slip),
        sent("property", "amend", {"name": "Edge"}, **slip), new_property("d", tx="A"), new_property("", tx="A"),
    ]  # fmt: skip
    mutations = [msgspec.structs.replace(each, n=n) for n, each in enumerate(mutations, 1)]
    first = coordinator.pushes(*mutations)
    told = ["applied", "mid_reused", "applied", "unreadable", "noop", "merged", "conflict", "unreadable", "unreadable"]
    assert outcomes(first) == told
    other = with_device(coordinator.member, "tablet")
    before = everything()

    for again in [mutations, mutations[::-1], *[mutations[:n] for n in range(9)], *[[each] for each in mutations]]:
        taken = coordinator.pushes(*again)
        assert all(result["replayed"] for result in taken.results)
        assert (taken.head, everything()) == (first.head, before)
    taken = other.pushes(*[msgspec.structs.replace(each, n=n) for n, each in enumerate(reversed(mutations), 1)])
    changed = everything()
    assert taken.head == first.head
    assert {table for table in before if changed[table] != before[table]} == {"sync_outbox"}


@pytest.mark.parametrize("cut", range(5))
def test_a_push_that_overlaps_an_earlier_one_adds_only_what_is_new(coordinator, cut):
    """Invariant I4: a prefix that had arrived is known."""
    mutations = [new_property(str(i), n=i + 1) for i in range(5)]
    coordinator.pushes(*mutations[:cut])

    taken = coordinator.pushes(*mutations)

    assert [result.get("replayed", False) for result in taken.results] == [True] * cut + [False] * (5 - cut)
    assert (Property.objects.count(), taken.last_n) == (5, 5)


def test_a_mutation_that_stands_twice_in_one_push_is_done_once(coordinator):
    mutation = new_property("Fen", n=1)

    taken = coordinator.pushes(mutation, mutation, new_property("Edge", n=2))

    assert outcomes(taken) == ["applied"] * 3
    assert taken.results[0]["id"] == taken.results[1]["id"]
    assert (Property.objects.count(), taken.last_n) == (2, 2)


def test_what_rest_did_is_known_to_a_push_and_the_other_way_round(coordinator):
    mutation = new_property("Fen")
    done = coordinator.does_sent(mutation)

    taken = coordinator.pushes(mutation, other := new_property("Edge"))

    assert taken.results[0] == done.result | {"replayed": True}
    assert coordinator.does_sent(other).replayed


def test_other_words_under_a_used_id_are_held_under_an_id_of_their_own(coordinator):
    mutation = new_property("Fen")
    first = coordinator.pushes(mutation)

    other = new_property("Other", mid=mutation.mid, n=2)
    taken = coordinator.pushes(other)

    assert outcomes(taken) == ["mid_reused"]
    assert taken.results[0]["mid"] == str(mutation.mid)
    line = Mutation.objects.get(payload__isnull=False)
    assert line.mid != mutation.mid
    assert msgspec.json.decode(line.payload, type=Sent) == other
    assert coordinator.pushes(other).results == [taken.results[0] | {"replayed": True}]
    assert coordinator.pushes(msgspec.structs.replace(mutation, n=1)).results[0]["id"] == first.results[0]["id"]
    assert Mutation.objects.filter(group_id=coordinator.group_id, device_id=coordinator.device.id).count() == 2


def test_two_words_under_one_id_in_one_push_are_both_kept(coordinator):
    mid = new_id()

    taken = coordinator.pushes(new_property("Fen", mid=mid), new_property("Other", mid=mid))

    assert outcomes(taken) == ["applied", "mid_reused"]
    assert Property.objects.get().name == "Fen"
    assert "Other" in Mutation.objects.get(outcome="held").payload


# -- numbers ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("n", [2, 7, 1 << 53])
def test_a_missing_number_takes_nothing(coordinator, n):
    before = everything()

    with pytest.raises(Gap) as refused:
        coordinator.pushes(new_property("Fen", n=n))

    assert (refused.value.code, refused.value.facts) == ("gap", {"expected": 1})
    assert everything() == before


def test_a_gap_in_the_middle_takes_nothing(coordinator):
    before = everything()

    with pytest.raises(Gap) as refused:
        coordinator.pushes(new_property("a", n=1), new_property("b", n=2), new_property("d", n=4))

    assert refused.value.facts == {"expected": 3}
    assert everything() == before


@pytest.mark.parametrize("n", [-1, 0, 1, 2])
def test_a_used_number_under_another_id_is_a_fork_and_takes_nothing(coordinator, n):
    coordinator.pushes(new_property("a", n=1), new_property("b", n=2))
    before = everything()

    with pytest.raises(DeviceForked) as refused:
        coordinator.pushes(new_property("c", n=3), new_property("cloned", n=n))

    assert refused.value.code == "device_forked"
    assert everything() == before


def test_a_new_device_takes_up_what_a_forked_one_still_had(coordinator):
    shared, own = new_property("a", n=1), new_property("b", n=2)
    coordinator.pushes(shared, new_property("other", n=2))
    second = with_device(coordinator.member, "tablet")

    taken = second.pushes(shared, own)

    assert [result.get("replayed", False) for result in taken.results] == [True, False]
    assert set(Property.objects.values_list("name", flat=True)) == {"a", "b", "other"}


def test_each_device_counts_for_itself(coordinator):
    second = with_device(coordinator.member, "tablet")

    coordinator.pushes(new_property("a"), new_property("b"))
    second.pushes(new_property("c"))

    numbers = Outbox.objects.values_list("device_id", "last_n")
    assert dict(numbers) == {coordinator.device.id: 2, second.device.id: 1}


# -- all or nothing --------------------------------------------------------------------------------


def test_a_tx_is_all_or_nothing_and_leaves_the_others_alone(coordinator):
    fen = str(new_id())

    taken = coordinator.pushes(
        new_property("before"),
        sent("property", "create", {"id": fen, "name": "Fen"}, tx="A"),
        sent("unit", "create", {"name": "North", "property": fen}, tx="A"),
        sent("unit", "create", {"name": "Nowhere", "property": str(new_id())}, tx="A"),
        new_property("after"),
        sent("unit", "create", {"name": "Orphan", "property": fen}),
    )

    assert outcomes(taken) == ["applied", *["target_unavailable"] * 3, "applied", "parent_held"]
    assert set(Property.objects.values_list("name", flat=True)) == {"before", "after"}
    assert not Unit.objects.exists()
    assert Mutation.objects.filter(outcome="held", payload__isnull=False).count() == 4


def test_a_tx_that_holds_is_applied_whole(coordinator):
    fen = str(new_id())

    taken = coordinator.pushes(
        sent("property", "create", {"id": fen, "name": "Fen"}, tx="A"),
        sent("unit", "create", {"name": "North", "property": fen}, tx="A"),
    )

    assert outcomes(taken) == ["applied", "applied"]


def test_two_groups_of_one_push_are_told_apart(coordinator):
    taken = coordinator.pushes(
        new_property("a", tx="A"),
        sent("moon", "land", {}, tx="A"),
        new_property("b", tx="B"),
        new_property("c", tx="B"),
    )

    assert outcomes(taken) == ["unreadable", "unreadable", "applied", "applied"]


# -- the same record -------------------------------------------------------------------------------


def test_the_same_new_record_twice_in_one_push_is_made_once(coordinator):
    words = {"id": str(new_id()), "name": "Fen"}

    taken = coordinator.pushes(sent("property", "create", words), sent("property", "create", words))

    assert outcomes(taken) == ["applied", "noop"]
    assert Property.objects.count() == 1


@pytest.mark.parametrize("bad", [1, 30])
def test_ids_that_another_group_or_type_has_are_held_and_the_rest_is_applied(coordinator, stranger, bad):
    foreign = [stranger.does("property", "create", name="theirs").record for _ in range(bad)]
    own = coordinator.does("property", "create", name="ours").record

    taken = coordinator.pushes(
        *[sent("property", "create", {"id": str(record.id), "name": "theirs"}) for record in foreign],
        sent("unit", "create", {"id": str(own.id), "name": "North", "property": str(own.id)}),
        *[new_property(f"fine {i}") for i in range(30)],
    )

    assert outcomes(taken) == ["id_taken"] * (bad + 1) + ["applied"] * 30


def test_one_id_for_two_types_in_one_push_is_taken_by_the_first(coordinator, fen):
    id = str(new_id())

    taken = coordinator.pushes(
        sent("unit", "create", {"id": id, "name": "North", "property": str(fen.id)}),
        sent("property", "create", {"id": id, "name": "Fen"}),
    )

    assert outcomes(taken) == ["applied", "id_taken"]
