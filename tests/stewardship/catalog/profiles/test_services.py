"""Rule profiles are entered, corrected and retired; none is without its source."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from stewardship.catalog.models import RuleProfile
from stewardship.errors import NotPermitted, RuleViolation, Unreadable
from tests.cast import AT
from tests.stewardship.catalog.entries import code_of, pointers
from tests.stewardship.catalog.profiles.entries import STATE, rule_profile

pytestmark = pytest.mark.django_db


def test_a_profile_is_kept_as_it_was_sent(coordinator):
    kept = RuleProfile.objects.get(id=rule_profile(coordinator, effective_from="2024-07-01").id)

    assert (kept.name, kept.jurisdiction, kept.retention_years) == ("Washington", "US-WA", 7)
    assert kept.effective_from == date(2024, 7, 1)
    assert kept.conditional == STATE["conditional"]
    assert kept.clock == {"kind": "same_day", "count": None, "month": None, "day": None}
    assert (kept.effective_to, kept.spot, kept.minimum_age_years) == (None, None, None)


def test_a_rule_that_ended_is_amended_and_says_since_when(coordinator):
    kept = rule_profile(coordinator)

    coordinator.does("rule_profile", "amend", id=kept.id, effective_to="2026-06-30", reason="rewritten in 2026")

    assert RuleProfile.objects.get(id=kept.id).effective_to == date(2026, 6, 30)
    assert RuleProfile.objects.get(id=kept.id).rev == 2


def test_a_profile_that_does_not_concern_the_group_is_retired_and_comes_back(coordinator):
    kept = rule_profile(coordinator)

    coordinator.does("rule_profile", "retire", id=kept.id)
    assert RuleProfile.objects.get(id=kept.id).retired_at == AT

    coordinator.does("rule_profile", "reinstate", id=kept.id)
    assert RuleProfile.objects.get(id=kept.id).retired_at is None


@pytest.mark.parametrize("who", ["volunteer", "reviewer"])
@pytest.mark.parametrize("op", ["create", "amend", "retire", "reinstate"])
def test_only_a_coordinator_changes_a_profile(cast, coordinator, who, op):
    kept = rule_profile(coordinator)
    values = STATE if op == "create" else {}

    with pytest.raises(NotPermitted):
        getattr(cast, who).does("rule_profile", op, id=None if op == "create" else kept.id, **values)


@pytest.mark.parametrize("source", ["", "  ", None])
def test_a_profile_without_a_source_is_refused_new_or_amended(coordinator, source):
    with pytest.raises(Unreadable) as refused:
        rule_profile(coordinator, source=source)
    assert pointers(refused) == [("/source", "value_invalid")]

    kept = rule_profile(coordinator)
    with pytest.raises(Unreadable):
        coordinator.does("rule_profile", "amend", id=kept.id, source=source)
    assert RuleProfile.objects.get(id=kept.id).source == STATE["source"]


@pytest.mark.parametrize(
    "values", [{"source": ""}, {"effective_from": date(2026, 1, 2), "effective_to": date(2026, 1, 1)}]
)
def test_the_database_holds_no_profile_without_a_source_or_upside_down(coordinator, tampering, values):
    kept = rule_profile(coordinator)

    with pytest.raises(IntegrityError), transaction.atomic():
        RuleProfile.objects.filter(id=kept.id).update(**values)


def test_a_profile_that_ends_before_it_begins_is_refused_new_or_amended(coordinator):
    with pytest.raises(RuleViolation) as refused:
        rule_profile(coordinator, effective_from="2024-07-01", effective_to="2024-06-30")
    assert code_of(refused) == "profile_ends_before_it_begins"

    kept = rule_profile(coordinator, effective_from="2024-07-01")
    with pytest.raises(RuleViolation) as refused:
        coordinator.does("rule_profile", "amend", id=kept.id, effective_to="2024-06-30")
    assert code_of(refused) == "profile_ends_before_it_begins"


@pytest.mark.parametrize(
    ("changes", "pointer", "code"),
    [
        ({"jurisdiction": "Washington"}, "/jurisdiction", "identifier_malformed"),
        ({"jurisdiction": 7}, "/jurisdiction", "value_invalid"),
        ({"required": ["shoe_size"]}, "/required/0", "value_invalid"),
        ({"conditional": [{"any_of": []}]}, "/conditional/0/any_of", "value_invalid"),
        ({"conditional": [{"any_of": [[]]}]}, "/conditional/0/any_of/0", "value_invalid"),
        ({"conditional": [{"any_of": [["reentry"]], "when": ["it_rained"]}]}, "/conditional/0/when/0", "value_invalid"),
        ({"clock": {"kind": "soon"}}, "/clock/kind", "value_invalid"),
        ({"clock": {"kind": "hours"}}, "/clock", "clock_unclear"),
        ({"clock": {"kind": "day_of_next_year", "month": 2, "day": 30}}, "/clock", "no_such_day"),
        ({"spot": {"below": {"value": "0", "unit": "acre"}, "required": ["location"]}}, "/spot", "value_invalid"),
        ({"spot": {"below": {"value": "1", "unit": "gal"}, "required": ["location"]}}, "/spot/below", None),
        ({"location_forms": ["post_box"]}, "/location_forms/0", "value_invalid"),
        ({"retention_years": 0}, "/retention_years", "value_invalid"),
        ({"minimum_age_years": 101}, "/minimum_age_years", "value_invalid"),
        ({"supervised_per_licensed": 0}, "/supervised_per_licensed", "value_invalid"),
        ({"reports": [{"name": "", "clock": {"kind": "none"}}]}, "/reports/0/name", "value_invalid"),
        ({"effective_from": "2024-13-01"}, "/effective_from", "value_invalid"),
        ({"effective_to": "1899-12-31"}, "/effective_to", "value_invalid"),
    ],
)
def test_what_cannot_be_judged_is_refused_with_its_place(coordinator, changes, pointer, code):
    with pytest.raises(Unreadable) as refused:
        rule_profile(coordinator, **changes)

    [(where, found)] = pointers(refused)
    assert where == pointer
    assert code is None or found == code
    assert not RuleProfile.objects.exists()


# -- which a property follows ----------------------------------------------------------------------


@pytest.mark.parametrize("type", ["group", "property"])
def test_a_group_and_a_property_name_their_jurisdiction(coordinator, type):
    id = coordinator.group_id if type == "group" else coordinator.does("property", "create", name="Fen").record.id

    assert coordinator.does(type, "amend", id=id, jurisdiction="AU-NSW").record.jurisdiction == "AU-NSW"
    assert coordinator.does(type, "amend", id=id, jurisdiction="").record.jurisdiction == ""
    with pytest.raises(Unreadable) as refused:
        coordinator.does(type, "amend", id=id, jurisdiction="nsw")
    assert pointers(refused) == [("/jurisdiction", "identifier_malformed")]
