"""Attempts are counted in the database: never more than the limit in any span, whoever tries at once."""

import random
from datetime import timedelta
from functools import partial

import pytest

from stewardship.accounts.attempts import Counted, Limit, TooManyAttempts, forget, give_back, take
from stewardship.accounts.models import Attempts
from tests.cast import AT
from tests.concurrency import in_processes, in_threads

FIVE = Limit("login", "account", 5, timedelta(minutes=5))
NET = Limit("login", "address", 20, timedelta(minutes=1))


def tries(*counted, at=AT):
    """Try once; tell whether there was room."""
    try:
        take(counted, at=at)
    except TooManyAttempts:
        return False
    return True


def of(whose="maren@tamarack.example", limit=FIVE):
    return Counted.of(limit, whose)


@pytest.mark.django_db
def test_a_row_that_is_forgotten_while_somebody_tries_is_made_anew(monkeypatch):
    tries(of(), at=AT)
    real, later = Attempts.objects.bulk_create, AT + timedelta(days=1)
    forgotten = []

    def and_is_forgotten(rows, **how):
        made = real(rows, **how)
        if not forgotten:
            forgotten.append(forget(later))
        return made

    monkeypatch.setattr(Attempts.objects, "bulk_create", and_is_forgotten)

    assert tries(of(), at=later)
    assert forgotten == [1]
    assert len(Attempts.objects.get().moments) == 1


@pytest.mark.django_db
def test_the_sixth_of_five_is_refused_and_told_how_long_to_wait():
    assert [tries(of(), at=AT + timedelta(seconds=s)) for s in range(6)] == [True] * 5 + [False]

    with pytest.raises(TooManyAttempts) as refusal:
        take([of()], at=AT + timedelta(seconds=10))

    assert refusal.value.wait_s == 290
    assert str(refusal.value) == "That was too many attempts. Wait 5 minutes, then try again. Nothing was changed."


@pytest.mark.django_db
@pytest.mark.parametrize(("after_us", "is_room"), [(-1, False), (0, True)])
def test_there_is_room_again_exactly_when_the_oldest_no_longer_counts(after_us, is_room):
    for second in range(5):
        tries(of(), at=AT + timedelta(seconds=second))

    assert tries(of(), at=AT + FIVE.within + timedelta(microseconds=after_us)) is is_room


@pytest.mark.django_db
def test_in_no_span_are_there_more_than_the_limit():
    rng, now, passed = random.Random(7), AT, []
    for _ in range(300):
        now += timedelta(seconds=rng.choice((0, 1, 20, 70, 200)))
        if tries(of(), at=now):
            passed.append(now)

    worst = max(sum(start <= each < start + FIVE.within for each in passed) for start in passed)
    assert worst == 5


@pytest.mark.django_db
def test_one_limit_that_is_used_up_takes_nothing_from_the_others():
    for _ in range(5):
        tries(of(), of("10.0.0.1", NET))

    assert not tries(of(), of("10.0.0.1", NET))
    assert len(Attempts.objects.get(key=of("10.0.0.1", NET).key).moments) == 5


@pytest.mark.django_db
def test_what_is_given_back_leaves_room_and_a_clock_that_goes_back_does_not():
    for _ in range(5):
        tries(of())
    give_back([of()], at=AT)

    assert tries(of())
    assert not tries(of(), at=AT - timedelta(hours=1))


@pytest.mark.django_db
def test_rows_are_forgotten_once_nothing_counts_and_keep_no_address():
    tries(of(), at=AT)
    tries(of("ines@tamarack.example"), at=AT + timedelta(minutes=4))

    assert "tamarack" not in str(list(Attempts.objects.values()))
    assert forget(AT + timedelta(minutes=5, seconds=1)) == 1
    assert Attempts.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_sixty_four_threads_get_no_more_than_the_limit():
    told = in_threads([partial(tries, of(), of("10.0.0.1", NET))] * 64, connected=False)

    assert told.count(True) == 5, told
    assert told.count(False) == 59


def tries_many(count):
    """Try from one process: a task for ``in_processes``."""
    return sum(tries(of("10.0.0.1", NET), of(f"{n}@tamarack.example")) for n in range(count))


@pytest.mark.django_db(transaction=True)
def test_processes_that_share_nothing_but_the_database_share_the_limit():
    told = in_processes("tests.stewardship.accounts.test_attempts:tries_many", [{"count": 15}] * 3)

    assert sum(told) == 20
