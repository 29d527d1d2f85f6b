from datetime import timedelta

import pytest

from stewardship.accounts.models import Person
from stewardship.workdays.feeds import addresses
from stewardship.workdays.feeds.addresses import FeedEnded, TooManyFeeds
from stewardship.workdays.models import CalendarFeed
from tests.cast import AT


@pytest.fixture
def made(cast):
    """Give an address of the volunteer and its token."""
    return addresses.make(cast.volunteer.member, "own", at=AT)


def test_a_token_is_nowhere_kept_and_holds_256_random_bits(cast, made):
    feed, token = made

    assert len(token.removeprefix("cal_")) == 43
    assert token not in str(CalendarFeed.objects.values().get())
    assert len({addresses.make(cast.volunteer.member, "own", at=AT)[1] for _ in range(9)}) == 9
    assert addresses.find(token, feed.group_id) == feed


def test_a_token_opens_only_its_own_group(cast, made):
    assert addresses.find(made[1], cast.stranger.group_id) is None


def test_a_token_that_differs_in_one_place_opens_nothing(made):
    feed, token = made
    for i in range(len(token)):
        other = token[:i] + ("A" if token[i] != "A" else "B") + token[i + 1 :]
        assert addresses.find(other, feed.group_id) is None
    for other in ("", " " + token, token + "\n", token.lower(), token[:-1], feed.secret_hash, "\ud800"):
        assert addresses.find(other, feed.group_id) is None


def test_an_address_reads_nothing_once_the_member_has_left(cast, made):
    cast.coordinator.does("member", "end", id=cast.volunteer.member.id)

    assert addresses.find(made[1], cast.group.id) is None


def test_an_address_reads_nothing_once_the_person_may_not_sign_in(cast, made):
    Person.objects.filter(id=cast.volunteer.person.id).update(is_active=False)

    assert addresses.find(made[1], cast.group.id) is None


def test_a_renewed_address_ends_the_old_one(made):
    feed, old = made

    new = addresses.renew(feed, at=AT + timedelta(days=1))

    assert addresses.find(old, feed.group_id) is None
    assert addresses.find(new, feed.group_id) == feed
    assert feed.made_at == AT + timedelta(days=1)


def test_an_ended_address_stays_ended(made):
    feed, token = made
    addresses.end(feed, at=AT)

    assert addresses.end(feed, at=AT + timedelta(days=1)).ended_at == AT
    assert addresses.find(token, feed.group_id) is None
    with pytest.raises(FeedEnded, match="Make a new one"):
        addresses.renew(feed, at=AT)


def test_nobody_has_more_addresses_than_they_can_use(cast, made):
    for _ in range(addresses.MOST - 1):
        addresses.make(cast.volunteer.member, "group", at=AT)

    with pytest.raises(TooManyFeeds, match="End those"):
        addresses.make(cast.volunteer.member, "own", at=AT)

    addresses.end(made[0], at=AT)
    addresses.make(cast.volunteer.member, "own", at=AT)


def test_when_it_was_last_fetched_is_kept_at_most_once_an_hour(made):
    feed, token = made
    kept = []
    for minutes in (0, 59, 60, 61):
        found = addresses.find(token, feed.group_id)
        addresses.note_fetched(found, at=AT + timedelta(minutes=minutes))
        feed.refresh_from_db()
        kept.append(feed.fetched_at)

    assert kept == [AT, AT, AT + timedelta(hours=1), AT + timedelta(hours=1)]
