"""The page that tells who is missing, and the one that tells what credentials are worth on a date."""

import re

from stewardship.workdays.models import SignUp
from tests.credentials import enters, kind
from tests.stewardship.web.pages import SOON, body, send


def page(pages, query=""):
    return pages.coordinator.signed_in().get(f"/work-days/who-is-missing/{query}")


ALL = "?first_on=2027-05-01&last_on=2027-12-31"


def test_the_page_tells_which_duty_lacks_whom_and_who_could_be_asked(pages):
    pages.licensed(pages.cast.volunteer)

    response = page(pages, ALL)
    words = body(response)

    assert "Sat 15 May 2027: Buckthorn at the bend" in words
    assert "1 of 1" in words
    (applicators,) = re.findall(r"Who, as applicator.*?</select>", response.content.decode(), re.DOTALL)
    assert re.findall(r"<option[^>]*>([^<]+)", applicators) == ["Tobias Quill"]


def test_a_coordinator_signs_somebody_up_from_there_and_comes_back_to_the_same_period(pages):
    pages.licensed(pages.cast.volunteer)
    coordinator = pages.coordinator.signed_in()
    told = {"duty": pages.applicator, "member": pages.cast.volunteer.member.id, "first_on": "2027-05-01"}

    response = send(coordinator, f"/work-days/who-is-missing/{pages.day}/sign-up/", **told, last_on="2027-12-31")

    assert response.status_code == 302
    assert response.url == f"/work-days/who-is-missing/{ALL}"
    assert "Tobias Quill is signed up for Buckthorn at the bend." in body(coordinator.get(response.url))
    assert SignUp.objects.get().member_id == pages.cast.volunteer.member.id


def test_somebody_who_is_not_good_for_it_is_refused_with_the_reason_and_the_list_stays(pages):
    coordinator = pages.coordinator.signed_in()
    told = {"duty": pages.applicator, "member": pages.cast.volunteer.member.id, "first_on": "2027-05-01"}

    response = send(coordinator, f"/work-days/who-is-missing/{pages.day}/sign-up/", **told, last_on="2027-12-31")

    words = body(response)
    assert (response.status_code, SignUp.objects.count()) == (409, 0)
    assert "No herbicide credential is on record for 15 May 2027." in words
    assert "Sat 15 May 2027: Buckthorn at the bend" in words


def test_a_period_that_cannot_be_meant_is_refused_beside_its_field(pages):
    for query, said in (
        ("?first_on=2027-05-02&last_on=2027-05-01", "Choose a date on or after the first"),
        ("?first_on=2027-05-02&last_on=2029-05-01", "at most a year later"),
        ("?first_on=soon&last_on=2027-05-01", "Enter a valid date."),
        ("?first_on=2027-05-01", "Please fill this in."),
    ):
        response = page(pages, query)
        assert (response.status_code, said in body(response)) == (400, True), query


def test_a_period_without_days_and_one_without_gaps_say_so(pages):
    assert "no work day in this time wants people" in body(page(pages, "?first_on=2027-06-01&last_on=2027-06-30"))

    pages.licensed(pages.cast.volunteer)
    pages.cast.volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.applicator)
    pages.cast.other_volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.cutter)
    words = body(page(pages, f"?first_on={SOON}&last_on={SOON}"))
    assert "every duty has the people it wants" in words
    assert "Days that lack nobody" in words


def test_a_lapse_before_a_day_is_told_at_the_top(pages):
    credential = pages.licensed(pages.cast.volunteer)
    pages.cast.volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.applicator)
    pages.coordinator.does("credential", "amend", id=credential, expires_on="2027-05-14", reason="misread")

    words = body(page(pages, ALL))

    assert "Credentials that end before a day they are needed on" in words
    assert "Tobias Quill, applicator on Sat 15 May 2027, Buckthorn at the bend:" in words
    assert "ended on 14 May 2027" in words


def test_a_card_without_the_one_that_it_asks_for_is_not_called_valid(pages):
    saw = kind(pages.coordinator, name="Saw card", covers="saw", needs=["first_aid"])
    enters(pages.coordinator, pages.cast.volunteer, saw)

    words = body(pages.coordinator.signed_in().get("/people/credentials/?on=2027-06-30"))

    assert "Saw card does not count Saw card counts only beside another one. No first-aid certificate" in words


def test_what_credentials_are_worth_is_told_for_the_date_that_is_chosen(pages):
    pages.licensed(pages.cast.volunteer, "2027-06-30")
    coordinator = pages.coordinator.signed_in()

    assert "Tobias Quill valid until Wed 30 Jun 2027" in body(coordinator.get("/people/credentials/?on=2027-06-30"))
    assert "Tobias Quill ended Wed 30 Jun 2027" in body(coordinator.get("/people/credentials/?on=2027-07-01"))
    refused = coordinator.get("/people/credentials/?on=soon")
    assert (refused.status_code, "Enter a valid date." in body(refused)) == (400, True)


def test_the_list_of_days_and_the_home_lead_there(pages):
    coordinator = pages.coordinator.signed_in()

    for address in ("/", "/work-days/"):
        assert 'href="/work-days/who-is-missing/"' in coordinator.get(address).content.decode()
    assert "who-is-missing" not in pages.cast.volunteer.signed_in().get("/work-days/").content.decode()


def test_what_a_day_lacks_leads_to_who_could_be_asked_for_it(pages):
    shown = pages.coordinator.signed_in().get(f"/work-days/{pages.day}/").content.decode()

    assert f'href="/work-days/who-is-missing/?first_on={SOON}&amp;last_on={SOON}"' in shown
