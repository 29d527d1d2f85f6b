"""Whoever keeps pulling gets every number once and in order, whatever becomes of writers that have their numbers."""

import logging
from collections.abc import Callable
from datetime import timedelta
from itertools import count
from random import Random
from threading import Event
from time import sleep

import pytest
from django.db import OperationalError, connection, connections

from stewardship.journal import book
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property
from tests.cast import AT, sent, with_device
from tests.concurrency import in_threads
from tests.stewardship.sync.test_pull import page

pytestmark = pytest.mark.django_db(transaction=True)

log = logging.getLogger(__name__)

LONGEST_HOLD_S = 0.01
ROLLED_BACK, KILLED = (12, 5), (25, 17)
"""Of so many that have their numbers, which one is rolled back, and which one's connection is ended by the engine."""


class RolledBack(Exception):
    """Something else went wrong after the numbers were given."""


@pytest.fixture
def once_numbered(monkeypatch):
    """Do something with an entry that has its numbers and is not committed."""

    def does(act: Callable[[book.Entry], object]) -> None:
        number = book.Entry._number

        def number_and_act(self, told):
            number(self, told)
            act(self)

        monkeypatch.setattr(book.Entry, "_number", number_and_act)

    return does


@pytest.fixture
def wide_pool(monkeypatch):
    """Let each of sixteen threads have a connection of its own."""
    if connection.vendor != "postgresql":
        yield
        return
    with monkeypatch.context() as patch:
        patch.setitem(connection.settings_dict["OPTIONS"]["pool"], "max_size", 16)
        _begin_another_pool()
        yield
    _begin_another_pool()


def _begin_another_pool():
    connections.close_all()
    connection.close_pool()


