"""Pages on which a coordinator plans: a day, a copy, a change, a postponement, a series, an approved task; a month."""

import re

import pytest

from stewardship.workdays.models import ApprovedTask, Duty, SignUp, WorkDay, WorkDaySeries
from tests.planning import at
from tests.stewardship.web.pages import NOBODY, SOON, body, send

NEW = "/work-days/new/"


def planned(pages, **values):
    told = {
        "property": pages.ground.property, "title": "Honeysuckle", "on_date": "2027-05-22", "starts_at": "09:00",
        "ends_at": "12:30", "units": [pages.ground.unit], "wanted_cutter": 3, "access": "Gate on the county road",
        "bring": "Boots", "hazards": ["heat", "insects"], "other_hazard": "an old well", "leader_contact": "555-0100",
        "leader": pages.coordinator.member.id, "capacity": 12, "weather_on": "2027-05-21", "weather_at": "18:00",
        "closes_on": "2027-05-21", "closes_at": "12:00", "methods": ["pulling"],
    }  # fmt: skip
    return told | values


def markup(response):
    return response.content.decode()


def day_page(pages, day=None, rest=""):
    return f"/work-days/{day or pages.day}/{rest}"


def test_everything_of_a_plan_is_kept_and_shown(pages):
    send(pages.coordinator.signed_in(), NEW, **planned(pages))

    day = WorkDay.objects.get(title="Honeysuckle")
    assert [each["what"] for each in day.hazards] == ["heat", "insects", "other"]
    assert (day.capacity, day.methods, day.leader_id) == (12, ["pulling"], pages.coordinator.member.id)
    assert day.weather_decision_at.isoformat() == "2027-05-21T23:00:00+00:00"
    shown = body(pages.cast.volunteer.signed_in().get(day_page(pages, day.id)))
    for words in (
        "Gate on the county road", "Maren Oduya, 555-0100", "heat and sun", "an old well", "Boots", "pulling",
        "12 people at most", "decided on",
    ):  # fmt: skip
        assert words in shown


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"weather_at": ""}, "Say both, the date and the time, or neither."),
        ({"weather_on": "2027-05-23"}, "The weather is decided on before the day begins."),
        ({"closes_on": "2027-05-23"}, "Sign-up closes after the day is over."),
        ({"hazards": ["dragons"]}, "Choose one from the list."),
    ],
)
def test_a_plan_that_cannot_be_says_why_beside_its_field(pages, changes, sentence):
    response = send(pages.coordinator.signed_in(), NEW, **planned(pages, **changes))

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "Gate on the county road" in body(response)
    assert not WorkDay.objects.filter(title="Honeysuckle").exists()


def test_a_copy_begins_with_what_the_day_says_but_its_date(pages):
    client = pages.coordinator.signed_in()
    send(client, NEW, **planned(pages))
    day = WorkDay.objects.get(title="Honeysuckle")

    shown = markup(client.get(f"{NEW}?copy={day.id}"))

    assert 'value="Honeysuckle"' in shown
    assert 'value="2027-05-22"' not in shown
    assert re.search(r'name="wanted_cutter"[^>]* value="3"|value="3"[^>]* name="wanted_cutter"', shown)
    assert client.get(f"{NEW}?copy={NOBODY}").status_code == 404
    assert client.get(f"{NEW}?copy=nothing").status_code == 200


def test_a_plan_is_changed_and_the_notes_of_hazards_stay(pages):
    pages.coordinator.does("work_day", "amend", id=pages.day, hazards=[{"what": "slope", "note": "below the dam"}])
    client = pages.coordinator.signed_in()
    shown = markup(client.get(day_page(pages, rest="edit/")))
    assert 'value="Buckthorn at the bend"' in shown
    assert 'name="on_date"' not in shown, "an open day gets another date by being postponed"

    told = {"title": "Buckthorn", "starts_at": "10:00", "ends_at": "12:30", "units": [pages.ground.unit]}
    send(client, day_page(pages, rest="edit/"), **told, hazards=["slope"], herbicide_planned="on")

    day = WorkDay.objects.get(id=pages.day)
    assert (day.title, day.starts_at.isoformat()) == ("Buckthorn", "2027-05-15T15:00:00+00:00")
    assert day.hazards == [{"what": "slope", "note": "below the dam"}]


