"""A fault of ours that an entry meets holds that entry, under a number to look it up by, and stops no other."""

import random
from dataclasses import replace
from uuid import UUID

import pytest
from django.db import DataError, IntegrityError, InterfaceError, InternalError, OperationalError, connection

from stewardship.journal.ids import new_id
from stewardship.journal.models import Book
from stewardship.places.models import Property, Unit
from stewardship.sync import perform
from stewardship.sync.arriving import Arrival
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.perform import Gap
from stewardship.sync.taking import TRIES, is_of_the_database, take
from stewardship.sync.verbs import VERBS
from tests.cast import AT, sent
from tests.database import everything

BOOM = "boom"
CREATE = ("property", "create")


def takes(someone, *mutations):
    numbered = [someone._numbered(mutation) for mutation in mutations]
    return take(numbered, actor=someone.actor, device_id=someone.device.id, at=AT, arrival=Arrival(sent_at=AT))


def new_property(name, **more):
    return sent("property", "create", {"name": name}, **more)


def outcomes(taken):
    return [result.get("code") or result["outcome"] for result in taken.results]


# -- what can go wrong -----------------------------------------------------------------------------


def in_the_service(entry, wish):
    raise ZeroDivisionError(wish.name)


def after_staging(entry, wish):
    entry.create(Property, id=wish.id, name=wish.name)
    raise KeyError(wish.name)


def in_a_statement(entry, wish):
    with connection.cursor() as cursor:
        cursor.execute("SELECT nothing FROM nowhere")


def when_it_is_written(entry, wish):
    return entry.create(Property, id=wish.id, name=None)


def when_it_is_hashed(entry, wish):
    return entry.create(Property, id=wish.id, name=object())


def when_it_is_committed(entry, wish):
    entry.create(Unit, id=None, property_id=new_id(), name="nowhere")
    return entry.create(Property, id=wish.id, name=wish.name)


AT_ONCE = [in_the_service, after_staging, in_a_statement, when_it_is_written, when_it_is_hashed]


@pytest.fixture
def breaks(monkeypatch):
    """Let what is named so break in this way; everything else is performed as it always is."""

    def breaking(fault):
        verb = VERBS[CREATE]

        def service(entry, wish):
            return fault(entry, wish) if wish.name.startswith(BOOM) else verb.service(entry, wish)

        monkeypatch.setitem(VERBS, CREATE, replace(verb, service=service))

    return breaking


@pytest.mark.django_db
@pytest.mark.parametrize("fault", AT_ONCE, ids=lambda fault: fault.__name__)
def test_one_that_meets_a_fault_is_held_with_an_incident_that_stands_in_the_log(coordinator, breaks, caplog, fault):
    breaks(fault)
    bad = new_property(BOOM)

    taken = takes(coordinator, new_property("a"), bad, new_property("b"))

    result = taken.results[1]
    assert outcomes(taken) == ["applied", "server_error", "applied"]
    assert (result["outcome"], taken.last_n) == ("held", 3)
    assert result["incident"] in result["detail"]
    assert UUID(result["incident"]).version == 7
    (told,) = [record for record in caplog.records if result["incident"] in record.getMessage()]
    assert str(bad.mid) in told.getMessage()
    assert told.exc_info
    assert BOOM in Mutation.objects.get(mid=bad.mid).payload
    assert set(Property.objects.values_list("name", flat=True)) == {"a", "b"}


@pytest.mark.django_db
@pytest.mark.parametrize("fault", AT_ONCE, ids=lambda fault: fault.__name__)
@pytest.mark.parametrize("seed", range(2))
def test_bad_ones_at_random_places_leave_all_others_their_outcome(coordinator, breaks, fault, seed):
    """Invariant I16: those that meet a fault are held, the others end as they would without them."""
    breaks(fault)
    rng = random.Random(seed)
    bad = set(rng.sample(range(60), 4))
    expected = ["server_error" if i in bad else "unreadable" if i % 7 == 3 else "applied" for i in range(60)]
    names = [BOOM if i in bad else "" if i % 7 == 3 else f"good {i}" for i in range(60)]

    taken = takes(coordinator, *map(new_property, names))

    assert outcomes(taken) == expected
    assert taken.last_n == 60
    assert Property.objects.count() == expected.count("applied")
    assert Book.objects.get(group_id=coordinator.group_id).held == 60 - expected.count("applied")


@pytest.mark.django_db(transaction=True)
def test_what_the_database_refuses_only_at_the_end_leaves_all_others_their_outcome(coordinator, breaks):
    """Invariant I16, where the error comes with the commit."""
    breaks(when_it_is_committed)
    names = [BOOM if i in (4, 17, 18) else f"good {i}" for i in range(30)]

    taken = takes(coordinator, *map(new_property, names))

    assert outcomes(taken) == ["server_error" if name == BOOM else "applied" for name in names]
    assert (Property.objects.count(), Unit.objects.count()) == (27, 0)