def end_the_connection():
    """Let the engine end the connection, as it does with one whose process is killed."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")


class Fates:
    """What becomes of entries that have their numbers: all are held up, some are rolled back, some killed."""

    def __init__(self):
        self.random, self.numbered = Random(3), count(1)
        self.rolled_back, self.killed = 0, 0

    def meet(self, entry):
        which = next(self.numbered)
        sleep(self.random.uniform(0, LONGEST_HOLD_S))
        if which % ROLLED_BACK[0] == ROLLED_BACK[1]:
            self.rolled_back += 1
            raise RolledBack
        if which % KILLED[0] == KILLED[1] and connection.vendor == "postgresql":
            self.killed += 1
            end_the_connection()


class Writing:
    """Writers who push 1 to 20 places again and again, until there are enough; a push that failed is sent again."""

    def __init__(self, coordinator, writers, enough):
        self.writers, self.enough = writers, enough
        self.people = [with_device(coordinator.member, f"phone {number}") for number in range(writers)]
        self.taken, self.ended = [], []

    @property
    def is_over(self):
        return len(self.ended) == self.writers

    def write(self, number):
        random, n = Random(number), 1
        try:
            while len(self.taken) < self.enough:
                places = [{"name": f"{number} {n + i}"} for i in range(random.randint(1, 20))]
                push = [sent("property", "create", place, n=n + i) for i, place in enumerate(places)]
                self.taken += self._pushed(self.people[number], push)
                n += len(push)
        finally:
            self.ended.append(number)

    def _pushed(self, who, push):
        while True:
            try:
                return [(result["seq"], result["id"]) for result in who.pushes(*push).results]
            except RolledBack:
                continue
            except OperationalError:
                connection.close()  # as at the end of a request


def pull_until(is_over, coordinator, seed):
    """Return number and record of everything that whoever pulls all the time got, in pages of any size."""
    random, seen, cursor, more = Random(seed), [], None, True
    while True:
        ends = is_over() and not more
        puts, end = page(coordinator, cursor, random.choice([7, 50, 500, 2000]))
        assert all(put["q"] <= end["head"] for put in puts)
        seen += [(put["q"], put["id"]) for put in puts]
        cursor, more = end["cursor"], end["more"]
        if ends and not puts:
            return seen


def skips_nothing(coordinator, once_numbered, *, writers, pullers, revisions):
    """Let so many write and so many pull at once, until there are so many revisions; see that nobody missed one."""
    fates, writing = Fates(), Writing(coordinator, writers, revisions)
    once_numbered(fates.meet)

    told = in_threads(
        [lambda n=n: writing.write(n) for n in range(writers)]
        + [lambda n=n: pull_until(lambda: writing.is_over, coordinator, n) for n in range(pullers)],
        connected=False,
        seconds=1200,
    )

    written = [(seq, str(id)) for seq, id in Revision.objects.order_by("seq").values_list("seq", "record_id")
               .filter(group_id=coordinator.group_id)]  # fmt: skip
    assert told[:writers] == [None] * writers
    for seen in told[writers:]:
        skipped = len(set(written) - set(seen))
        assert skipped == 0, f"{skipped} of {len(written)} revisions were skipped"
        assert seen == written
    assert [seq for seq, _ in written] == list(range(1, Book.objects.get(group_id=coordinator.group_id).head + 1))
    assert set(writing.taken) <= set(written)
    assert Property.objects.count() == len(writing.taken) >= revisions
    assert fates.rolled_back > 0
    assert fates.killed > 0 or connection.vendor == "sqlite"
    log.info("%d revisions, 0 skipped, %d rolled back, %d killed", len(written), fates.rolled_back, fates.killed)


def test_nobody_who_keeps_pulling_misses_a_number(coordinator, once_numbered, wide_pool):
    """Invariants I1 and I2."""
    skips_nothing(coordinator, once_numbered, writers=4, pullers=2, revisions=400)


@pytest.mark.heavy
@pytest.mark.needs_postgresql
def test_nobody_who_keeps_pulling_misses_one_of_50_000_numbers(coordinator, once_numbered, wide_pool):
    """Invariants I1 and I2."""
    skips_nothing(coordinator, once_numbered, writers=8, pullers=3, revisions=50_000)


@pytest.mark.needs_postgresql
def test_a_writer_killed_between_numbering_and_commit_leaves_no_gap(coordinator, once_numbered):
    """Invariants I1 and I2: its numbers are given to the next one."""
    before, cursor = page(coordinator)[1]["head"], page(coordinator)[1]["cursor"]
    fates = iter([end_the_connection, end_the_connection, end_the_connection])
    once_numbered(lambda entry: next(fates, lambda: None)())
    push = [sent("property", "create", {"name": str(number)}, n=number) for number in (1, 2, 3)]
    with pytest.raises(OperationalError):
        coordinator.pushes(*push)
    connection.close()
    coordinator.does("property", "create", name="somebody else's")

    taken = coordinator.pushes(*push)

    assert [put["q"] for put in page(coordinator, cursor)[0]] == [before + 1, before + 2, before + 3, before + 4]
    assert [result["seq"] for result in taken.results] == [before + 2, before + 3, before + 4]


@pytest.mark.needs_postgresql
def test_a_pull_between_numbering_and_commit_skips_nothing(coordinator, once_numbered):
    """Invariant I1: who pulls while a writer holds its numbers back gets them with the next pull."""
    numbered, go_on, overtaken = Event(), Event(), Event()

    def wait(entry):
        if entry.at > AT:
            numbered.set()
            assert go_on.wait(10)

    once_numbered(wait)

    def slow():
        return coordinator.does("property", "create", name="slow", at=AT + timedelta(seconds=1))

    def pulling():
        assert numbered.wait(10)
        overtaken.wait(0.5)  # in vain: who writes after the slow one has to wait for it
        first, end = page(coordinator)
        second, after = page(coordinator, end["cursor"])
        go_on.set()
        return first + second, after["cursor"]

    def fast():
        assert numbered.wait(10)
        done = coordinator.does("property", "create", name="fast")
        overtaken.set()
        return done

    done, (seen, cursor), other = in_threads([slow, pulling, fast])

    more, _ = page(coordinator, cursor)
    assert [put["id"] for put in more] == [str(done.record.id), str(other.record.id)]
    assert [put["q"] for put in seen + more] == list(range(1, Book.objects.get(group_id=coordinator.group_id).head + 1))
