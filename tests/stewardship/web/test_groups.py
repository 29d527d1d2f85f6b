"""The group's own page: its name, state, clock and units."""

import pytest

from stewardship.accounts.models import Group
from tests.stewardship.web.pages import body, send

AT = "/people/group/"
TOLD = {"name": "Tamarack Hollow Friends", "jurisdiction": "", "time_zone": "America/Denver", "units": "metric"}


@pytest.fixture
def lead(pages):
    return pages.coordinator.signed_in()


def test_what_the_first_steps_asked_is_changed_later(lead, pages):
    before = lead.get(AT).context["form"].initial

    send(lead, AT, **TOLD)

    group = Group.objects.get(id=pages.coordinator.group_id)
    assert (before["name"], before["time_zone"]) == ("Tamarack Hollow Stewards", "America/Chicago")
    assert (group.name, group.time_zone) == (TOLD["name"], TOLD["time_zone"])
    assert (group.volume_unit, group.mass_unit, group.area_unit) == ("ml", "kg", "ha")
    assert "Tamarack Hollow Friends" in body(lead.get(AT))


def test_a_state_that_was_chosen_is_offered_again(lead, pages):
    pages.coordinator.does("group", "amend", id=pages.coordinator.group_id, jurisdiction="US-OH")

    form = lead.get(AT).context["form"]

    assert form.initial["jurisdiction"] == "US-OH"
    assert "US-OH" in [code for code, _ in form.fields["jurisdiction"].choices]


def test_a_time_zone_that_is_none_is_refused_beside_its_field(lead, pages):
    response = send(lead, AT, **TOLD | {"time_zone": "Central"})

    assert response.status_code in (400, 409)
    assert response.context["form"].errors["time_zone"]
    assert Group.objects.get(id=pages.coordinator.group_id).name == "Tamarack Hollow Stewards"
