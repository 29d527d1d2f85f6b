"""The calendar as another program reads it: ``vobject``, which has nothing in common with what writes it."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.accounts.models import Group, Member
from stewardship.places.models import Property
from stewardship.workdays.feeds.addresses import make
from stewardship.workdays.feeds.days import Entered, days_of
from stewardship.workdays.feeds.texts import LONGEST_TEXT, calendar_text, plain
from stewardship.workdays.models import CalendarFeed, Duty, SignUp, WorkDay
from tests.cast import AT
from tests.planning import ON, Plan, licence

PAGE = "https://stewards.example/work-days/{}/"


def text_of(someone, scope="own", on=AT):
    feed, _ = make(someone.member, scope, at=AT)
    return written(feed, on)


def written(feed, on=AT):
    return calendar_text(feed, days_of(feed, on.date()), PAGE.format)


def events(text):
    """Return the events as the other program reads them."""
    return list(vobject.readOne(text.decode()).contents.get("vevent", []))


def only(text):
    (event,) = events(text)
    return event


@pytest.fixture
def plan(cast):
    return Plan(
        cast.coordinator, meeting_point="At the ford", bring="Gloves, water", access="The gate code hangs in the shed"
    ).staffed(cast.volunteer)


def test_a_day_is_read_as_it_was_planned(cast, plan):
    event = only(text_of(cast.volunteer))

    assert event.uid.value == str(plan.id)
    assert event.summary.value == "Buckthorn at Heron Bend"
    assert event.dtstart.value == datetime(2027, 7, 1, 14, tzinfo=UTC)
    assert event.dtend.value == datetime(2027, 7, 1, 17, 30, tzinfo=UTC)
    assert event.location.value == "Heron Bend, At the ford"
    assert event.url.value == PAGE.format(plan.id)
    assert event.description.value.splitlines()[:4] == [
        "Your duty: applicator",
        "Meeting point: At the ford",
        "Getting there: The gate code hangs in the shed",
        "Wear and bring: Gloves, water",
    ]
    assert "The label is the law" in event.description.value


def test_a_day_is_tentative_while_people_are_looked_for_confirmed_then_and_stays_when_it_is_cancelled(cast, plan):
    seen = []
    for op, values in ((None, {}), ("confirm", {}), ("cancel", {"reason": "storm"})):
        if op:
            plan.does(op, **values)
        event = only(text_of(cast.volunteer))
        seen.append((event.status.value, event.sequence.value))

    assert seen == [("TENTATIVE", "1"), ("CONFIRMED", "2"), ("CANCELLED", "3")]
    assert event.summary.value == "Cancelled: Buckthorn at Heron Bend"
    assert "storm" not in event.description.value
    assert event.uid.value == str(plan.id)


@pytest.mark.parametrize(
    ("change", "matters"),
    [
        ({"on_date": "2027-07-02", "starts_at": None, "ends_at": None}, True),
        ({"starts_at": "2027-07-01T08:00:00-05:00"}, True),
        ({"ends_at": "2027-07-01T12:00:00-05:00"}, True),
        ({"meeting_point": "At the north gate"}, True),
        ({"title": "Buckthorn, the last of it"}, False),
        ({"bring": "Rubber boots"}, False),
    ],
)
def test_the_sequence_counts_changes_of_date_times_place_and_state(cast, plan, change, matters):
    before = only(text_of(cast.volunteer))

    cast.coordinator.does("work_day", "amend", id=plan.id, at=AT + timedelta(hours=1), **change)

    after = only(text_of(cast.volunteer))
    assert int(after.sequence.value) - int(before.sequence.value) == matters
    assert after.last_modified.value == after.dtstamp.value == before.dtstamp.value + timedelta(hours=1)


def test_the_same_days_make_the_same_bytes_whenever_they_are_read(cast, plan):
    feed, _ = make(cast.volunteer.member, "own", at=AT)

    assert written(feed) == written(feed, on=AT + timedelta(days=3))


def test_a_day_without_a_time_is_a_whole_day(cast):
    plan = Plan(cast.coordinator, starts_at=None, ends_at=None).staffed(cast.volunteer)

    event = only(text_of(cast.volunteer))

    assert (event.dtstart.value, event.dtend.value) == (date(2027, 7, 1), date(2027, 7, 2))
    assert event.uid.value == str(plan.id)


def test_a_day_without_an_end_is_told_by_its_beginning(cast):
    Plan(cast.coordinator, ends_at=None).staffed(cast.volunteer)

    event = only(text_of(cast.volunteer))

    assert event.dtstart.value == datetime(2027, 7, 1, 14, tzinfo=UTC)
    assert not hasattr(event, "dtend")


@pytest.mark.parametrize(("on", "utc_hour"), [("2027-03-13", 15), ("2027-03-14", 14), ("2027-11-07", 15)])
def test_summer_time_moves_no_day(cast, on, utc_hour):
    starts = datetime.fromisoformat(f"{on}T09:00").replace(tzinfo=ZoneInfo("America/Chicago"))
    plan = Plan(cast.coordinator, on_date=on, starts_at=starts.isoformat(), ends_at=None, herbicide_planned=False)
    plan.does("open")

    event = only(text_of(cast.volunteer, "group", on=datetime(2027, 3, 1, tzinfo=UTC)))

    assert event.dtstart.value.hour == utc_hour


def test_who_waits_for_a_place_is_told_so_and_cannot_count_on_the_day(cast):
    plan = Plan(cast.coordinator, herbicide_planned=False)
    duty = plan.duty("hauler")
    plan.does("open", "confirm")
    plan.takes(cast.volunteer, duty)
    plan.takes(cast.other_volunteer, duty)

    there, waiting = only(text_of(cast.volunteer)), only(text_of(cast.other_volunteer))

    assert [e.status.value for e in (there, waiting)] == ["CONFIRMED", "TENTATIVE"]
    assert [e.transp.value for e in (there, waiting)] == ["OPAQUE", "TRANSPARENT"]
    assert "You are on the waiting list as hauler: there is no place for you yet." in waiting.description.value

    cast.volunteer.does("sign_up", "withdraw", id=cast.volunteer.member.sign_ups.get().id)
    assert only(text_of(cast.other_volunteer)).status.value == "CONFIRMED"


def test_a_day_that_is_postponed_keeps_its_place_in_the_calendar_under_its_new_date(cast):
    plan = Plan(cast.coordinator, herbicide_planned=False)
    plan.does("open")
    plan.takes(cast.volunteer, plan.duty("hauler"))
    before = only(text_of(cast.volunteer))

    plan.does("postpone", on_date="2027-07-08", reason="storm")

    after = only(text_of(cast.volunteer))
    assert after.uid.value == before.uid.value
    assert int(after.sequence.value) > int(before.sequence.value)
    assert after.dtstart.value == datetime(2027, 7, 8, 14, tzinfo=UTC)


def test_a_feed_of_the_group_shows_every_announced_day_and_what_one_does_on_it(cast, plan):
    other = Plan(cast.coordinator, title="Pulling", on_date="2027-07-03", starts_at=None, ends_at=None)
    Plan(cast.coordinator, title="Only a draft")
    Plan(cast.coordinator, title="A draft that came to nothing").does("cancel", reason="no")
    other.does("open")

    mine, others = events(text_of(cast.volunteer, "group"))

    assert "Your duty: applicator" in mine.description.value
    assert "Your duty" not in others.description.value
    assert [mine.transp.value, others.transp.value] == ["OPAQUE", "TRANSPARENT"]
    assert [e.summary.value for e in events(text_of(cast.other_volunteer))] == []
    assert len(events(text_of(cast.other_volunteer, "group"))) == 2


def test_a_day_leaves_ones_own_calendar_when_one_withdraws(cast, plan):
    sign_up = cast.volunteer.member.sign_ups.get()
    cast.volunteer.does("sign_up", "withdraw", id=sign_up.id)

    assert events(text_of(cast.volunteer)) == []


def test_a_day_that_is_over_stays_for_three_months(cast, plan):
    over = datetime.fromisoformat(ON).replace(tzinfo=UTC)

    assert len(events(text_of(cast.volunteer, on=over + timedelta(days=92)))) == 1
    assert events(text_of(cast.volunteer, on=over + timedelta(days=93))) == []


def test_nobody_else_is_named_in_it(cast, plan):
    plan.duty("hauler", wanted=2)
    plan.takes(
        cast.other_volunteer,
        cast.coordinator.does("duty", "create", work_day=plan.id, name="cutter", wanted=1).record.id,
    )
    licence(cast.coordinator, cast.other_volunteer, "2028-01-01", number="ZZ-9001")

    text = text_of(cast.volunteer, "group").decode().replace("\r\n ", "")

    for someone in (cast.coordinator, cast.other_volunteer, cast.reviewer):
        assert someone.member.display_name not in text
        assert someone.person.email not in text
        assert str(someone.member.id) not in text
        assert str(someone.person.id) not in text
    assert "ZZ-9001" not in text


HOSTILE = [
    "one, two; three: four \\ five \\n six \\, seven",
    "BEGIN:VEVENT\r\nUID:1\r\nEND:VEVENT\r\nEND:VCALENDAR",
    "first\nsecond\n\nfourth",
    "🌳" * 60 + "é" * 80 + "日本" * 40,
    '"quoted" ^n ^^ =0A= %0D%0A',
    "\ttab at the beginning, and a space at the end ",
    "x" * 10_000,
    "\\" * 200,
    ",;\\" * 100,
    "🌲" * 9_999,
]
NAMES = {
    "uid", "sequence", "dtstamp", "last-modified", "dtstart", "dtend", "summary", "location", "description", "status",
    "transp", "url",
}  # fmt: skip


def in_memory(title, place, meeting_point="", note="", duty=None):
    """Write the calendar of one day that stands in no database."""
    feed = CalendarFeed(member=Member(group=Group(name=title)))
    day = WorkDay(
        id=feed.id, title=title, on_date=date(2027, 7, 1), property=Property(name=place), state="open",
        meeting_point=meeting_point, note=note,
    )  # fmt: skip
    mine = SignUp(duty=Duty(name="other", other_name=duty)) if duty else None
    return calendar_text(feed, [Entered(day, mine, 0, AT)], PAGE.format)


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_every_property_survives_hostile_texts(text):
    raw = in_memory(text, text, meeting_point=text[:2000], note=text[:9000], duty=text[:500])

    is_well_folded(raw)
    event = only(raw)
    told = [f"Your duty: {text[:500]}", f"Meeting point: {text[:2000]}", f"Besides: {text[:9000]}"]
    assert event.summary.value == plain(text)
    assert event.location.value == plain(f"{text}, {text[:2000]}")
    assert event.description.value == plain("\n".join(told))
    assert set(event.contents) == NAMES


def test_texts_that_would_break_a_calendar_come_through_the_whole_service(cast):
    text = "\n".join(HOSTILE[:6])
    plan = Plan(cast.coordinator, meeting_point=text, note=text).staffed(cast.volunteer)

    event = only(text_of(cast.volunteer))

    assert event.location.value == plain(f"Heron Bend, {plan.day.meeting_point}")
    assert plain(f"Besides: {plan.day.note}") in event.description.value
    assert set(event.contents) == NAMES


def is_well_folded(raw):
    """Every line ends with CR LF and has at most 75 octets, and none is parted within a character (3.1)."""
    assert raw.endswith(b"\r\n")
    for line in raw[:-2].split(b"\r\n"):
        assert len(line) <= 75
        assert b"\n" not in line
        assert b"\r" not in line
        line.decode("utf-8")


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(text=st.text(max_size=400))
def test_any_text_at_all_is_read_back_as_it_was_written(text):
    raw = in_memory(text, text)

    is_well_folded(raw)
    assert only(raw).summary.value == only(raw).location.value == plain(text)


def test_a_text_is_cut_before_it_fills_a_calendar():
    assert len(plain("x" * 90_000)) == LONGEST_TEXT


def test_line_breaks_of_all_kinds_are_one_and_other_controls_are_dropped():
    assert plain("a\r\nb\rc\u2028d\x85e\x0bf\x00g\x07h\ud800i\tj") == "a\nb\nc\nd\ne\nfghi\tj"
