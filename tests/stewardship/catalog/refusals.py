"""How the refusals about the catalogue come about."""

import msgspec

from stewardship.catalog import services
from stewardship.catalog.registrations.services import RegistrationUpsideDown
from stewardship.rules.profiles import ProfileEndsBeforeItBegins
from tests.doors import Case, last_act
from tests.stewardship.catalog.entries import GLYPHOSATE_IPA, active, ester, limit, product, registration
from tests.stewardship.catalog.profiles.entries import rule_profile

FOUR_LB, THREE_LB = {"value": "4", "unit": "lb_gal"}, {"value": "3", "unit": "lb_gal"}


def entered(cast, *stated, **values):
    id = active(cast.coordinator, **GLYPHOSATE_IPA)
    told = [{"active_ingredient": id, **each} for each in stated]
    return last_act(lambda: product(cast.coordinator, ingredients=told, **values))


def one_active_ingredient_stands_twice(cast):
    return entered(cast, {}, {})


def a_dry_product_has_a_weight_in_a_volume(cast):
    return entered(cast, {"ai": FOUR_LB}, is_dry=True)


def a_piece_of_a_dry_product_is_a_volume(cast):
    return entered(cast, {}, is_dry=True, piece={"value": "2", "unit": "fl_oz"})


def a_product_has_more_acid_than_active(cast):
    return entered(cast, {"ai": THREE_LB, "ae": FOUR_LB})


def a_product_is_its_own_partner(cast):
    one = ester(cast.coordinator)
    values = {"compatible_with": [str(one.id)]}
    return last_act(lambda: cast.coordinator.does("product", "amend", id=one.id, **values))


def a_limit_limits_nothing(cast):
    someone, mutation = last_act(lambda: limit(cast.coordinator))
    told = {name: value for name, value in mutation.set.items() if name not in ("low", "high")}
    return someone, msgspec.structs.replace(mutation, set=told)


def a_limit_is_upside_down(cast):
    return last_act(lambda: limit(cast.coordinator, low="20", high="10"))


def a_strength_is_limited_in_miles_per_hour(cast):
    return last_act(lambda: limit(cast.coordinator, unit="mph"))


def a_rule_ends_before_it_begins(cast):
    days = {"effective_from": "2024-07-01", "effective_to": "2024-06-30"}
    return last_act(lambda: rule_profile(cast.coordinator, **days))


def a_registration_ends_before_it_begins(cast):
    days = {"valid_from": "2027-07-01", "valid_to": "2027-06-30"}
    product = ester(cast.coordinator).id
    return last_act(lambda: registration(cast.coordinator, product, **days))


CASES = [
    Case(RegistrationUpsideDown, a_registration_ends_before_it_begins),
    Case(services.IngredientTwice, one_active_ingredient_stands_twice),
    Case(services.PieceInOtherMeasure, a_piece_of_a_dry_product_is_a_volume),
    Case(services.DryProductByVolume, a_dry_product_has_a_weight_in_a_volume),
    Case(services.AcidAboveActive, a_product_has_more_acid_than_active),
    Case(services.CompatibleWithItself, a_product_is_its_own_partner),
    Case(services.LimitWithoutValue, a_limit_limits_nothing),
    Case(services.LimitUpsideDown, a_limit_is_upside_down),
    Case(services.LimitUnitUnknown, a_strength_is_limited_in_miles_per_hour),
    Case(ProfileEndsBeforeItBegins, a_rule_ends_before_it_begins),
]
