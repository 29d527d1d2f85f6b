"""People on pages: who belongs to the group, who is invited, suspended, left; one of them and what changes."""

import pytest
from django.core import mail
from django.test import Client

from stewardship.accounts.models import Invitation, Member, Person
from tests.cast import AT
from tests.stewardship.accounts.test_invitations import PASSWORD, invited, letters
from tests.stewardship.web.pages import body, send


@pytest.fixture(autouse=True)
def clock_of_links(monkeypatch):
    """Let links be opened by the clock of the tests too."""
    from types import SimpleNamespace

    monkeypatch.setattr("stewardship.web.views.invitations.timezone", SimpleNamespace(now=lambda: AT))


@pytest.fixture
def lead(cast):
    return cast.coordinator.signed_in()


def test_people_are_listed_with_role_and_those_who_left_below(lead):
    told = body(lead.get("/people/"))

    assert "Tobias Quill volunteer, tobias@tamarack.example" in told
    assert told.index("Who left") < told.index("Josie Tarnwell volunteer until Sat 1 May 2027")


def test_a_volunteer_finds_places_and_account_but_not_people_in_the_navigation(cast):
    page = cast.volunteer.signed_in().get("/").content.decode()

    assert 'href="/places/"' in page
    assert 'href="/my/"' in page
    assert 'href="/people/"' not in page


def test_a_coordinator_invites_somebody_and_sees_until_when_the_link_opens(lead):
    done = lead.post("/people/invite/", _filled(lead, "/people/invite/", email="Nell@tamarack.example"), follow=True)

    assert "Nell Osgood, nell@tamarack.example as volunteer" in body(done)
    assert "The link opens until Sat 8 May 2027, 10:00" in body(done)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"email": "nell"}, "This is no e-mail address."),
        ({"email": "tobias@tamarack.example"}, "already a member of the group"),
        ({"display_name": ""}, "Please fill this in."),
    ],
)
def test_an_invitation_that_cannot_be_says_why_and_keeps_what_was_typed(lead, values, said):
    response = lead.post("/people/invite/", _filled(lead, "/people/invite/", **values))

    assert response.status_code in (400, 409)
    assert said in body(response)
    assert "Invitation" not in str(list(Invitation.objects.all()))


def test_a_letter_is_sent_again_and_withdrawn_from_the_list(cast, lead):
    made = invited(cast.coordinator)

    again = send(lead, f"/people/invitations/{made.id}/resend/")
    send(lead, f"/people/invitations/{made.id}/withdraw/")
    late = lead.post(again.url and f"/people/invitations/{made.id}/resend/", {"mid": str(made.id)}, follow=True)

    assert "This invitation is over" in body(late)
    assert Invitation.objects.get(id=made.id).state == "withdrawn"


def test_somebody_without_an_address_is_added_and_later_invited_to_sign_in(cast, lead):
    lead.post("/people/add/", {"mid": _mid(lead, "/people/add/"), "display_name": "Pip", "role": "volunteer"})
    pip = Member.objects.get(display_name="Pip")
    send(lead, f"/people/{pip.id}/sign-in/", email="pip@tamarack.example")
    (secret,) = letters()

    joined = _joins(Client(), secret)

    assert joined.status_code == 302
    assert Person.objects.get(email="pip@tamarack.example").id == pip.person_id


def test_a_member_is_suspended_shown_so_and_restored(cast, lead):
    member = cast.volunteer.member

    refused = send(lead, f"/people/{member.id}/suspend/", reason="")
    send(lead, f"/people/{member.id}/suspend/", reason="shared her sign-in")
    told = body(lead.get("/people/"))
    theirs = cast.volunteer.signed_in().get("/", follow=True)
    page = body(lead.get(f"/people/{member.id}/"))
    send(lead, f"/people/{member.id}/restore/")

    assert refused.status_code == 400
    assert "Tobias Quill volunteer, suspended since Sat 1 May 2027, 10:00" in told
    assert "can neither act nor read" in page
    assert "You are in no group" in body(theirs)
    assert Member.objects.get(id=member.id).is_present


def test_the_last_coordinator_is_told_why_she_stays(cast, lead):
    own = cast.coordinator.member

    demoted = {"display_name": "M", "role": "volunteer"}
    for act, more in (("suspend", {"reason": "x"}), ("end", {}), ("change", demoted)):
        response = send(lead, f"/people/{own.id}/{act}/", **more)

        assert response.status_code == 409
        assert "This is the group's only coordinator." in body(response)


# -- the link of an invitation ---------------------------------------------------------------------


def test_opening_a_link_any_number_of_times_accepts_nothing(cast):
    made = invited(cast.coordinator)
    (secret,) = letters()

    for _ in range(3):
        opened = Client().get(f"/invitations/{secret}/")
        head = Client().head(f"/invitations/{secret}/")

    assert (opened.status_code, head.status_code) == (200, 200)
    assert "You are invited to Tamarack Hollow Stewards" in body(opened)
    assert (opened["Referrer-Policy"], "no-store" in opened["Cache-Control"]) == ("strict-origin", True)
    assert Invitation.objects.get(id=made.id).state == "sent"


