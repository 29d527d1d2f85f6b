"""What each outcome of a push tells a device, member by member, as it comes out of the door."""

from uuid import uuid4

import pytest

from tests.api.asking import hand_in
from tests.cast import with_device
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments.refusals_of_signatures import signed

DONE = {"mid", "outcome", "id", "rev"}
HELD = {"mid", "outcome", "code", "detail", "to_settle"}


@pytest.fixture
def ground(coordinator):
    """Give ground to work on."""
    return lay_out(coordinator)


class Phone:
    """Hands in one entry after another and returns what is answered to each."""

    def __init__(self, someone):
        self.someone, self.n = someone, 0

    def sends(self, type, op, set=None, mid=None, **beside):
        self.n += 1
        sent = {"mid": mid or str(uuid4()), "n": self.n, "type": type, "op": op, "set": set or {}} | beside
        (result,) = hand_in(self.someone, sent).json()["results"]
        return result

    def is_told(self, *sent, **beside):
        """Return what became of it by a word, and which members tell that."""
        result = self.sends(*sent, **beside)
        return result.get("code", result["outcome"]), set(result)


@pytest.fixture
def phone(coordinator):
    return Phone(coordinator)


@pytest.fixture
def line(ground):
    """Give a line of 20 fl oz out of 64, whose stems were counted again after it was seen."""
    made = ground.line(ground.session(), ground.batch(), "20", stems=3)
    ground.coordinator.does("application", "amend", id=made.id, stems=4, reason="counted again")
    return made


def amends(phone, line, **set):
    return phone.is_told("application", "amend", set, id=str(line.id), base_rev=1, reason="a slip")


def test_what_is_done_tells_its_record_and_the_number_of_it(phone, line):
    told = {"type": "property", "op": "create", "set": {"id": str(uuid4()), "name": "Fen"}}

    assert phone.is_told(**told) == ("applied", DONE | {"seq"})
    assert phone.is_told(**told) == ("noop", DONE)
    assert amends(phone, line, note="by the ditch") == ("merged", DONE | {"seq", "warnings"})


def test_what_was_changed_meanwhile_tells_the_values_of_all_sides(phone, line):
    code, told = amends(phone, line, stems=7)

    assert (code, told) == ("conflict", HELD | {"fields", "rev"})


def test_what_is_held_tells_why(phone, line, ground, coordinator, volunteer):
    session, batch = str(line.session_id), str(line.batch_id)
    use = {"session": session, "batch": batch, "species": str(ground.species), "method": "basal_bark"}
    use |= {"how_known": "read_off_container", "mix": fl_oz("20")}
    other, mid, unmade = Phone(with_device(coordinator.member, "tablet")), str(uuid4()), str(uuid4())
    phone.sends("property", "create", {"name": "Fen"}, mid=mid)

    assert phone.is_told("property", "create", {"name": "Other"}, mid=mid) == ("mid_reused", HELD)
    assert phone.is_told("property", "create", {"name": ""}) == ("unreadable", HELD | {"errors"})
    assert phone.is_told("unit", "create", {"name": "N", "property": unmade}) == ("target_unavailable", HELD)
    assert phone.is_told("property", "create", {"id": unmade, "name": ""}) == ("unreadable", HELD | {"errors"})
    assert phone.is_told("unit", "create", {"name": "N", "property": unmade}) == ("parent_held", HELD | {"parent"})
    assert phone.is_told("unit", "create", {"id": session, "name": "N", "property": str(ground.property)}) == (
        "id_taken", HELD,
    )  # fmt: skip
    assert phone.is_told("species", "create", {"scientific_name": "rhamnus CATHARTICA"}) == ("duplicate_key", HELD)
    assert phone.is_told("application", "create", use | {"mix": fl_oz("65")}) == ("batch_overdrawn", HELD)
    assert other.is_told("application", "create", use) == ("possible_duplicate", HELD | {"reasons"})
    assert Phone(volunteer).is_told("property", "create", {"name": "Fen"}) == ("not_permitted", HELD)


def test_what_is_locked_is_held_to_become_a_correction(cast, phone):
    _, session = signed(cast, locked=True)
    said = ("session", "amend", {"note": "hot"})

    assert phone.is_told(*said, id=str(session), reason="left out") == ("locked", HELD)
