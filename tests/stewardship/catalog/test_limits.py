"""Limits are entered and corrected; none is without its source."""

import pytest
from django.db import IntegrityError, transaction

from stewardship.catalog.fields import What
from stewardship.catalog.limits import UNITS_OF
from stewardship.catalog.models import Limit
from stewardship.errors import RuleViolation, Unavailable, Unreadable
from stewardship.journal.ids import new_id
from tests.stewardship.catalog.entries import code_of, limit, pointers

pytestmark = pytest.mark.django_db


def test_a_limit_is_kept_with_its_source(coordinator):
    kept = limit(coordinator)

    assert (kept.low, kept.high, kept.unit) == ("10", "20", "product_v_v")
    assert kept.source == "Basal bark application, PNW Handbooks"


@pytest.mark.parametrize("source", ["", "  ", None])
def test_a_limit_without_a_source_is_refused(coordinator, source):
    with pytest.raises(Unreadable) as refused:
        limit(coordinator, source=source)

    assert pointers(refused) == [("/source", "value_invalid")]


@pytest.mark.parametrize("source", ["", " ", None])
def test_the_source_of_a_limit_is_never_taken_away(coordinator, source):
    kept = limit(coordinator)

    with pytest.raises(Unreadable):
        coordinator.does("limit", "amend", id=kept.id, source=source)

    assert Limit.objects.get(id=kept.id).source == "Basal bark application, PNW Handbooks"


@pytest.mark.parametrize("column", ["source", "value"])
def test_the_database_holds_no_limit_without_source_or_value(coordinator, tampering, column):
    kept = limit(coordinator)
    emptied = {"source": ""} if column == "source" else {"low": "", "high": ""}

    with pytest.raises(IntegrityError), transaction.atomic():
        Limit.objects.filter(id=kept.id).update(**emptied)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"low": "", "high": ""}, "limit_without_value"),
        ({"low": "20", "high": "10"}, "limit_upside_down"),
        ({"unit": "mph"}, "limit_unit_unknown"),
        ({"unit": "percent"}, "limit_unit_unknown"),
    ],
)
def test_a_limit_that_limits_nothing_is_refused_new_or_amended(coordinator, changes, code):
    with pytest.raises(RuleViolation) as refused:
        limit(coordinator, **changes)
    assert code_of(refused) == code

    kept = limit(coordinator)
    with pytest.raises(RuleViolation) as refused:
        coordinator.does("limit", "amend", id=kept.id, **changes)
    assert code_of(refused) == code


def test_one_end_of_a_limit_may_be_open_and_a_temperature_below_zero(coordinator):
    kept = limit(coordinator, what="temperature", unit="c", low="-6.7", high="")

    assert (kept.low, kept.high) == ("-6.7", "")


def test_a_limit_on_an_unknown_species_is_refused(coordinator):
    with pytest.raises(Unavailable):
        limit(coordinator, species=str(new_id()))


@pytest.mark.parametrize("field", ["method", "what", "carrier", "formulation"])
def test_a_word_outside_the_closed_lists_is_refused(coordinator, field):
    with pytest.raises(Unreadable) as refused:
        limit(coordinator, **{field: "dabbing"})

    assert pointers(refused) == [(f"/{field}", "value_invalid")]


def test_everything_that_can_be_limited_has_its_units():
    assert set(UNITS_OF) == set(What.__args__)
