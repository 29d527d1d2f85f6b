"""Two devices enter the same: what is alike in everything waits for a person, what is less alike is recorded."""

import pytest

from stewardship.catalog.models import Species
from stewardship.journal.ids import new_id
from stewardship.treatments.models import Application
from tests.cast import sent
from tests.ground import ESTER, lay_out
from tests.stewardship.sync.settled import WHY, codes, line_on

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def shared(cast):
    """Give ground, a batch and a session, with 20 fl oz that the volunteer's phone recorded of it."""
    ground = lay_out(cast.coordinator)
    batch, session = str(ground.batch()), str(ground.session())
    assert codes(cast.volunteer.pushes(line_on(ground, session, "20", batch=batch))) == ["applied"]
    return ground, batch, session


@pytest.mark.parametrize("ounces", ["18", "20", "22.2"])
def test_a_like_use_from_another_device_waits_and_names_the_one_it_is_like(cast, shared, ounces):
    ground, batch, session = shared

    taken = cast.other_volunteer.pushes(line_on(ground, session, ounces, batch=batch))

    assert codes(taken) == ["possible_duplicate"]
    first = Application.objects.get()
    assert [reason["where"] for reason in taken.results[0]["reasons"]] == [str(first.id)]
    cast.coordinator.does("to_settle", "release", id=taken.results[0]["to_settle"], **WHY)
    assert set(Application.objects.values_list("entered_by_id", flat=True)) == {
        cast.volunteer.person.id, cast.other_volunteer.person.id,
    }  # fmt: skip


@pytest.mark.parametrize("ounces", ["17.9", "22.3"])
def test_a_use_that_is_less_alike_is_recorded(cast, shared, ounces):
    ground, batch, session = shared

    assert codes(cast.other_volunteer.pushes(line_on(ground, session, ounces, batch=batch))) == ["applied"]


@pytest.mark.parametrize("other", ["unit", "species", "batch", "day"])
def test_a_use_elsewhere_of_something_else_or_on_another_day_is_recorded(cast, shared, other):
    ground, batch, session = shared
    does = cast.coordinator.does
    told = {"session": session, "batch": batch}
    told |= {
        "unit": lambda: {"unit": str(ground.other_unit)},
        "species": lambda: {"species": str(does("species", "create", scientific_name="Lonicera maackii").record.id)},
        "batch": lambda: {"batch": str(ground.batch())},
        "day": lambda: {"session": str(ground.session(started_at="2027-05-02T09:30:00-05:00"))},
    }[other]()

    assert codes(cast.other_volunteer.pushes(line_on(ground, told.pop("session"), "20", **told))) == ["applied"]


def test_one_device_and_a_page_count_for_themselves(cast, shared):
    ground, batch, session = shared

    assert codes(cast.volunteer.pushes(line_on(ground, session, "20", batch=batch))) == ["applied"]
    typed = ground.line(session, batch, "20", by=cast.coordinator)
    assert typed.mix_value == "20"
    assert codes(cast.volunteer.pushes(line_on(ground, session, "2", batch=batch))) == ["applied"]


def test_what_was_voided_is_no_duplicate(cast, shared):
    ground, batch, session = shared
    cast.volunteer.does("application", "void", id=Application.objects.get().id, reason="entered twice")

    assert codes(cast.other_volunteer.pushes(line_on(ground, session, "20", batch=batch))) == ["applied"]


# -- reference data --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["Rhamnus cathartica", "RHAMNUS cathartica"])
def test_a_species_that_stands_on_the_list_waits(cast, name):
    lay_out(cast.coordinator)

    taken = cast.coordinator.pushes(
        sent("species", "create", {"scientific_name": name}),
        sent("species", "create", {"scientific_name": "Lonicera maackii"}),
        sent("species", "create", {"scientific_name": "Lonicera maackii"}),
    )

    assert codes(taken) == ["duplicate_key", "applied", "duplicate_key"]
    cast.coordinator.does("to_settle", "release", id=taken.results[0]["to_settle"], **WHY)
    assert Species.objects.filter(group_id=cast.group.id).count() == 3


def test_what_is_in_use_no_more_is_no_duplicate(cast):
    ground = lay_out(cast.coordinator)
    cast.coordinator.does("species", "retire", id=ground.species, reason="a wrong name")

    assert codes(cast.coordinator.pushes(sent("species", "create", {"scientific_name": "Rhamnus cathartica"}))) == [
        "applied"
    ]


def test_products_and_active_ingredients_are_known_by_more_than_a_name(cast):
    lay_out(cast.coordinator)
    acid = str(new_id())
    ester = ESTER | {"ingredients": [{"active_ingredient": acid, "ae": {"value": "4", "unit": "lb_gal"}}]}

    taken = cast.coordinator.pushes(
        sent("active_ingredient", "create", {"id": acid, "name": "triclopyr", "form": "acid"}),
        sent("active_ingredient", "create", {"name": "triclopyr", "form": "acid"}),
        sent("product", "create", ester | {"registration_no": "99990-102"}),
        sent("product", "create", ester),
    )

    assert codes(taken) == ["applied", "duplicate_key", "applied", "duplicate_key"]
