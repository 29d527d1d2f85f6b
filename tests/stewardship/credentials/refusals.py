"""How the refusals about credentials and their kinds come about."""

from stewardship.credentials.services import types
from stewardship.credentials.services.credentials import (
    CategoryUnknown,
    CoversDisagree,
    EndsAndNeverEnds,
    LastDayDisagrees,
    LimitsMissing,
    TypeRetired,
)
from tests.credentials import enters, kind
from tests.doors import Case, last_act
from tests.planning import licence


def a_licence_ends_and_never_ends(cast):
    return last_act(lambda: licence(cast.coordinator, cast.volunteer, "2027-06-30", never_expires=True))


def a_licence_of_a_kind_out_of_use(cast):
    id = kind(cast.coordinator)
    cast.coordinator.does("credential_type", "retire", id=id)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id))


def a_saw_card_of_a_kind_of_licence(cast):
    id = kind(cast.coordinator)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id, covers="saw"))


def a_last_day_that_the_rule_does_not_give(cast):
    id = kind(cast.coordinator, validity={"kind": "end_of_year"})
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id, expires_on="2027-06-30"))


def a_category_that_the_kind_does_not_have(cast):
    id = kind(cast.coordinator)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id, categories=["1D"]))


def a_certificate_for_named_lands_that_names_none(cast):
    id = kind(cast.coordinator, names_properties=True)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id))


def a_kind_with_a_category_twice(cast):
    return last_act(lambda: kind(cast.coordinator, categories=[{"code": "1A"}, {"code": "1A"}]))


def a_kind_that_needs_itself(cast):
    return last_act(lambda: kind(cast.coordinator, needs=["herbicide_application"]))


def a_kind_with_credits_without_a_cycle(cast):
    return last_act(lambda: kind(cast.coordinator, credits=[{"wanted": "6"}]))


def a_kind_with_credits_in_a_category_that_it_does_not_have(cast):
    wanted = [{"category": "1D", "wanted": "6"}]
    return last_act(lambda: kind(cast.coordinator, credits=wanted, credit_cycle_years=3))


CASES = [
    Case(EndsAndNeverEnds, a_licence_ends_and_never_ends),
    Case(TypeRetired, a_licence_of_a_kind_out_of_use),
    Case(CoversDisagree, a_saw_card_of_a_kind_of_licence),
    Case(LastDayDisagrees, a_last_day_that_the_rule_does_not_give),
    Case(CategoryUnknown, a_category_that_the_kind_does_not_have),
    Case(LimitsMissing, a_certificate_for_named_lands_that_names_none),
    Case(types.CategoryTwice, a_kind_with_a_category_twice),
    Case(types.NeedsItself, a_kind_that_needs_itself),
    Case(types.CreditsWithoutCycle, a_kind_with_credits_without_a_cycle),
    Case(types.CreditsOfUnknownCategory, a_kind_with_credits_in_a_category_that_it_does_not_have),
]
