"""Private addresses of calendars: a random token for each, shown once and kept only as its hash."""

import secrets
from datetime import datetime, timedelta
from hashlib import sha256
from uuid import UUID

from django.db.models import Q, QuerySet

from stewardship.accounts.models import Member
from stewardship.errors import RuleViolation
from stewardship.workdays.models import CalendarFeed

PREFIX = "cal_"
FETCHED_EVERY = timedelta(hours=1)
MOST = 10


class TooManyFeeds(RuleViolation):
    """Nobody has that many calendars; a program that makes one at each start does."""

    code = "too_many_calendar_feeds"
    message = f"You have {MOST} calendar addresses in this group already. End those that you no longer use."


class FeedEnded(RuleViolation):
    """An address that was ended stays so."""

    code = "calendar_feed_ended"
    message = "This calendar address was ended. Make a new one."


def make(member: Member, scope: str, *, at: datetime) -> tuple[CalendarFeed, str]:
    """Make an address for a member and return it with its token, which is nowhere kept. Raises TooManyFeeds."""
    if of(member).count() >= MOST:
        raise TooManyFeeds
    token = _new_token()
    feed = CalendarFeed(group_id=member.group_id, member=member, scope=scope, secret_hash=_hash(token), made_at=at)
    feed.save(force_insert=True)
    return feed, token


def of(member: Member) -> QuerySet[CalendarFeed]:
    """Return the member's addresses that were not ended, oldest first."""
    return CalendarFeed.objects.filter(group_id=member.group_id, member=member, ended_at=None).order_by("id")


def find(token: str, group_id: UUID) -> CalendarFeed | None:
    """Return the feed of a token with its member and group; None if unknown, ended, or the person is no member now."""
    feeds = CalendarFeed.objects.select_related("member__group").filter(group_id=group_id, ended_at=None)
    present = feeds.filter(member__ended_at=None, member__suspended_at=None, member__person__is_active=True)
    return present.filter(secret_hash=_hash(token)).first()


def note_fetched(feed: CalendarFeed, *, at: datetime) -> None:
    """Keep when a feed was last fetched, at most once an hour."""
    if feed.fetched_at is not None and feed.fetched_at > at - FETCHED_EVERY:
        return
    stale = Q(fetched_at=None) | Q(fetched_at__lte=at - FETCHED_EVERY)
    CalendarFeed.objects.filter(stale, id=feed.id).update(fetched_at=at)


def renew(feed: CalendarFeed, *, at: datetime) -> str:
    """Give a feed a new token and return it; the old one reads nothing from now on. Raises FeedEnded."""
    token = _new_token()
    living = CalendarFeed.objects.filter(id=feed.id, ended_at=None)
    if not living.update(secret_hash=_hash(token), made_at=at, fetched_at=None):
        raise FeedEnded
    feed.refresh_from_db()
    return token


def end(feed: CalendarFeed, *, at: datetime) -> CalendarFeed:
    """End an address. Ending it again changes nothing."""
    CalendarFeed.objects.filter(id=feed.id, ended_at=None).update(ended_at=at)
    feed.refresh_from_db()
    return feed


def _new_token() -> str:
    return PREFIX + secrets.token_urlsafe(32)


def _hash(token: str) -> str:
    return sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