def test_a_change_keeps_the_task_that_was_withdrawn_and_the_leader_who_left(pages):
    cast, does = pages.cast, pages.coordinator.does
    told = {"title": "Buckthorn", "approved_by": "The committee", "approved_on": "2027-02-01", "from_on": "2027-03-01"}
    task = does("approved_task", "create", property=pages.ground.property, herbicide=True, **told).record.id
    does("work_day", "amend", id=pages.day, task=str(task), leader=cast.other_volunteer.member.id)
    does("approved_task", "withdraw", id=task, reason="nesting herons")
    does("member", "end", id=cast.other_volunteer.member.id)
    shown = markup(pages.coordinator.signed_in().get(day_page(pages, rest="edit/")))

    assert f'<option value="{task}" selected>' in shown
    assert f'<option value="{cast.other_volunteer.member.id}" selected>' in shown


def test_the_plan_of_a_cancelled_day_is_not_changed(pages):
    pages.coordinator.does("work_day", "cancel", id=pages.day, reason="storm")

    response = pages.coordinator.signed_in().get(day_page(pages, rest="edit/"))

    assert (response.status_code, response["Location"]) == (302, day_page(pages))


def test_a_day_is_postponed_with_its_people(pages):
    pages.cast.volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.cutter)
    client = pages.coordinator.signed_in()

    refused = send(client, day_page(pages, rest="postpone/"), on_date=SOON, reason="storm")
    send(
        client,
        day_page(pages, rest="postpone/"),
        on_date="2027-05-29",
        starts_at="09:00",
        ends_at="12:30",
        reason="storm",
    )

    assert "The work day is on this date already." in body(refused)
    day = WorkDay.objects.get(id=pages.day)
    assert (str(day.on_date), day.starts_at.isoformat()) == ("2027-05-29", "2027-05-29T14:00:00+00:00")
    assert SignUp.objects.get(work_day=day).withdrawn_at is None
    assert "from Sat 15 May 2027: storm" in body(client.get(day_page(pages)))


def test_a_confirmed_day_that_came_short_says_so_to_a_coordinator(pages):
    volunteer = pages.cast.volunteer
    held = pages.licensed(volunteer)
    volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.applicator)
    pages.coordinator.does("sign_up", "create", work_day=pages.day, duty=pages.cutter)
    pages.coordinator.does("work_day", "confirm", id=pages.day)
    pages.coordinator.does("credential", "amend", id=held, reason="misread", expires_on="2027-05-14")

    shown = body(pages.coordinator.signed_in().get(day_page(pages)))

    assert "Confirmed, but now short" in shown
    assert "ended on 14 May 2027" in shown
    assert "now short" not in body(volunteer.signed_in().get(day_page(pages)))


def test_more_are_wanted_for_a_duty_and_who_waited_has_a_place(pages):
    first, second = pages.cast.volunteer, pages.cast.other_volunteer
    for someone in (first, second):
        someone.does("sign_up", "create", work_day=pages.day, duty=pages.cutter)
    assert "on the waiting list" in body(second.signed_in().get("/"))

    client = pages.coordinator.signed_in()
    send(client, day_page(pages, rest="duty/amend/"), duty=pages.cutter, wanted=2)
    send(client, day_page(pages, rest="duty/"), name="hauler", wanted=3, minimum_age=14)

    assert not SignUp.objects.filter(is_waiting=True).exists()
    assert Duty.objects.get(work_day=pages.day, name="hauler").minimum_age == 14


def test_who_leads_the_day_brings_a_drop_in_on_the_day_itself(pages):
    today = pages.plans("2027-05-01")
    duty, lead = pages.duty("cutter", today), pages.duty("leader", today)
    pages.coordinator.does("work_day", "open", id=today)
    volunteer = pages.cast.volunteer
    pages.coordinator.does("sign_up", "create", work_day=today, duty=lead, member=volunteer.member.id)
    client = volunteer.signed_in()

    shown = body(client.get(day_page(pages, today)))
    send(client, day_page(pages, today, "sign-up/"), duty=duty, drop_in="Perrin Lowe")

    assert "Or somebody who is no member" in shown
    assert "Perrin Lowe" in body(client.get(day_page(pages, today)))
    assert "Or somebody who is no member" not in body(client.get(day_page(pages)))


def test_a_month_marks_its_days(pages):
    client = pages.cast.volunteer.signed_in()

    shown = markup(client.get("/work-days/month/?month=2027-05"))

    assert "May 2027" in shown
    assert f'href="/work-days/{pages.day}/">15' in shown
    assert "Buckthorn at the bend" not in body(client.get("/work-days/month/?month=2027-06"))
    for odd in ("2027-13", "9999-12", "0001-01", "x"):
        assert client.get(f"/work-days/month/?month={odd}").status_code == 200


