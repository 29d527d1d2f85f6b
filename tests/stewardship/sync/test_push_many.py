"""Many mutations in one push: a constant number of statements, and no outcome that depends on its neighbours."""

import random
from collections import Counter

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.accounts.models import Member
from stewardship.journal.ids import new_id
from stewardship.places.models import Property
from stewardship.sync.models import Mutation
from tests.cast import sent

pytestmark = pytest.mark.django_db


def new_property(name, **more):
    return sent("property", "create", {"name": name}, **more)


def outcomes(taken):
    return [result.get("code") or result["outcome"] for result in taken.results]


def statements(someone, mutations):
    with CaptureQueriesContext(connection) as seen:
        taken = someone.pushes(*mutations)
    assert Counter(outcomes(taken)).keys() <= {"applied", "held", "target_unavailable"}
    return len(seen)


def test_a_push_costs_the_same_statements_for_1_10_and_500(coordinator):
    """Invariant I22."""
    fens = [coordinator.does("property", "create", name=str(i)).record for i in range(5)]
    amended = coordinator.does("unit", "create", name="x", property=fens[0].id).record

    def batch(count):
        for i in range(count):
            yield sent("property", "create", {"id": str(new_id()), "name": f"p{i}"})
            yield sent("unit", "create", {"name": f"u{i}", "property": str(fens[i % 5].id)})
            yield sent("property", "amend", {"name": f"{count} {i}"}, id=fens[i % 5].id)
            yield sent("unit", "amend", {"name": f"{count} {i}"}, id=amended.id)
            yield sent("unit", "create", {"name": "x", "property": str(new_id())})

    statements(coordinator, batch(1))  # the device's first push makes its place in the ledger
    counts = {count: statements(coordinator, list(batch(count))[: count or None]) for count in (5, 10, 500)}

    assert len(set(counts.values())) == 1, counts
    assert counts[500] <= 20


def test_1_10_and_500_new_properties_cost_the_same(coordinator):
    counts = {count: statements(coordinator, [new_property(str(i)) for i in range(count)]) for count in (1, 10, 500)}

    assert len(set(counts.values())) == 1, counts


@pytest.mark.parametrize("seed", range(4))
def test_bad_ones_at_random_places_leave_the_others_their_outcome(coordinator, stranger, seed):
    """Invariant I16: those that break a rule are held, the others end as they would without them."""
    rng = random.Random(seed)
    theirs = stranger.does("property", "create", name="theirs").record
    ours = coordinator.does("property", "create", name="ours").record
    kinds = [
        ("unreadable", lambda: sent("property", "create", {"name": 7})),
        ("unreadable", lambda: sent("moon", "land", {})),
        ("target_unavailable", lambda: sent("property", "amend", {"name": "x"}, id=theirs.id)),
        ("target_unavailable", lambda: sent("unit", "create", {"name": "x", "property": str(theirs.id)})),
        ("conflict", lambda: sent("property", "amend", {"name": "x"}, id=ours.id, base_rev=99)),
        ("id_taken", lambda: sent("property", "create", {"id": str(theirs.id), "name": "x"})),
        ("id_taken", lambda: sent("unit", "create", {"id": str(ours.id), "name": "x", "property": str(ours.id)})),
        ("last_coordinator", lambda: sent("member", "end", id=coordinator.member.id)),
    ]
    bad = {place: rng.choice(kinds) for place in rng.sample(range(500), rng.randint(1, 60))}
    expected = [bad[i][0] if i in bad else "applied" for i in range(500)]

    taken = coordinator.pushes(*[bad[i][1]() if i in bad else new_property(f"good {i}") for i in range(500)])

    assert outcomes(taken) == expected
    assert Property.objects.filter(name__startswith="good").count() == 500 - len(bad)
    assert Mutation.objects.filter(outcome__in=("held", "conflict"), payload__isnull=False).count() == len(bad)


# -- members -----------------------------------------------------------------------


def test_two_new_members_with_one_address_in_one_push_are_one_person(coordinator):
    said = {"display_name": "Nell Ash", "role": "volunteer", "email": "nell@tamarack.example"}

    taken = coordinator.pushes(
        sent("member", "create", said),
        sent("member", "create", said | {"email": "Nell@Tamarack.example"}),
        sent("member", "create", {"display_name": "Drop-in", "role": "volunteer"}),
        sent("member", "create", {"display_name": "Drop-in", "role": "volunteer"}),
    )

    assert outcomes(taken) == ["applied", "already_member", "applied", "applied"]


def test_the_last_two_coordinators_cannot_leave_in_one_push(coordinator, volunteer):
    coordinator.does("member", "amend", id=volunteer.member.id, role="coordinator")

    taken = coordinator.pushes(
        sent("member", "end", id=volunteer.member.id),
        sent("member", "amend", {"role": "reviewer"}, id=coordinator.member.id),
    )

    assert outcomes(taken) == ["applied", "last_coordinator"]
    staying = Member.objects.filter(group_id=coordinator.group_id, role="coordinator", ended_at=None)
    assert list(staying.values_list("id", flat=True)) == [coordinator.member.id]


def test_a_coordinator_may_leave_once_another_came_in_the_same_push(coordinator, volunteer):
    taken = coordinator.pushes(
        sent("member", "amend", {"role": "coordinator"}, id=volunteer.member.id),
        sent("member", "end", id=coordinator.member.id),
    )

    assert outcomes(taken) == ["applied", "applied"]
