"""Many sign up and withdraw at once: no day is ever over-full, and no place is empty while somebody waits for it."""

from functools import partial

import pytest

from stewardship.workdays.models import Duty, SignUp, WorkDay
from tests.cast import with_device
from tests.concurrency import in_threads
from tests.planning import Plan

pytestmark = pytest.mark.django_db(transaction=True)
PEOPLE, WANTED, CAPACITY = 8, 3, 5


def somebody(coordinator, n):
    """Let somebody join who works along."""
    done = coordinator.does("member", "create", display_name=f"Volunteer {n}", role="volunteer")
    return with_device(done.record, f"phone {n}")


def holds(plan):
    """Check that every place that is wanted is taken, none twice, and nobody waits beside a free one."""
    day = WorkDay.objects.get(id=plan.id)
    sign_ups = list(SignUp.objects.filter(work_day=day, withdrawn_at=None))
    people = [s for s in sign_ups if not s.is_waiting]
    assert len(people) <= day.capacity
    for duty in Duty.objects.filter(work_day=day):
        taken = sum(s.duty_id == duty.id for s in people)
        assert taken <= duty.wanted
        waits = any(s.duty_id == duty.id and s.is_waiting for s in sign_ups)
        assert not (waits and taken < duty.wanted and len(people) < day.capacity)
    numbers = [s.number for s in SignUp.objects.filter(work_day=day)]
    assert sorted(numbers) == list(range(1, len(numbers) + 1))
    return len(people), len(sign_ups) - len(people)


def test_who_signs_up_and_withdraws_at_once_leaves_no_place_over_full_or_empty(coordinator):
    people = [somebody(coordinator, n) for n in range(PEOPLE)]
    plan = Plan(coordinator, herbicide_planned=False, capacity=CAPACITY)
    plan.does("open")
    duties = [plan.duty("cutter", WANTED), plan.duty("hauler", WANTED)]

    told = in_threads([partial(plan.takes, who, duties[n % 2]) for n, who in enumerate(people)])
    assert not [each for each in told if isinstance(each, Exception)]
    assert holds(plan) == (CAPACITY, PEOPLE - CAPACITY)

    standing = set(SignUp.objects.filter(is_waiting=False).values_list("id", flat=True))
    leaving = [(who, id) for who, id in zip(people, told, strict=True) if id in standing][:2]
    again = in_threads(
        [
            *(partial(who.does, "sign_up", "withdraw", id=id) for who, id in leaving),
            partial(plan.does, "amend", capacity=CAPACITY + 1),
            *(partial(coordinator.does, "duty", "amend", id=duty, wanted=WANTED + 1) for duty in duties),
        ]
    )
    assert not [each for each in again if isinstance(each, Exception)]
    assert holds(plan) == (PEOPLE - 2, 0)