def test_a_month_costs_the_same_statements_for_few_and_for_many(pages, django_assert_max_num_queries):
    client = pages.coordinator.signed_in()
    client.get("/work-days/month/?month=2027-05")
    for day in range(10, 20):
        pages.plans(f"2027-05-{day}")

    with django_assert_max_num_queries(8):
        client.get("/work-days/month/?month=2027-05")


# -- series ------------------------------------------------------------------------------------------


def series_told(pages, **values):
    told = {
        "property": pages.ground.property, "title": "Second Saturdays", "on_date": "2027-05-08", "starts_at": "09:00",
        "ends_at": "12:30", "how_often": "nth", "wanted_puller": 4, "opens": "on", "months": ["5", "6", "7"],
    }  # fmt: skip
    return told | values


def test_a_series_is_planned_changed_and_ended(pages):
    client = pages.coordinator.signed_in()

    response = send(client, "/work-days/series/new/", **series_told(pages))

    series = WorkDaySeries.objects.get()
    assert (series.rule, series.minutes) == ("FREQ=MONTHLY;BYDAY=2SA;BYMONTH=5,6,7", 210)
    assert [str(day.on_date) for day in series.days.order_by("on_date")] == ["2027-05-08", "2027-06-12", "2027-07-10"]
    assert Duty.objects.filter(work_day__series=series, name="puller", wanted=4).count() == 3
    shown = body(client.get(response["Location"]))
    assert "every second Saturday of the month" in shown
    assert "Sat 12 Jun 2027" in shown

    page = f"/work-days/series/{series.id}/"
    assert 'value="12:30"' in markup(client.get(f"{page}edit/"))
    wrong = send(client, f"{page}edit/", title="x", starts_at="9:00", ends_at="12:30", without="3 July")
    assert "Write each date like 2027-07-03." in body(wrong)
    send(client, f"{page}edit/", title="Saturdays", starts_at="9:30", ends_at="12:30", without="2027-07-10", opens="on")
    assert [day.title for day in series.days.filter(state="open")] == ["Saturdays"] * 2

    send(client, f"{page}end/", last_on="2027-05-08", reason="the site is done")
    assert "the site is done" in body(client.get(page))
    assert series.days.filter(state="cancelled").count() == 2


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"how_often": "rule"}, "Write the rule here, or choose another answer above."),
        ({"how_often": "rule", "rule": "now and then"}, "rule"),
        ({"until": "2027-05-07"}, "This ends before its first day"),
    ],
)
def test_a_series_that_cannot_be_says_why(pages, changes, sentence):
    response = send(pages.coordinator.signed_in(), "/work-days/series/new/", **series_told(pages, **changes))

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert not WorkDaySeries.objects.exists()


# -- approved tasks ----------------------------------------------------------------------------------


def test_a_task_is_entered_withdrawn_and_shown_to_everybody(pages):
    client, page = pages.coordinator.signed_in(), f"/places/{pages.ground.property}/tasks/"
    told = {"title": "Buckthorn, north side", "approved_on": "2027-02-01", "from_on": "2027-03-01"}

    nobody = send(client, f"{page}new/", **told)
    send(client, f"{page}new/", **told, approved_by="The land committee", units=[pages.ground.unit])

    assert "Say who approved the task" in body(nobody)
    task = ApprovedTask.objects.get()
    shown = body(pages.cast.volunteer.signed_in().get(page))
    assert "Buckthorn, north side" in shown
    assert "by The land committee" in shown
    assert "Withdraw" not in shown

    send(client, f"{page}{task.id}/withdraw/", reason="nesting herons")
    assert "nesting herons" in body(client.get(page))


def test_a_day_without_a_task_is_not_opened_where_the_group_wants_one_and_says_why(pages):
    page = f"/places/{pages.ground.property}/tasks/"
    assert send(pages.cast.volunteer.signed_in(), f"{page}wanted/").status_code == 404
    send(pages.coordinator.signed_in(), f"{page}wanted/")
    assert "opened and confirmed only for a task" in body(pages.coordinator.signed_in().get(page))
    draft = pages.plans("2027-06-05", starts_at=at("9:00", "2027-06-05"))
    client = pages.coordinator.signed_in()

    response = send(client, day_page(pages, draft, "open/"))

    assert response.status_code == 409
    assert "The day names no approved task." in body(response)


@pytest.mark.parametrize("address", ["work-days/new/", "work-days/series/new/", "work-days/{day}/edit/"])
def test_a_volunteer_finds_no_page_to_plan_on(pages, address):
    client = pages.cast.volunteer.signed_in()

    assert client.get(f"/{address.format(day=pages.day)}").status_code == 404
