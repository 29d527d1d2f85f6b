"""One work day on one screen: each act, each refusal in words, nothing done twice."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.sync.models import Mutation
from stewardship.workdays.models import Attendance, Duty, SignUp, WorkDay
from tests.stewardship.web.pages import NOBODY, ON, SOON, address, body, send


def state(pages):
    return WorkDay.objects.get(id=pages.day).state


def planned(pages, **changes):
    told = {
        "property": pages.ground.property, "title": "Pulling at the ford", "on_date": SOON, "starts_at": "09:00",
        "ends_at": "12:00", "units": [str(pages.ground.unit)], "herbicide_planned": "on", "note": "Gloves",
        "wanted_leader": "1", "wanted_applicator": "2", "other_name": "cook", "other_wanted": "1",
    }  # fmt: skip
    return told | changes


# -- planning -----------------------------------------------------------------------------------------


def test_a_day_is_planned_with_its_duties_as_a_draft_by_the_clock_of_its_place(pages):
    response = send(pages.coordinator.signed_in(), "/work-days/new/", **planned(pages))

    day = WorkDay.objects.get(title="Pulling at the ford")
    duties = {str(duty): duty.wanted for duty in Duty.objects.filter(work_day=day)}
    assert response["Location"] == f"/work-days/{day.id}/"
    assert day.state == "draft"
    assert day.starts_at.isoformat() == "2027-05-15T14:00:00+00:00"
    assert day.units == [str(pages.ground.unit)]
    assert duties == {"leader": 1, "applicator": 2, "cook": 1}


def test_a_plan_that_is_handed_in_twice_is_one_day(pages):
    client, mid = pages.coordinator.signed_in(), new_id()

    first = send(client, "/work-days/new/", mid=mid, **planned(pages))
    second = send(client, "/work-days/new/", mid=mid, **planned(pages))

    assert first["Location"] == second["Location"]
    assert WorkDay.objects.filter(title="Pulling at the ford").count() == 1


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"title": ""}, "Please fill this in."),
        ({"property": ""}, "Please fill this in."),
        ({"on_date": "soon"}, "Enter a valid date."),
        ({"ends_at": "08:00"}, "The work day ends before it begins."),
        ({"units": [NOBODY]}, "Choose one from the list."),
        ({"other_name": ""}, "Say what the other duty is and how many people it wants, or neither."),
        ({"herbicide_planned": None}, "A method or a duty of this day is with herbicide. Tick this, or take that out."),
        ({"wanted_leader": "-1"}, "greater than or equal to 0"),
        ({"wanted_leader": "5000"}, "This must be"),
    ],
    ids=lambda value: str(value)[:40],
)
def test_a_plan_that_cannot_be_is_refused_beside_its_field_and_nothing_typed_is_lost(pages, changes, sentence):
    days = WorkDay.objects.count()

    response = send(pages.coordinator.signed_in(), "/work-days/new/", **planned(pages, **changes))

    assert response.status_code in (400, 409)
    assert sentence in body(response) or (sentence == "This must be" and "1000" in body(response))
    assert "This was not recorded" in body(response)
    assert "Gloves" in body(response)
    assert WorkDay.objects.count() == days


# -- moving -------------------------------------------------------------------------------------------


def test_a_draft_is_opened(pages):
    draft = pages.plans()

    response = send(pages.coordinator.signed_in(), f"/work-days/{draft}/open/")

    assert response["Location"] == f"/work-days/{draft}/"
    assert WorkDay.objects.get(id=draft).state == "open"


def test_a_day_is_confirmed_once_it_is_staffed(pages):
    pages.licensed(pages.cast.volunteer)
    pages.cast.volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.applicator)
    pages.coordinator.does("sign_up", "create", work_day=pages.day, duty=pages.cutter)

    response = send(pages.coordinator.signed_in(), address(pages, "confirm/"))

    assert response.status_code == 302
    assert state(pages) == "confirmed"


def test_a_confirmation_that_is_refused_shows_every_reason_and_offers_the_day_without_herbicide(pages):
    response = send(pages.coordinator.signed_in(), address(pages, "confirm/"))

    words = body(response)
    assert response.status_code == 409
    assert "This work day is not ready to be confirmed." in words
    assert "Nobody is signed up as applicator." in words
    assert "1 of 1 people are still wanted as applicator." in words
    assert "1 of 1 people are still wanted as cutter." in words
    assert "Hold it without herbicide" in words
    assert state(pages) == "open"


def test_a_day_is_held_without_herbicide(pages):
    client = pages.coordinator.signed_in()

    send(client, address(pages, "without-herbicide/"))
    confirmed = send(client, address(pages, "confirm/"))

    assert confirmed.status_code == 302
    assert WorkDay.objects.get(id=pages.day).herbicide_planned is False


def test_a_day_is_cancelled_with_its_reason_and_without_one_it_is_not(pages):
    client = pages.coordinator.signed_in()

    refused = send(client, address(pages, "cancel/"), reason="")
    before = state(pages)
    done = send(client, address(pages, "cancel/"), reason="Storm")

    assert refused.status_code == 400
    assert "Please fill this in." in body(refused)
    assert (before, state(pages)) == ("open", "cancelled")
    assert "Storm" in body(client.get(done["Location"]))


def test_a_day_that_people_came_to_is_not_cancelled_and_the_reason_that_was_typed_stays(pages):
    pages.cast.volunteer.does("attendance", "create", work_day=pages.day, in_at="2027-05-15T09:00:00-05:00")

    response = send(pages.coordinator.signed_in(), address(pages, "cancel/"), reason="Lightning nearby")

    assert response.status_code == 409
    assert "People are checked in on this work day." in body(response)
    assert "Lightning nearby" in body(response)


def test_a_day_is_stopped_early_with_time_and_reason(pages):
    today = pages.plans(ON, herbicide_planned=False)
    client = pages.coordinator.signed_in()
    for act in ("open", "confirm"):
        send(client, f"/work-days/{today}/{act}/")
    send(client, f"/work-days/{today}/check-in/", member="", in_at="09:00", age_class="adult")

    early = send(client, f"/work-days/{today}/stop/", stopped_at="08:00", reason="Rain")
    done = send(client, f"/work-days/{today}/stop/", stopped_at="11:05", reason="Rain")

    day = WorkDay.objects.get(id=today)
    assert "This time lies before the work day began." in body(early)
    assert done.status_code == 302
    assert (day.state, day.stopped_at.isoformat()) == ("stopped", "2027-05-01T16:05:00+00:00")
    assert "State stopped early, at 11:05: Rain" in body(client.get(f"/work-days/{today}/"))


def test_a_day_that_was_stopped_early_and_closed_still_says_when_and_why(pages):
    client = pages.coordinator.signed_in()
    pages.day = pages.plans(ON, herbicide_planned=False)
    for act in ("open/", "confirm/"):
        send(client, address(pages, act))
    send(client, address(pages, "check-in/"), member="", in_at="09:00", age_class="adult")
    send(client, address(pages, "stop/"), stopped_at="11:05", reason="Rain")
    came = Attendance.objects.get(work_day=pages.day)
    send(client, address(pages, f"attendances/{came.id}/check-out/"), out_at="11:05", how_known="measured")
    send(client, address(pages, "keep/answer/"), had_incident="no")
    send(client, address(pages, "close/"))

    assert state(pages) == "closed"
    assert "State closed; stopped early, at 11:05: Rain" in body(client.get(address(pages))).replace(" ;", ";")


def test_a_day_is_finished_and_closed_only_when_everybody_has_left(pages):
    client = pages.coordinator.signed_in()
    nobody = send(client, address(pages, "finish/"))
    send(client, address(pages, "check-in/"), member=pages.cast.volunteer.member.id, in_at="09:00", age_class="adult")
    send(client, address(pages, "finish/"))
    refused = send(client, address(pages, "close/"))
    came = Attendance.objects.get(work_day=pages.day)
    send(client, address(pages, f"attendances/{came.id}/check-out/"), out_at="12:15", how_known="estimated")
    send(client, address(pages, "keep/answer/"), had_incident="no")
    send(client, address(pages, "close/"))

    assert "Nobody is checked in on this work day." in body(nobody)
    assert "Tobias Quill has not checked out." in body(refused)
    assert "why nobody knows it any more" not in body(refused), "no record lacks anything"
    assert state(pages) == "closed"


@pytest.mark.parametrize("act", ["open", "close"])
def test_a_move_that_the_state_does_not_admit_is_refused_in_words(pages, act):
    response = send(pages.coordinator.signed_in(), address(pages, f"{act}/"))

    assert response.status_code == 409
    assert "This work day is open, so it cannot be" in body(response)


def test_the_screen_of_a_closed_day_offers_no_act(pages):
    client = pages.coordinator.signed_in()
    send(client, address(pages, "cancel/"), reason="Storm")

    html = client.get(address(pages)).content.decode()

    assert "<form" not in html


def test_a_duty_is_added_to_a_day_and_one_without_words_is_refused(pages):
    client = pages.coordinator.signed_in()

    done = send(client, address(pages, "duty/"), name="hauler", wanted="2", other_name="")
    refused = send(client, address(pages, "duty/"), name="other", wanted="1", other_name="")
    none = send(client, address(pages, "duty/"), name="hauler", wanted="0", other_name="")

    assert done.status_code == 302
    assert (refused.status_code, none.status_code) == (400, 400)
    assert "Choose other and say here which duty it is" in body(refused)
    assert Duty.objects.filter(work_day=pages.day).count() == 3


# -- people -------------------------------------------------------------------------------------------


def test_a_volunteer_signs_up_and_withdraws(pages):
    client = pages.cast.volunteer.signed_in()

    send(client, address(pages, "sign-up/"), duty=pages.cutter)
    sign_up = SignUp.objects.get(work_day=pages.day)
    shown = body(client.get(address(pages)))
    send(client, address(pages, f"sign-ups/{sign_up.id}/withdraw/"))

    assert sign_up.member_id == pages.cast.volunteer.member.id
    assert "Withdraw" in shown
    assert SignUp.objects.get(id=sign_up.id).withdrawn_at is not None


def test_a_sign_up_that_is_sent_twice_is_one(pages):
    client, mid = pages.cast.volunteer.signed_in(), new_id()

    answers = [send(client, address(pages, "sign-up/"), mid=mid, duty=pages.cutter) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [302, 302]
    assert SignUp.objects.count() == 1


def test_a_sign_up_as_applicator_without_a_credential_is_refused_with_its_reason(pages):
    response = send(pages.cast.volunteer.signed_in(), address(pages, "sign-up/"), duty=pages.applicator)

    assert response.status_code == 409
    assert "This duty asks for what is not on record for this member on the date of the work day." in body(response)
    assert "No herbicide credential is on record for 15 May 2027." in body(response)


def test_a_second_sign_up_is_refused_and_a_full_duty_gives_a_place_on_the_waiting_list(pages):
    send(pages.cast.volunteer.signed_in(), address(pages, "sign-up/"), duty=pages.cutter)
    other = pages.cast.other_volunteer.signed_in()

    again = send(pages.cast.volunteer.signed_in(), address(pages, "sign-up/"), duty=pages.cutter)
    offered = body(other.get(address(pages)))
    send(other, address(pages, "sign-up/"), duty=pages.cutter)
    waits = body(other.get(address(pages)))

    assert "This member is signed up for this work day already." in body(again)
    assert "Wait for a place as cutter" in offered
    assert "No place is free just now: on the waiting list." in waits
    assert "You are first on the waiting list." in waits
    assert "Leave the waiting list" in waits


def test_a_volunteer_signs_nobody_else_up_and_withdraws_nobody_else(pages):
    client = pages.cast.volunteer.signed_in()
    other = pages.cast.other_volunteer

    signs = send(client, address(pages, "sign-up/"), duty=pages.cutter, member=other.member.id)
    theirs = other.does("sign_up", "create", work_day=pages.day, duty=pages.cutter).record
    withdraws = send(client, address(pages, f"sign-ups/{theirs.id}/withdraw/"))

    assert (signs.status_code, withdraws.status_code) == (404, 404)
    assert SignUp.objects.get(id=theirs.id).withdrawn_at is None


def test_a_coordinator_signs_somebody_up_and_sees_who_is_qualified_on_the_date(pages):
    pages.licensed(pages.cast.volunteer)
    client = pages.coordinator.signed_in()

    send(client, address(pages, "sign-up/"), duty=pages.applicator, member=pages.cast.volunteer.member.id)

    assert "Tobias Quill, qualified on this date (until Fri 31 Dec 2027)" in body(client.get(address(pages)))
    assert "qualified" not in body(pages.cast.other_volunteer.signed_in().get(address(pages)))


def test_who_is_no_longer_qualified_on_the_date_is_shown_so(pages):
    credential = pages.licensed(pages.cast.volunteer)
    pages.cast.volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.applicator)
    pages.coordinator.does("credential", "amend", id=credential, expires_on="2027-05-14", reason="misread")

    words = body(pages.coordinator.signed_in().get(address(pages)))

    assert "not qualified on this date" in words
    assert "Fri 14 May 2027" in words


def test_a_form_whose_id_already_stands_for_other_words_says_so_and_may_be_sent_as_new(pages):
    client, mid = pages.coordinator.signed_in(), new_id()
    other = pages.duty("hauler")
    send(client, address(pages, "sign-up/"), mid=mid, duty=pages.cutter)

    response = send(client, address(pages, "sign-up/"), mid=mid, duty=other)

    assert response.status_code == 409
    assert "This form was handed in once already, with other words." in body(response)
    assert SignUp.objects.count() == 1
    assert f'name="mid" value="{mid}"' not in response.content.decode()


def test_a_form_without_an_id_is_refused_and_writes_nothing(pages):
    before = Mutation.objects.count()

    response = pages.coordinator.signed_in().post(address(pages, "confirm/"), {})

    assert response.status_code == 400
    assert Mutation.objects.count() == before


def test_the_list_of_days_costs_the_same_statements_for_few_and_for_many(pages, django_assert_max_num_queries):
    client = pages.coordinator.signed_in()
    pages.plans("2027-04-20")
    client.get("/work-days/")
    with django_assert_max_num_queries(20) as few:
        client.get("/work-days/")
    for n in range(1, 10):
        pages.plans(f"2027-06-0{n}")
        pages.plans(f"2027-04-0{n}")

    with django_assert_max_num_queries(20) as many:
        client.get("/work-days/")

    assert len(many) == len(few)


def test_the_screen_of_a_day_costs_the_same_statements_however_much_was_done(pages, django_assert_max_num_queries):
    client = pages.coordinator.signed_in()
    pages.ground.line(pages.ground.session(work_day=pages.day), pages.ground.batch(work_day=pages.day), "1")
    pages.coordinator.does("attendance", "create", work_day=pages.day, in_at="2027-05-15T09:00:00-05:00")
    client.get(address(pages))
    with django_assert_max_num_queries(60) as few:
        client.get(address(pages))
    for _ in range(4):
        pages.ground.line(pages.ground.session(work_day=pages.day), pages.ground.batch(work_day=pages.day), "1")
    pages.cast.volunteer.does("attendance", "create", work_day=pages.day, in_at="2027-05-15T09:00:00-05:00")

    with django_assert_max_num_queries(60) as many:
        client.get(address(pages))

    assert len(many) - len(few) <= 1  # one more form to check somebody out
