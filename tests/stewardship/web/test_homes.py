"""The home of each person: what is missing, what lapses, what comes."""

import pytest

from stewardship.journal.models import Book
from tests.cast import sent
from tests.ground import fl_oz
from tests.stewardship.web.pages import SOON, body, send

NONE_LACKS = "each duty that asks for a credential has people whose credential counts on that date"


def home(who):
    return body(who.signed_in().get("/"))


def test_a_coordinator_sees_which_day_lacks_a_qualified_applicator_and_why(pages):
    words = home(pages.coordinator)

    assert "1 of 1 people are still wanted as applicator." in words


def test_a_day_is_no_longer_told_as_lacking_once_its_applicator_is_qualified(pages):
    pages.licensed(pages.cast.volunteer)
    pages.cast.volunteer.does("sign_up", "create", work_day=pages.day, duty=pages.applicator)

    words = home(pages.coordinator)

    assert NONE_LACKS in words


def test_a_day_with_herbicide_without_a_duty_for_an_applicator_says_so(pages):
    bare = pages.plans("2027-05-20")
    pages.coordinator.does("work_day", "open", id=bare)

    assert "Herbicide is planned, and no duty for an applicator is laid out." in home(pages.coordinator)


def test_a_day_without_herbicide_lacks_no_applicator(pages):
    pages.coordinator.does("work_day", "amend", id=pages.day, herbicide_planned=False)

    assert NONE_LACKS in home(pages.coordinator)


@pytest.mark.parametrize(
    ("until", "told"),
    [
        ("2027-07-30", "ends on Fri 30 Jul 2027"),
        ("2027-07-31", None),
        ("2027-04-30", "ended on Fri 30 Apr 2027"),
        ("2026-05-01", "ended on Fri 1 May 2026"),
        ("2026-04-30", None),
    ],
)
def test_credentials_are_brought_up_within_90_days_of_their_end_and_for_a_year_after(pages, until, told):
    pages.licensed(pages.cast.volunteer, until)

    words = home(pages.coordinator)

    assert (told in words) if told else ("None ends within 90 days" in words)


def test_a_renewed_credential_is_not_brought_up(pages):
    pages.licensed(pages.cast.volunteer, "2027-05-10")
    pages.licensed(pages.cast.volunteer, "2028-05-10")

    assert "None ends within 90 days" in home(pages.coordinator)


def test_a_credential_that_ends_before_a_day_it_is_needed_on_says_which(pages):
    far = pages.plans("2027-12-01")
    duty = pages.duty("applicator", far)
    pages.coordinator.does("work_day", "open", id=far)
    credential = pages.licensed(pages.cast.volunteer, "2027-12-31")
    pages.cast.volunteer.does("sign_up", "create", work_day=far, duty=duty)
    pages.coordinator.does("credential", "amend", id=credential, expires_on="2027-11-01", reason="misread")

    words = home(pages.coordinator)

    assert "ends on Mon 1 Nov 2027, before Wed 1 Dec 2027, when Tobias Quill is signed up as applicator" in words


def test_a_day_that_is_over_says_what_keeps_it_open(pages):
    past = pages.plans("2027-04-24")
    pages.coordinator.does("work_day", "open", id=past)
    pages.cast.volunteer.does("attendance", "create", work_day=past, in_at="2027-04-24T09:00:00-05:00")
    pages.coordinator.does("work_day", "finish", id=past)

    words = home(pages.coordinator)

    assert "Tobias Quill has not checked out." in words
    assert "None: every day that is over is closed." not in words


def test_a_volunteer_sees_the_next_days_and_every_own_one_however_far_away(pages):
    days = [pages.plans(f"2027-06-{number:02}", title=f"Day {number}") for number in range(1, 13)]
    duties = [pages.duty("puller", day) for day in days]
    for day in days:
        pages.coordinator.does("work_day", "open", id=day)
    pages.cast.volunteer.does("sign_up", "create", work_day=days[-1], duty=duties[-1])

    words = home(pages.cast.volunteer)

    assert words.index("Day 12") < words.index("Days that look for people")
    assert "Day 5 " in words
    assert "Day 6 " not in words
    assert "All days to come" in words


