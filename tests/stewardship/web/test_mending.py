"""A reason leads to the page where the reader mends it, if one of theirs does."""

import pytest

from stewardship.web.access import Here
from stewardship.web.mending import way_of
from stewardship.workdays.models import WorkDay
from tests.cast import AT
from tests.stewardship.web.pages import NOBODY, SOON, body, send


def way(pages, who, code, where):
    here = Here(who.member, who.actor, AT)
    found = way_of({"code": code, "detail": "", "where": where}, here, WorkDay.objects.get(id=pages.day))
    return found and found.address


DAY = "/work-days/{day}/"
PLACE = "/places/{property}/"


@pytest.mark.parametrize(
    ("code", "where", "address"),
    [
        ("unit_missing", "units", f"{DAY}edit/"),
        ("task_missing", "task", f"{DAY}edit/"),
        ("task_withdrawn", f"approved-tasks/{NOBODY}", f"{PLACE}tasks/"),
        ("applicator_missing", "duties", f"{DAY}#duties"),
        ("duty_short", f"duties/{NOBODY}", f"/work-days/who-is-missing/?first_on={SOON}&last_on={SOON}"),
        ("credential_expired", f"members/{NOBODY}", f"/people/{NOBODY}/credentials/"),
        ("age_not_on_record", f"members/{NOBODY}", f"/people/{NOBODY}/details/"),
        ("member_left", f"members/{NOBODY}", f"{DAY}#duties"),
        ("not_checked_out", f"members/{NOBODY}", f"{DAY}#came"),
        ("briefing_not_signed", f"members/{NOBODY}", f"{DAY}keeping/#briefing"),
        ("briefing_missing", "briefings", f"{DAY}keeping/#briefing"),
        ("incident_not_asked", "had_incident", f"{DAY}keeping/#wrong"),
        ("incident_unanswered", f"incidents/{NOBODY}", f"{DAY}keeping/#wrong"),
        ("sign_still_up", f"postings/{NOBODY}", f"{DAY}keeping/#signs"),
        ("permission_missing", "", PLACE),
        ("permission_without_herbicide", f"permissions/{NOBODY}", f"/permissions/{NOBODY}/"),
        ("permit_missing", f"units/{NOBODY}", PLACE),
        ("permit_does_not_cover", f"permits/{NOBODY}", f"/permits/{NOBODY}/"),
        ("neighbour_not_told", f"neighbour-notices/{NOBODY}", f"/notices/{NOBODY}/"),
        ("record_incomplete", f"sessions/{NOBODY}", f"/sessions/{NOBODY}/"),
        ("batch_does_not_balance", f"batches/{NOBODY}", f"/batches/{NOBODY}/"),
        ("container_not_back", f"containers/{NOBODY}", f"/bottles/{NOBODY}/"),
        ("leftover_nowhere", f"leftovers/{NOBODY}", "/batches/"),
        ("state_wrong", "state", None),
    ],
)
def test_a_coordinator_is_led_to_where_it_is_mended(pages, code, where, address):
    found = way(pages, pages.coordinator, code, where)

    assert found == (address and address.format(day=pages.day, property=pages.ground.property))


def test_a_volunteer_is_led_to_their_own_pages_and_to_nobody_else_s(pages):
    me = pages.cast.volunteer
    mine, other = f"members/{me.member.id}", f"members/{pages.cast.other_volunteer.member.id}"

    assert way(pages, me, "credential_missing", mine) == "/my/credentials/"
    assert way(pages, me, "age_not_on_record", mine) == f"/people/{me.member.id}/details/"
    assert way(pages, me, "credential_missing", other) is None
    assert way(pages, me, "duty_short", f"duties/{NOBODY}") is None


@pytest.mark.parametrize(
    "address",
    ["/my/credentials/", "/people/{me}/details/", "/work-days/{day}/keeping/", "/batches/"],
)
def test_the_pages_that_a_volunteer_is_led_to_open_for_them(pages, address):
    me = pages.cast.volunteer

    assert me.signed_in().get(address.format(me=me.member.id, day=pages.day)).status_code == 200


def test_every_reason_of_a_refused_confirmation_has_its_link(pages):
    response = send(pages.coordinator.signed_in(), f"/work-days/{pages.day}/confirm/")

    refused = response.content.decode().split('id="refused"')[1].split("</ul>")[0]
    assert refused.count("<li>") == refused.count("<a href=") == 3
    assert f'href="/work-days/{pages.day}/#duties"' in refused
    assert 'id="duties"' in response.content.decode()


def test_a_refused_sign_up_leads_a_volunteer_to_their_credentials_and_details(pages):
    response = send(pages.cast.volunteer.signed_in(), f"/work-days/{pages.day}/sign-up/", duty=pages.applicator)

    assert response.status_code == 409
    assert '<a href="/my/credentials/">My credentials</a>' in response.content.decode()


def test_the_home_of_a_coordinator_leads_from_each_reason_to_where_it_is_mended(pages):
    home = pages.coordinator.signed_in().get("/")

    assert "1 of 1 people are still wanted as applicator. Who could be asked" in body(home)
