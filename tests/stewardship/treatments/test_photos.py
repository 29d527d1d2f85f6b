"""Pictures of a batch's tag and of a session's paper sheet: named in the record, handed in beside it."""

import pytest

from stewardship.errors import AlreadyVoided
from stewardship.treatments.models import Batch, Session
from stewardship.treatments.services.signatures import Locked
from tests.cast import sent

pytestmark = pytest.mark.django_db


def photo(number=1, name="tag"):
    return {"sha256": f"{number:064x}", "name": name}


@pytest.fixture(params=["batch", "session"])
def pictured(request, ground, volunteer):
    """Give the type and id of what a picture is of."""
    made = {"batch": ground.batch, "session": lambda: ground.session(volunteer)}
    return request.param, made[request.param]()


def photos_of(type, id):
    return {"batch": Batch, "session": Session}[type].objects.get(id=id).photos


def test_who_works_in_the_field_adds_pictures_to_what_others_entered(pictured, coordinator, volunteer):
    type, id = pictured

    coordinator.does(type, "show", id=id, photos=[photo(1)])
    volunteer.does(type, "show", id=id, photos=[photo(2, "back"), photo(1, "another name")])

    assert photos_of(type, id) == [photo(1), photo(2, "back")]


def test_the_same_picture_again_changes_nothing(pictured, coordinator):
    type, id = pictured
    coordinator.does(type, "show", id=id, photos=[photo(1)])

    again = coordinator.does(type, "show", id=id, photos=[photo(1)])

    assert again.result["outcome"] == "noop"


def test_a_wrong_picture_is_taken_out_with_a_reason(pictured, coordinator):
    type, id = pictured
    coordinator.does(type, "show", id=id, photos=[photo(1), photo(2)])

    coordinator.does(type, "amend", id=id, photos=[photo(2)], reason="that was another tag")

    assert photos_of(type, id) == [photo(2)]


def test_a_record_that_was_voided_takes_none(pictured, coordinator):
    type, id = pictured
    coordinator.does(type, "void", id=id, reason="entered twice")

    with pytest.raises(AlreadyVoided):
        coordinator.does(type, "show", id=id, photos=[photo(1)])


def test_a_phone_names_them_in_the_record_that_it_makes(ground, volunteer):
    begun = {"unit": str(ground.unit), "applicator": str(volunteer.member.id), "photos": [photo(1, "day sheet")]}

    (result,) = volunteer.pushes(sent("session", "create", begun | {"started_at": "2027-05-01T09:30:00-05:00"})).results

    assert (result["outcome"], photos_of("session", result["id"])) == ("applied", [photo(1, "day sheet")])


def test_a_picture_takes_no_signature_back_and_a_locked_record_takes_no_picture(ground, coordinator):
    id = ground.session()
    coordinator.does("session", "end", id=id, ended_at="2027-05-01T09:50:00-05:00")
    coordinator.does("session", "attest", id=id)

    coordinator.does("session", "show", id=id, photos=[photo(1)])

    assert Session.objects.get(id=id).state == "attested"
    coordinator.does("session", "lock", id=id, reason="no supervisor is wanted here")
    with pytest.raises(Locked):
        coordinator.does("session", "show", id=id, photos=[photo(2)])
