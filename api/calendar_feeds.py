"""A person's own calendar addresses in a group, and the calendar that is read there without a sign-in."""

from hashlib import sha256
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from rest_framework.response import Response

from api.filtering import check_parameters
from api.operations import ID, MOMENT, PAGE, TEXT, Does, a_page, an_object, in_query, or_null
from api.paging import PARAMETERS, page
from api.permissions import Endpoint, GroupEndpoint, read_id
from api.rendering import ICalendar
from api.writing import fields_of
from stewardship.accounts.models import Member
from stewardship.errors import Unavailable
from stewardship.journal.contents import instant
from stewardship.journal.fields import Closed
from stewardship.sync.reading import read_fields
from stewardship.workdays.feeds import addresses
from stewardship.workdays.feeds.days import days_of
from stewardship.workdays.feeds.texts import calendar_text
from stewardship.workdays.fields import NewCalendarFeed
from stewardship.workdays.models import CalendarFeed

_FEED = an_object(
    {"id": ID, "scope": TEXT, "made_at": MOMENT, "fetched_at": or_null(MOMENT), "ended_at": or_null(MOMENT)}
)
_MADE = an_object({"id": ID, "scope": TEXT, "token": TEXT, "address": TEXT})
_NOTHING = {"type": "object", "maxProperties": 0}


class OfOneself(GroupEndpoint):
    """Addresses of the member who asks: nobody sees or changes another's."""

    def own(self) -> Any:
        """Return them, ended ones too."""
        actor = self.request.actor
        return CalendarFeed.objects.filter(group_id=actor.group_id, member_id=actor.member_id)

    def mine(self, id: str) -> CalendarFeed:
        """Return the one with this id. Raises Unavailable."""
        found: CalendarFeed | None = self.own().filter(id=read_id(id)).first()
        if found is None:
            raise Unavailable
        return found

    def made(self, feed: CalendarFeed, token: str, status: int) -> Response:
        """Return an address, this once."""
        where = self.request.build_absolute_uri(reverse("work-days-ics", args=[feed.group_id]))
        told = {"id": str(feed.id), "scope": feed.scope, "token": token, "address": f"{where}?token={token}"}
        return Response(told, status=status)


class CalendarFeeds(OfOneself):
    """Your calendar addresses in a group."""

    does = {
        "get": Does("List your calendar addresses", a_page(_FEED), parameters=PAGE),
        "post": Does("Make a calendar address; it is shown this once", _MADE, NewCalendarFeed, 201),
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return a page of them, ended ones too."""
        check_parameters(request, *PARAMETERS)
        found, links = page(self.own(), request)
        return Response(links | {"results": [_told(feed) for feed in found]})

    def post(self, request: Any, **place: str) -> Response:
        """Make one."""
        check_parameters(request)
        wish = read_fields(fields_of(request), NewCalendarFeed)
        member = Member.objects.get(id=request.actor.member_id)
        feed, token = addresses.make(member, wish.scope, at=timezone.now())
        return self.made(feed, token, 201)


class RenewCalendarFeed(OfOneself):
    """A new token for an address that may have got into other hands."""

    does = {"post": Does("Renew a calendar address of yours; the old one ends", _MADE, _NOTHING)}

    def post(self, request: Any, id: str, **place: str) -> Response:
        """Renew it."""
        check_parameters(request)
        feed = self.mine(id)
        read_fields(fields_of(request), Closed)
        return self.made(feed, addresses.renew(feed, at=timezone.now()), 200)


class EndCalendarFeed(OfOneself):
    """The end of an address."""

    does = {"post": Does("End a calendar address of yours", _FEED, _NOTHING)}

    def post(self, request: Any, id: str, **place: str) -> Response:
        """End it; ended already, it stays so."""
        check_parameters(request)
        feed = self.mine(id)
        read_fields(fields_of(request), Closed)
        return Response(_told(addresses.end(feed, at=timezone.now())))


class WorkDaysCalendar(Endpoint):
    """The work days as a calendar reads them, for whoever has the address; every wrong one is answered alike.

    Other parameters are let be: some calendars add their own to an address.
    """

    authentication_classes: list[Any] = []
    permission_classes: list[Any] = []
    renderer_classes = [ICalendar]
    does = {
        "get": Does(
            "Read the work days as a calendar",
            TEXT,
            media_type=ICalendar.media_type,
            parameters=[in_query("token", TEXT, "The secret of the address.") | {"required": True}],
            headers=("ETag",),
            is_open=True,
        )
    }

    def perform_content_negotiation(self, request: Any, force: bool = False) -> Any:
        """Answer with a calendar, whatever a program says that it takes."""
        return super().perform_content_negotiation(request, force=True)

    def get(self, request: Any, group: str) -> HttpResponse:
        """Return the calendar, or 304 to who has it as it is."""
        feed = addresses.find(request.query_params.get("token", ""), read_id(group))
        if feed is None:
            raise Unavailable
        at = timezone.now()
        days = days_of(feed, at.date())
        text = calendar_text(feed, days, lambda id: request.build_absolute_uri(reverse("work_day", args=[id])))
        addresses.note_fetched(feed, at=at)
        response = HttpResponse(text, content_type=f"{ICalendar.media_type}; charset=utf-8")
        response["ETag"] = f'"{sha256(text).hexdigest()}"'
        response["Cache-Control"] = "private, no-cache"
        response["Referrer-Policy"] = "no-referrer"
        return get_conditional_response(request, etag=response["ETag"], response=response) or response


def _told(feed: CalendarFeed) -> dict[str, Any]:
    return {
        "id": str(feed.id),
        "scope": feed.scope,
        "made_at": instant(feed.made_at),
        "fetched_at": feed.fetched_at and instant(feed.fetched_at),
        "ended_at": feed.ended_at and instant(feed.ended_at),
    }
