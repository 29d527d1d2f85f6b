"""People on pages: who belongs to the group, who left, one of them."""

from tests.stewardship.web.pages import body


def test_people_are_listed_with_role_and_those_who_left_below(pages):
    told = body(pages.coordinator.signed_in().get("/people/"))

    assert "Tobias Quill volunteer, tobias@tamarack.example" in told
    assert told.index("Who left") < told.index("Josie Tarnwell volunteer until Sat 1 May 2027")


def test_a_volunteer_finds_places_and_account_but_not_people_in_the_navigation(pages):
    told = body(pages.cast.volunteer.signed_in().get("/"))

    assert "Places" in told
    assert "My account" in told
    assert "People" not in told.replace("People wanted", "")