def test_a_browser_that_keeps_to_the_policy_of_the_page_may_send_its_form(cast):
    """Under ``no-referrer`` browsers send ``Origin: null`` with it (Fetch standard, 3.2 `Origin` header)."""
    invited(cast.coordinator)
    (secret,) = letters()
    client = Client(enforce_csrf_checks=True)
    opened = client.get(f"/invitations/{secret}/")
    origin = "null" if opened["Referrer-Policy"] == "no-referrer" else "http://testserver"
    told = {"password1": PASSWORD, "password2": PASSWORD, "csrfmiddlewaretoken": client.cookies["csrftoken"].value}

    joined = client.post(f"/invitations/{secret}/", told, headers={"Origin": origin})

    assert joined.status_code == 302


def test_who_accepts_is_signed_in_and_stands_in_the_group(cast):
    invited(cast.coordinator)
    (secret,) = letters()
    client = Client()

    joined = client.post(f"/invitations/{secret}/", {"password1": PASSWORD, "password2": PASSWORD}, follow=True)

    assert "You belong to Tamarack Hollow Stewards now, as volunteer." in body(joined)
    assert "My days" in body(joined)
    assert "Nell Osgood, volunteer" in body(client.get("/work-days/"))


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ("", "", "Please fill this in."),
        (PASSWORD, PASSWORD + "!", "The two passwords differ."),
        ("short1", "short1", "too short"),
        ("password1", "password1", "too common"),
        ("nell@tamarack.example", "nell@tamarack.example", "too similar"),
    ],
)
def test_a_password_that_will_not_do_accepts_nothing(cast, first, second, said):
    made = invited(cast.coordinator)
    (secret,) = letters()

    response = Client().post(f"/invitations/{secret}/", {"password1": first, "password2": second})

    assert response.status_code == 400
    assert said in body(response)
    assert Invitation.objects.get(id=made.id).state == "sent"


def test_every_link_that_opens_nothing_is_answered_alike(cast):
    used, withdrawn, sent_again = (invited(cast.coordinator, email=f"{n}@tamarack.example") for n in "abc")
    links = letters()
    _joins(Client(), links[0])
    cast.coordinator.does("invitation", "withdraw", id=withdrawn.id)
    cast.coordinator.does("invitation", "resend", id=sent_again.id, at=AT.replace(minute=1))

    answers = [Client().get(f"/invitations/{secret}/") for secret in [*links, "x" * 43, "never"]]
    posted = [Client().post(f"/invitations/{secret}/", {"password1": PASSWORD}) for secret in [*links, "x" * 43]]

    assert {answer.status_code for answer in answers + posted} == {404}
    assert len({answer.content for answer in answers + posted}) == 1
    assert "This link opens nothing" in body(answers[0])


def test_who_has_a_sign_in_is_sent_to_it_and_back(cast):
    person = cast.stranger.person
    person.set_password(PASSWORD)
    person.save()
    invited(cast.coordinator, email=person.email)
    (secret,) = letters()
    path = f"/invitations/{secret}/"

    opened = Client().get(path)
    other = cast.volunteer.signed_in().get(path)
    own = cast.stranger.signed_in()
    joined = own.post(path, {}, follow=True)

    assert f"/accounts/login/?next={path}" in opened.content.decode()
    assert "You are signed in as tobias@tamarack.example." in body(other)
    assert "You belong to Tamarack Hollow Stewards now" in body(joined)
    assert len(mail.outbox) == 1


def test_who_is_in_two_groups_sees_of_each_only_what_is_its_own_after_changing_over(cast):
    cast.stranger.does("property", "create", name="Larkspur Ridge")
    cast.coordinator.does("property", "create", name="Tamarack Hollow")
    cast.coordinator.does("member", "create", display_name="Wendel", role="volunteer", email=cast.stranger.person.email)
    client = cast.stranger.signed_in()

    def seen(group):
        client.post("/groups/", {"group": str(group)})
        found = {each.name for each in client.get("/places/").context["properties"]}
        return found, client.get("/people/").status_code

    here, there = seen(cast.group.id), seen(cast.stranger.group_id)

    assert (here, there) == (({"Tamarack Hollow"}, 404), ({"Larkspur Ridge"}, 200))
    assert client.post("/groups/", {"group": str(cast.reviewer.member.id)}).status_code == 404


def _mid(client, path):
    return str(client.get(path).context["form"].initial["mid"])


def _filled(client, path, **values):
    told = {"display_name": "Nell Osgood", "email": "nell@tamarack.example", "role": "volunteer"}
    return {"mid": _mid(client, path)} | told | values


def _joins(client, secret):
    return client.post(f"/invitations/{secret}/", {"password1": PASSWORD, "password2": PASSWORD})
