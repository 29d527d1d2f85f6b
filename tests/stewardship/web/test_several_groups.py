"""Who is in several groups: which one they act in."""

import re

import pytest

from stewardship.accounts.models import Member
from stewardship.journal.ids import new_id
from stewardship.sync.models import Mutation
from tests.cast import AT
from tests.stewardship.web.pages import body


def test_who_is_in_two_groups_chooses_and_acts_in_the_chosen_one_only(pages):
    volunteer, stranger = pages.cast.volunteer, pages.cast.stranger
    email = volunteer.person.email
    stranger.does("member", "create", display_name="Tobias Quill", email=email, role="coordinator", at=AT)
    client = volunteer.signed_in()

    asked = client.get("/", follow=True)
    client.post("/groups/", {"group": str(stranger.group_id)})
    chosen = client.get("/")

    assert "In which group do you work now?" in body(asked)
    assert "Larkspur Ridge Crew" in body(chosen)
    assert "What needs you today" in body(chosen)
    assert client.get(f"/work-days/{pages.day}/").status_code == 404
    assert client.post("/groups/", {"group": str(volunteer.group_id)}).status_code == 302
    assert client.get(f"/work-days/{pages.day}/").status_code == 200


def hidden(response):
    """Return the hidden fields of a page's first form."""
    form = re.search(r"<form method=.post.*?</form>", response.content.decode().split("<main")[1], re.DOTALL)[0]
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form))


@pytest.mark.parametrize("address", ["/my/leave/", "/my/how-told/"])
def test_a_form_acts_in_the_group_that_it_was_opened_in(pages, address):
    """Another group was chosen in another window of the same browser since."""
    volunteer, stranger = pages.cast.volunteer, pages.cast.stranger
    email = volunteer.person.email
    stranger.does("member", "create", display_name="Tobias Quill", email=email, role="volunteer", at=AT)
    client = volunteer.signed_in()
    client.post("/groups/", {"group": str(volunteer.group_id)})
    opened = hidden(client.get(address))
    client.post("/groups/", {"group": str(stranger.group_id)})

    assert opened["of_group"] == str(volunteer.group_id)
    assert (
        client.post(address, opened | {"digest": "at_once", "digest_hour": "7", "whose_days": "group"}).status_code
        == 302
    )

    (written,) = Mutation.objects.filter(by_id=volunteer.person.id).values_list("group_id", flat=True)
    assert written == volunteer.group_id
    assert client.post("/my/leave/", {"mid": new_id(), "of_group": new_id()})["Location"] == "/groups/"
    assert Member.objects.filter(person=volunteer.person, group_id=stranger.group_id, ended_at=None).exists()


def test_a_group_that_one_is_not_in_cannot_be_chosen(pages):
    client = pages.cast.volunteer.signed_in()

    assert client.post("/groups/", {"group": str(pages.cast.stranger.group_id)}).status_code == 404
    assert client.post("/groups/", {"group": "nonsense"}).status_code == 404
    assert Member.objects.filter(person=pages.cast.volunteer.person).count() == 1
