"""What is published about a day's work, on its page: gone by or not, entered, taken out of use."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.workdays.models import Practice
from tests.stewardship.web.pages import body, send

AT = "/work-days/practices/"
TOPIC = {"what": "briefing_topic", "title": "Where the deer stand", "source": "Common practice, no source"}


@pytest.fixture
def lead(pages):
    return pages.coordinator.signed_in()


def test_one_is_entered_left_gone_by_again_and_taken_out_of_use(lead):
    send(lead, f"{AT}new/", **TOPIC, wording="Say where hunters sit.")
    row = Practice.objects.get(title="Where the deer stand")
    entered = body(lead.get(AT))
    send(lead, f"{AT}{row.id}/leave/")
    left = body(lead.get(AT))
    send(lead, f"{AT}{row.id}/follow/")
    followed = Practice.objects.get(id=row.id).is_followed
    send(lead, f"{AT}{row.id}/retire/")

    assert "Say where hunters sit. Source: Common practice, no source." in entered
    assert "the group does not go by it" not in entered
    assert "Where the deer stand the group does not go by it" in left
    assert followed
    assert Practice.objects.get(id=row.id).retired_at
    assert "Out of use Where the deer stand (topic of a briefing)" in body(lead.get(AT))
    send(lead, f"{AT}{row.id}/reinstate/")
    assert Practice.objects.get(id=row.id).retired_at is None


def test_a_least_age_bears_on_a_duty_that_is_laid_out_from_now_on(lead, pages):
    told = {"what": "minimum_age", "title": "Hauling: 14 years", "value": "14", "subject": "hauler", "source": "Ours"}

    send(lead, f"{AT}new/", **told)
    duty = pages.coordinator.does("duty", "create", work_day=pages.day, name="hauler", wanted=1).record

    assert duty.minimum_age == 14


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"what": "minimum_age", "subject": "hauler", "value": "old"}, "Write the least age in whole years"),
        ({"what": "minimum_age", "value": "14"}, "Choose the duty that the age is for."),
        ({"what": "emergency_number", "value": "the ranger"}, "Write the number to call."),
        ({"source": ""}, "Please fill this in."),
    ],
)
def test_what_is_not_whole_is_refused_in_words(lead, told, words):
    response = send(lead, f"{AT}new/", **TOPIC | told)

    assert response.status_code == 400
    assert words in body(response)
    assert not Practice.objects.filter(title="Where the deer stand").exists()


def test_volunteers_read_and_change_nothing_and_an_unknown_one_does_not_exist(lead, pages):
    send(lead, f"{AT}new/", **TOPIC)
    row, volunteer = Practice.objects.get(title="Where the deer stand"), pages.cast.volunteer.signed_in()

    assert "Where the deer stand" in body(volunteer.get(AT))
    assert "Take it out of use" not in body(volunteer.get(AT))
    assert send(volunteer, f"{AT}{row.id}/leave/").status_code == 404
    assert send(lead, f"{AT}{new_id()}/leave/").status_code == 404
    assert send(lead, f"{AT}{row.id}/forget/").status_code == 404
