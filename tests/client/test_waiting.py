"""How long a device leaves a service alone that is away or asks for it, and how much it sends at once."""

from random import Random

import pytest

from tests.client.device import FIRST_WAIT_S, LONGEST_WAIT_S
from tests.client.scripted import answer, device, enters, page, refuses, takes_all, waiting
from tests.client.transport import Answer, NoAnswer

# -- hello -----------------------------------------------------------------------------------------


def test_a_device_sends_no_more_than_it_is_told_is_taken():
    limits = {"mutations": 2, "bytes": 1 << 20, "page": 7, "rescue": 9}
    phone, service, _ = device(answer(200, {"limits": limits, "notice": "We move on Sunday."}))
    enters(phone, 3)

    phone.hello()
    phone.sync()

    assert [len(body["mutations"]) for body in service.calls("push")] == [2, 1]
    assert service.calls("pull")[0]["limit"] == 7
    assert (phone.notice, phone.most_rescued) == ("We move on Sunday.", 9)


@pytest.mark.parametrize("says", [NoAnswer(), answer(500), Answer(200, {}, b"<html>"), refuses(404, "not_found")])
def test_without_an_answer_to_hello_all_stays_as_it_is(says):
    phone, _, _ = device(says)
    mids = enters(phone, 1)

    phone.hello()

    assert (phone.most, phone.page, waiting(phone)) == (500, 2000, mids)


# -- 429, 503, 5xx, no answer ----------------------------------------------------------------------


@pytest.mark.parametrize("says", [
    NoAnswer(), *[answer(status) for status in (408, 425, 429, 500, 502, 503, 504, 507, 599)],
])  # fmt: skip
def test_a_service_that_is_away_is_waited_for(says):
    phone, service, clock = device(says, says)
    mids = enters(phone, 1)

    phone.sync()

    assert len(service.asked) == 1, "who waits asks nothing"
    assert waiting(phone) == mids
    clock.ticks_s = phone.wait_until
    phone.sync()
    assert len(service.asked) == 2


def test_what_the_service_asks_for_is_waited_and_then_a_random_time():
    phone, _, _ = device(answer(503, retry_after="120"))
    enters(phone, 1)

    phone.push()

    assert 120 < phone.wait_until <= 120 + FIRST_WAIT_S


def test_each_failure_doubles_the_span_out_of_which_the_wait_is_drawn():
    """Full jitter: M. Brooker, "Exponential Backoff And Jitter", AWS Architecture Blog, 4 March 2015."""
    waits = [[] for _ in range(14)]
    for seed in range(300):
        phone, _, clock = device(*[NoAnswer()] * 14)
        phone.random = Random(seed)
        enters(phone, 1)
        for told in waits:
            phone.push()
            told.append(phone.wait_until - clock.ticks_s)
            clock.ticks_s = phone.wait_until

    for tries, told in enumerate(waits):
        span_s = min(LONGEST_WAIT_S, FIRST_WAIT_S * 2**tries)
        assert 0 <= min(told) < 0.05 * span_s
        assert 0.95 * span_s < max(told) <= span_s
        assert abs(sum(told) / len(told) - span_s / 2) < 0.06 * span_s


def test_an_answer_ends_the_waiting():
    phone, _, clock = device(NoAnswer(), NoAnswer(), NoAnswer(), takes_all, page(), NoAnswer())
    enters(phone, 1)
    for _ in range(3):
        phone.push()
        clock.ticks_s = phone.wait_until
    phone.sync()

    phone.pull()

    assert phone.wait_until - clock.ticks_s <= FIRST_WAIT_S


def test_a_wrong_clock_keeps_nobody_waiting():
    phone, service, clock = device(NoAnswer())
    enters(phone, 1)
    phone.push()
    clock.now = clock.now.replace(year=1990)
    clock.ticks_s = phone.wait_until

    phone.push()

    assert len(service.asked) == 2
    assert waiting(phone) == []
