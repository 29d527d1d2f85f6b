"""The pages of what was held: seen by its author and the coordinators, settled there."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.places.models import Property
from stewardship.sync.models import ToSettle
from stewardship.treatments.models import Application
from tests.cast import sent
from tests.stewardship.sync.settled import line_on
from tests.stewardship.web.pages import body, send

pytestmark = pytest.mark.django_db(transaction=True)


def held(pages, *said, by=None, **more):
    """Let a phone push what is held; return its page."""
    (result,) = (by or pages.cast.volunteer).pushes(sent(*said, **more)).results
    return f"/to-settle/{result['to_settle']}/"


@pytest.fixture
def disputed(pages):
    """Give the page of a conflict about the amount of a line."""
    ground = pages.ground
    line = ground.line(ground.session(), ground.batch(), "20", by=pages.cast.volunteer)
    told = {"id": line.id, "reason": "read anew"}
    pages.coordinator.does("application", "amend", mix={"value": "22", "unit": "fl_oz"}, **told)
    return held(pages, "application", "amend", {"mix": {"value": "25", "unit": "fl_oz"}}, base_rev=1, **told)


def test_the_home_leads_to_what_waits_and_it_says_what_who_and_why(pages):
    one = held(pages, "unit", "create", {"name": "Far", "property": str(pages.ground.property)})
    coordinator = pages.coordinator.signed_in()

    assert 'href="/to-settle/"' in coordinator.get("/").content.decode()
    assert "new unit: Heron Bend, Far Tobias Quill, came" in body(coordinator.get("/to-settle/"))
    words = body(coordinator.get(one))
    for told in ("Property Heron Bend", "Name Far", "Author Tobias Quill", "A coordinator can."):
        assert told in words


def test_of_what_takes_more_than_is_left_its_page_says_how_much_that_is(pages):
    ground = pages.ground
    line = line_on(ground, ground.session(by=pages.cast.volunteer), "70", batch=str(ground.batch()))
    one = held(pages, "application", "create", line.set)

    client = pages.coordinator.signed_in()

    words = body(client.get(one))
    assert "Left of this batch now 64 fl oz of 64 fl oz" in words
    assert "Batch 64 fl oz, mixed Sat 1 May 2027" in words
    assert "Method basal bark" in words
    assert "new use: 70 fl oz, " in body(client.get("/to-settle/"))


def test_its_author_sees_it_and_others_do_not(pages):
    one = held(pages, "property", "create", {"name": "Fen"})

    assert "waiting for a coordinator" in body(pages.cast.volunteer.signed_in().get(one))
    for someone in (pages.cast.other_volunteer, pages.cast.reviewer):
        client = someone.signed_in()
        assert client.get(one).status_code == 404
        assert "everything that you sent is in the book" in body(client.get("/to-settle/"))


def test_a_coordinator_releases_it(pages):
    one = held(pages, "property", "create", {"name": "Fen"})

    told = pages.coordinator.signed_in().post(
        one + "release/", {"mid": new_id(), "reason": "he telephoned"}, follow=True
    )

    assert "It is recorded in its author's name." in body(told)
    assert "released by Maren Oduya" in body(told)
    assert Property.objects.get(name="Fen").entered_by_id == pages.cast.volunteer.person.id


def test_what_still_breaks_a_rule_says_so_on_its_page(pages):
    one = held(pages, "unit", "create", {"name": "Far"}, by=pages.coordinator)

    refused = send(pages.coordinator.signed_in(), one + "release/", reason="try it")

    assert refused.status_code == 409
    assert "property is missing" in body(refused)
    assert ToSettle.objects.get().state == "waiting"


def test_a_coordinator_decides_field_by_field(pages, disputed):
    client = pages.coordinator.signed_in()
    asked = body(client.get(disputed))
    assert "The author had seen 20 fl oz; now it says 22 fl oz." in asked
    assert "what was sent: 25 fl oz" in asked

    assert send(client, disputed + "settle/", reason="he telephoned").status_code == 400
    send(client, disputed + "settle/", reason="he telephoned", side_mix="theirs")

    assert ToSettle.objects.get().state == "settled"
    assert Application.objects.get().mix_value == "25"


def test_its_author_voids_it_and_does_not_release_it(pages):
    one = held(pages, "property", "create", {"name": "Fen"})
    client = pages.cast.volunteer.signed_in()

    assert send(client, one + "release/", reason="please").status_code == 404
    assert send(client, one + "moon/", reason="please").status_code == 404
    assert send(client, one + "void/", reason="pressed by mistake").status_code == 302

    words = body(client.get(one))
    assert "voided by Tobias Quill" in words
    assert "Void it" not in words


def test_a_possible_duplicate_leads_to_the_use_that_it_is_like(pages):
    ground, batch, session = pages.ground, str(pages.ground.batch()), str(pages.ground.session())
    pages.cast.volunteer.pushes(line_on(ground, session, "20", batch=batch))
    (result,) = pages.cast.other_volunteer.pushes(line_on(ground, session, "21", batch=batch)).results

    shown = pages.coordinator.signed_in().get(f"/to-settle/{result['to_settle']}/")

    assert "New use" in body(shown)
    assert "Like 20 fl oz on" in body(shown)
    assert f'href="/sessions/{session}/"' in shown.content.decode()