@pytest.mark.django_db
def test_a_tx_is_held_whole_and_what_builds_on_what_came_before_is_applied(coordinator, breaks):
    breaks(in_the_service)
    fen = str(new_id())

    taken = takes(
        coordinator,
        sent("property", "create", {"id": fen, "name": "Fen"}),
        new_property("with it", tx="A"),
        new_property(BOOM, tx="A"),
        new_property("too", tx="A"),
        sent("unit", "create", {"name": "North", "property": fen}),
    )

    assert outcomes(taken) == ["applied", *["server_error"] * 3, "applied"]
    assert len({result["incident"] for result in taken.results[1:4]}) == 1
    assert set(Property.objects.values_list("name", flat=True)) == {"Fen"}


@pytest.mark.django_db
def test_sent_again_it_is_answered_the_same(coordinator, breaks):
    breaks(in_the_service)
    mutations = [coordinator._numbered(new_property(name)) for name in ("a", BOOM, "b")]
    first = takes(coordinator, *mutations)
    before = everything()

    assert takes(coordinator, *mutations).results == [result | {"replayed": True} for result in first.results]
    assert everything() == before


@pytest.mark.django_db
def test_where_all_of_many_are_bad_some_are_taken_and_the_rest_with_the_next_push(coordinator, breaks):
    breaks(in_the_service)
    mutations = [coordinator._numbered(new_property(BOOM)) for _ in range(200)]

    taken, rounds = takes(coordinator, *mutations), 1
    assert 0 < len(taken.results) < 200
    while len(taken.results) < len(mutations):
        done = {result["mid"] for result in taken.results}
        mutations = [sent for sent in mutations if str(sent.mid) not in done]
        taken, rounds = takes(coordinator, *mutations), rounds + 1

    assert rounds < TRIES
    assert Outbox.objects.get(device_id=coordinator.device.id).last_n == 200
    assert Mutation.objects.filter(outcome="held", device_id=coordinator.device.id).count() == 200


@pytest.mark.django_db
def test_a_refusal_of_the_whole_is_none_of_these(coordinator, breaks):
    breaks(in_the_service)
    before = everything()

    with pytest.raises(Gap):
        takes(coordinator, new_property(BOOM, n=1), new_property("a", n=3))

    assert everything() == before


@pytest.mark.django_db
def test_where_nothing_can_be_kept_nothing_is_and_the_device_keeps_it(coordinator, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(perform, "_write_ledger", broken)
    before = everything()

    with pytest.raises(ZeroDivisionError):
        takes(coordinator, new_property("a"), new_property("b"))

    assert everything() == before


@pytest.mark.django_db
def test_a_database_that_goes_away_in_the_midst_leaves_what_was_taken_and_says_so(coordinator, breaks, monkeypatch):
    breaks(in_the_service)
    real, calls = perform.rates.admit, []

    def away(*args):
        calls.append(1)
        if len(calls) > 3:
            raise OperationalError("gone")
        return real(*args)

    monkeypatch.setattr(perform.rates, "admit", away)

    taken = takes(coordinator, *map(new_property, ["a", "b", "c", BOOM]))

    assert (outcomes(taken), taken.last_n) == (["applied", "applied"], 2)
    assert set(Property.objects.values_list("name", flat=True)) == {"a", "b"}


# -- whose fault -----------------------------------------------------------------------------------


def caused(kind, **told):
    error, cause = kind("x"), Exception()
    vars(cause).update(told)
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "is_so"),
    [
        (OperationalError("pool timed out"), True),
        (InterfaceError("connection already closed"), True),
        (caused(OperationalError, sqlstate="57P01"), True),
        (caused(OperationalError, sqlstate="40P01"), True),
        (caused(OperationalError, sqlstate="53100"), True),
        (caused(OperationalError, sqlstate="55P03"), True),
        (caused(InternalError, sqlstate="25006"), True),
        (caused(OperationalError, sqlite_errorname="SQLITE_BUSY"), True),
        (caused(OperationalError, sqlite_errorname="SQLITE_FULL"), True),
        (caused(OperationalError, sqlstate="54000"), False),
        (caused(DataError, sqlstate="22001"), False),
        (caused(InternalError, sqlstate="25P02"), False),
        (caused(OperationalError, sqlite_errorname="SQLITE_ERROR"), False),
        (caused(IntegrityError, sqlite_errorname="SQLITE_CONSTRAINT"), False),
        (DataError("too long"), False),
        (ZeroDivisionError(), False),
    ],
)
def test_an_error_is_the_databases_own_or_that_of_what_was_sent(error, is_so):
    assert is_of_the_database(error) is is_so
