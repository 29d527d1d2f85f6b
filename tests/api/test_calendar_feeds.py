"""The calendar of a person, made and read over HTTP."""

import pytest
import vobject
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from stewardship.journal.ids import new_id
from tests.planning import Plan

# The service's own clock is used here: the days lie in the year after the tests' clock, whatever the date is today.
ON, START = "2047-07-01", "2047-07-01T09:00:00-05:00"


@pytest.fixture
def plan(cast):
    plan = Plan(cast.coordinator, on_date=ON, starts_at=START, ends_at=None)
    return plan.staffed(cast.volunteer, "2048-01-01")


def made_by(someone, scope="own"):
    address = f"/api/v1/groups/{someone.group_id}/calendar-feeds"
    return someone.client().post(address, {"scope": scope}, "application/json").json()


def read(address, **headers):
    return Client().get(address, headers=headers)


def test_an_address_is_made_once_and_read_without_signing_in(cast, plan):
    made = made_by(cast.volunteer)

    response = read(made["address"])

    assert made["address"].startswith("http://testserver/api/v1/groups/")
    assert (response.status_code, response["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    event = vobject.readOne(response.content.decode()).vevent
    assert event.uid.value == str(plan.id)
    assert event.url.value == f"http://testserver/work-days/{plan.id}/"
    listed = cast.volunteer.client().get(f"/api/v1/groups/{cast.group.id}/calendar-feeds").content.decode()
    assert made["id"] in listed
    assert made["token"] not in listed


@pytest.mark.parametrize("accepts", ["text/calendar", "text/html", "*/*", "application/json;q=0.1", "nonsense"])
def test_a_calendar_is_sent_whatever_a_program_says_that_it_takes(cast, plan, accepts):
    response = read(made_by(cast.volunteer)["address"], Accept=accepts)

    assert (response.status_code, response["Content-Type"]) == (200, "text/calendar; charset=utf-8")


def test_who_has_it_as_it_is_gets_nothing_again(cast, plan):
    address = made_by(cast.volunteer)["address"]
    first = read(address)

    again = read(address, If_None_Match=first["ETag"])
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    assert read(address, If_None_Match='"0"').status_code == 200

    plan.does("confirm")
    changed = read(address, If_None_Match=first["ETag"])
    assert changed.status_code == 200
    assert changed["ETag"] != first["ETag"]
    assert read(address, If_None_Match=first["ETag"] + ", " + changed["ETag"]).status_code == 304


def test_every_address_that_is_wrong_is_answered_alike(cast, plan):
    made = made_by(cast.volunteer)
    ended, renewed = made_by(cast.volunteer), made_by(cast.volunteer)
    base = f"/api/v1/groups/{cast.group.id}/calendar-feeds"
    for feed, act in ((ended, "end"), (renewed, "renew")):
        assert cast.volunteer.client().post(f"{base}/{feed['id']}/{act}", "{}", "application/json").status_code == 200
    own, foreign = (f"/api/v1/groups/{id}/work-days.ics" for id in (cast.group.id, cast.stranger.group_id))
    token = made["token"]

    wrong = [
        own, f"{own}?token=", f"{own}?token=cal_{'x' * 43}", f"{own}?token={token[:-1]}", f"{own}?token={token}%00",
        f"{own}?token=%ff", f"{foreign}?token={token}", ended["address"], renewed["address"],
        f"/api/v1/groups/{new_id()}/work-days.ics?token={token}", f"/api/v1/groups/nothing/work-days.ics?token={token}",
    ]  # fmt: skip
    answers = {(r.status_code, r.content, tuple(sorted(r.headers.items()))) for r in map(read, wrong)}

    assert len(answers) == 1
    assert {status for status, _, _ in answers} == {404}
    assert read(made["address"]).status_code == 200


def test_it_may_be_kept_by_the_calendar_alone_and_tells_no_page_its_address(cast, plan):
    response = read(made_by(cast.volunteer)["address"])

    assert response["Cache-Control"] == "private, no-cache"
    assert response["Referrer-Policy"] == "no-referrer"


def test_an_address_of_somebody_else_is_neither_renewed_nor_ended(cast):
    feed = made_by(cast.volunteer)
    base = f"/api/v1/groups/{cast.group.id}/calendar-feeds"

    for act in ("renew", "end"):
        refused = cast.coordinator.client().post(f"{base}/{feed['id']}/{act}", "{}", "application/json")
        unknown = cast.coordinator.client().post(f"{base}/{new_id()}/{act}", "{}", "application/json")
        assert refused.status_code == unknown.status_code == 404
        assert refused.content == unknown.content
    assert read(feed["address"]).status_code == 200
    assert cast.coordinator.client().get(base).json()["results"] == []


def test_an_unknown_choice_of_days_is_refused(cast):
    address = f"/api/v1/groups/{cast.group.id}/calendar-feeds"

    refused = cast.volunteer.client().post(address, {"scope": "everything"}, "application/json")

    assert (refused.status_code, refused.json()["code"]) == (400, "unreadable")


def test_too_many_addresses_are_refused_with_a_sentence(cast):
    for _ in range(10):
        made_by(cast.volunteer)

    assert made_by(cast.volunteer)["code"] == "too_many_calendar_feeds"


def test_an_ended_address_is_not_renewed(cast):
    feed = made_by(cast.volunteer)
    base = f"/api/v1/groups/{cast.group.id}/calendar-feeds/{feed['id']}"
    ended = cast.volunteer.client().post(f"{base}/end", "{}", "application/json").json()

    refused = cast.volunteer.client().post(f"{base}/renew", "{}", "application/json")

    assert ended["ended_at"] is not None
    assert (refused.status_code, refused.json()["code"]) == (409, "calendar_feed_ended")


@pytest.mark.parametrize("scope", ["own", "group"])
def test_a_calendar_costs_the_same_statements_whatever_stands_in_it(cast, plan, scope):
    address = made_by(cast.volunteer, scope)["address"]
    read(address)
    with CaptureQueriesContext(connection) as few:
        read(address)
    for n in range(6):
        more = Plan(cast.coordinator, on_date=f"2047-08-{n + 1:02}", starts_at=None, ends_at=None)
        more.does("open")
        more.takes(cast.volunteer, more.duty("cutter"))

    with CaptureQueriesContext(connection) as many:
        assert read(address).content.count(b"BEGIN:VEVENT") == 7

    assert len(many) == len(few) == 4


def test_a_calendar_that_only_asks_for_the_headers_gets_them(cast, plan):
    address = made_by(cast.volunteer)["address"]

    asked = Client().head(address)

    assert (asked.status_code, asked.content, asked["ETag"]) == (200, b"", read(address)["ETag"])
