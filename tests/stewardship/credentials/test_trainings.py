"""Trainings of helpers: all fields, the clock of the rule, the signature of who was trained."""

from datetime import date

import pytest

from stewardship.credentials.models import Training
from stewardship.credentials.trainings import training_standing
from stewardship.errors import NotPermitted, Unavailable
from tests.cast import AT
from tests.trainings import product, rule, trains

ON = date(2026, 7, 1)


@pytest.fixture
def helpers_rule(coordinator):
    return rule(coordinator)


def standing(on, *trainings, **work):
    return training_standing(trainings or list(Training.objects.all()), on, **work)


def test_a_training_record_has_every_field_that_an_inspector_asks_for(cast, helpers_rule):
    """Hold it against two lists in print.

    Printed name, signature, date, trainer's name, title and description: Applicator Recordkeeping Requirements under
    the EPA Plan (Indian country), US EPA page copy. The rest: Special licensing, pbooks.org (Illinois).
    """
    land = cast.coordinator.does("property", "create", name="Heron Bend").record
    told = {
        "trainer_name": "Orla Winterbourne", "trainer_licence_number": "ROW-118",
        "trainer_licence_ends_on": "2026-12-31", "sponsor": "County Forest District", "place": "Shed at Heron Bend",
        "topics": "Labels, rates, PPE, first aid", "products": [product(cast.coordinator)],
        "properties": [str(land.id)],
        "methods": ["basal_bark"], "equipment": "backpack sprayer", "label_copies": True,
        "evidence": [{"sha256": "0" * 64, "name": "sheet"}],
    }  # fmt: skip

    training = trains(cast.coordinator, cast.volunteer, helpers_rule, **told)

    content = training.content()
    assert {name: content[name] for name in told} == told
    assert (content["trainee"], content["signed_by"]) == (str(cast.volunteer.member.id),) * 2
    assert (content["minutes"], content["last_on"]) == (90, "2027-07-01")
    assert content["terms"]["source"] == "An invented ordinance"
    assert training.signed_at == AT


@pytest.mark.parametrize(
    ("on", "status"),
    [
        (date(2026, 6, 30), "missing"), (date(2026, 7, 1), "valid"), (date(2027, 7, 1), "valid"),
        (date(2027, 7, 2), "lapsed"),
    ],
)  # fmt: skip
def test_a_training_counts_for_twelve_months_and_not_a_day_longer(cast, helpers_rule, on, status):
    """The last day counts, as with every credential here; 12 months and 1 day: no longer within the last 12 months."""
    trains(cast.coordinator, cast.volunteer, helpers_rule)

    assert standing(on).status == status


def test_a_training_on_29_february_counts_up_to_28_february(cast, helpers_rule):
    training = trains(cast.coordinator, cast.volunteer, helpers_rule, on_date="2024-02-29")

    assert training.last_on == date(2025, 2, 28)


def test_the_illinois_training_is_bound_to_products_and_lands_takes_an_hour_and_ends_with_the_year(cast):
    """Illinois Section 250.22 FAQ, River to River CWMA: as in fixtures/published/illinois_250_22.csv."""
    illinois = rule(
        cast.coordinator, validity={"kind": "end_of_year"}, training_minutes=60, names_products=True,
        names_properties=True,
    )  # fmt: skip
    land = cast.coordinator.does("property", "create", name="Heron Bend").record
    training = trains(cast.coordinator, cast.volunteer, illinois, minutes=60, properties=[str(land.id)])
    short = trains(cast.coordinator, cast.volunteer, illinois, minutes=59, properties=[str(land.id)])

    assert training.last_on == date(2026, 12, 31)
    assert standing(ON, training, property_id=str(land.id)).counts
    assert standing(ON, training, property_id=str(training.id)).status == "other_lands"
    assert standing(ON, training, products=["another"], property_id=str(land.id)).status == "other_products"
    assert standing(ON, short, property_id=str(land.id)).status == "too_short"
    assert "59 minutes; its rule asks for 60" in standing(ON, short).sentence(ON)


def test_the_best_training_counts_and_a_voided_one_never(cast, helpers_rule):
    old = trains(cast.coordinator, cast.volunteer, helpers_rule, on_date="2025-01-01")
    new = trains(cast.coordinator, cast.volunteer, helpers_rule)
    assert standing(ON).training == new

    cast.coordinator.does("training", "void", id=new.id, reason="another day")

    assert (standing(ON).status, standing(ON).training) == ("lapsed", old)
    cast.coordinator.does("training", "reinstate", id=new.id, reason="it was that day")
    assert standing(ON).counts


# -- the signature -------------------------------------------------------------------------------------


def test_a_training_counts_once_it_is_signed_by_who_was_trained(cast, helpers_rule):
    training = trains(cast.coordinator, cast.volunteer, helpers_rule, signed=False)
    assert standing(ON).status == "unsigned"

    with pytest.raises(Unavailable):
        cast.other_volunteer.does("training", "sign", id=training.id)
    with pytest.raises(NotPermitted):
        cast.reviewer.does("training", "sign", id=training.id)
    cast.volunteer.does("training", "sign", id=training.id)

    assert standing(ON).counts


def test_a_coordinator_enters_a_signed_sheet_and_both_are_on_record(cast, helpers_rule):
    training = trains(cast.coordinator, cast.volunteer, helpers_rule, signed=False)

    cast.coordinator.does("training", "sign", id=training.id, sheet="Sheet 12 in the blue folder")

    training.refresh_from_db()
    assert (training.signed_by_id, training.signed_from) == (
        cast.coordinator.member.id, "Sheet 12 in the blue folder",
    )  # fmt: skip


def test_a_correction_takes_the_signature_back_unless_it_only_adds_a_file_or_a_note(cast, helpers_rule):
    training = trains(cast.coordinator, cast.volunteer, helpers_rule)
    files = [{"sha256": "1" * 64, "name": "scan"}]
    cast.coordinator.does("training", "amend", id=training.id, evidence=files, note="seen", reason="scanned")
    assert standing(ON).counts

    cast.coordinator.does("training", "amend", id=training.id, on_date="2026-06-30", reason="misread")

    training.refresh_from_db()
    assert (training.signed_at, training.last_on) == (None, date(2027, 6, 30))


def test_who_was_trained_and_coordinators_see_it_and_nobody_else(cast, helpers_rule):
    training = trains(cast.coordinator, cast.volunteer, helpers_rule)

    seen = {
        name
        for name in ("coordinator", "volunteer", "other_volunteer", "reviewer")
        if Training.objects.filter(Training.visible_to(getattr(cast, name).actor)).exists()
    }

    assert seen == {"coordinator", "volunteer"}
    assert training.audience() == str(cast.volunteer.person.id)
