"""Where a record's id stands in a struct, however deep, and which ids stand there."""

from typing import Annotated
from uuid import UUID

from msgspec import UNSET, UnsetType

from stewardship.journal.fields import Closed, Ref, Target
from stewardship.journal.references import references
from stewardship.places.models import Property, Unit

ONE, TWO, THREE = UUID(int=1), UUID(int=2), UUID(int=3)


class Part(Closed, frozen=True):
    unit: Annotated[UUID, Ref(Unit)]
    note: str = ""


class Wish(Closed, frozen=True):
    property: Annotated[UUID, Ref(Property, lock=True)]
    parts: list[Part] = []
    units: list[Annotated[UUID, Ref(Unit)]] = []
    part: Part | None = None
    maybe: Annotated[UUID, Ref(Unit)] | None | UnsetType = UNSET
    plain: UUID | None = None


def found(wish):
    return {ref.path: list(ref.read(wish)) for ref in references(Wish)}


def test_every_place_is_named_with_its_model_and_whether_it_is_locked():
    told = {ref.path: (ref.model, ref.lock) for ref in references(Wish)}

    assert told == {
        "property": (Property, True),
        "parts[].unit": (Unit, False),
        "units[]": (Unit, False),
        "part.unit": (Unit, False),
        "maybe": (Unit, False),
    }


def test_the_ids_are_read_from_fields_lists_and_nested_structs():
    wish = Wish(property=ONE, parts=[Part(unit=ONE), Part(unit=TWO)], units=[THREE], part=Part(unit=TWO), maybe=THREE)

    assert found(wish) == {
        "property": [ONE],
        "parts[].unit": [ONE, TWO],
        "units[]": [THREE],
        "part.unit": [TWO],
        "maybe": [THREE],
    }


def test_what_is_not_sent_or_empty_gives_no_id():
    assert found(Wish(property=ONE, maybe=None, plain=TWO)) == {
        "property": [ONE], "parts[].unit": [], "units[]": [], "part.unit": [], "maybe": [],
    }  # fmt: skip


def test_the_target_of_an_act_is_no_reference():
    assert references(Target) == ()