def test_held_entries_are_counted(pages):
    batch = pages.ground.batch()
    session = pages.ground.session()
    values = {
        "session": str(session), "batch": str(batch), "species": str(pages.ground.species), "method": "basal_bark",
        "mix": fl_oz("65"), "how_known": "measured",
    }  # fmt: skip
    pages.cast.volunteer.pushes(sent("application", "create", values))

    words = home(pages.coordinator)

    assert Book.objects.get(group=pages.cast.group).held == 1
    assert "1 entry waits for a coordinator to settle" in words
    assert "1 entry waits for a coordinator to settle" in home(pages.cast.reviewer)


def test_a_volunteer_sees_the_next_day_with_where_when_what_and_signs_up_in_one_act(pages):
    client = pages.cast.volunteer.signed_in()
    before = body(client.get("/"))

    signed = send(client, f"/work-days/{pages.day}/sign-up/", duty=pages.cutter)
    after = body(client.get("/"))

    assert "Your next day would stand here" in before
    assert "Sign up as cutter (1 wanted)" in before
    assert signed.status_code == 302
    assert "Sat 15 May 2027, 09:00" in after
    assert "At the ford" in after
    assert "Your duty cutter" in after
    assert "Record what was used" in after


def test_a_volunteer_sees_their_own_credentials_and_nobody_elses(pages):
    pages.licensed(pages.cast.volunteer, "2027-12-31")
    pages.licensed(pages.cast.other_volunteer, "2027-11-30")

    words = home(pages.cast.volunteer)

    assert "ends on Fri 31 Dec 2027" in words
    assert "30 Nov 2027" not in words


def test_a_draft_is_shown_to_no_volunteer_as_a_day_that_looks_for_people(pages):
    pages.plans(SOON, title="Only a draft")

    assert "Only a draft" not in home(pages.cast.volunteer)


def test_a_reviewer_sees_use_and_reports_and_no_act_of_another_role(pages):
    words = home(pages.cast.reviewer)

    assert "Yearly use" in words
    assert "Growing 2027" in words
    for act in ("Sign up", "Plan a work day", "Record use", "Check in"):
        assert act not in words


def test_a_group_that_has_nothing_yet_is_told_how_to_begin(cast):
    stranger = cast.stranger.signed_in()
    assert stranger.get("/")["Location"] == "/begin/"
    send(stranger, "/begin/state/skip/")

    assert "Plan one, open it, and people can sign up." in body(stranger.get("/"))
    assert "enter a property with its units first" in body(stranger.get("/work-days/new/"))
    assert "a coordinator enters products from their labels first" in body(stranger.get("/mix/"))
    assert "mix one first" in body(stranger.get("/record-use/"))
    assert "a coordinator enters them first" in body(stranger.get("/record-hand-work/"))
    assert "The group has laid out no season yet" in body(stranger.get("/reports/"))
    assert "Nothing is recorded yet" in body(stranger.get("/yearly-use/"))
    assert "Ask for a mix, and record that you mixed it." in body(stranger.get("/batches/"))


@pytest.mark.parametrize("role", ["coordinator", "volunteer", "reviewer"])
def test_a_home_costs_the_same_statements_for_one_day_and_for_many(pages, role, django_assert_max_num_queries):
    def a_day_to_come_and_one_that_is_over(n):
        for on in (f"2027-06-0{n}", f"2027-04-0{n}"):
            day = pages.plans(on)
            duty = pages.duty("cutter", day)
            pages.coordinator.does("work_day", "open", id=day)
            pages.coordinator.does("sign_up", "create", work_day=day, duty=duty)
            pages.cast.volunteer.does("attendance", "create", work_day=day, in_at=f"{on}T09:00:00-05:00")
            pages.ground.session(work_day=day)

    client = getattr(pages.cast, role).signed_in()
    a_day_to_come_and_one_that_is_over(1)
    with django_assert_max_num_queries(58) as few:
        client.get("/")
    for n in range(2, 8):
        a_day_to_come_and_one_that_is_over(n)

    with django_assert_max_num_queries(58) as many:
        client.get("/")

    assert len(many) == len(few)
