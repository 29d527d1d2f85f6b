"""Verbs of the catalogue."""

from typing import Any

from stewardship.catalog import fields, services
from stewardship.catalog.models import (
    ActiveIngredient,
    Limit,
    Product,
    ProductRegistration,
    Reference,
    RuleProfile,
    Species,
)
from stewardship.catalog.profiles.fields import AmendRuleProfile, NewRuleProfile
from stewardship.catalog.registrations.fields import AmendRegistration, NewRegistration
from stewardship.catalog.registrations.services import add_registration, amend_registration
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Verb, Verbs, enter_and_amend

MAY = "manage_catalog"


def _kept(model: type[Reference], create: tuple[Any, Any], amend: tuple[Any, Any]) -> Verbs:
    """Return the verbs of a row of the catalogue: entered, corrected, taken out of use and back."""
    return {
        **enter_and_amend(model, MAY, create, amend),
        (model.kind, "retire"): Verb(model, Target, services.retiring(model), MAY),
        (model.kind, "reinstate"): Verb(model, Target, services.reinstating(model), MAY),
    }


VERBS: Verbs = {
    **_kept(
        Species,
        (fields.NewSpecies, services.add_species),
        (fields.AmendSpecies, services.amend_species),
    ),
    **_kept(
        ActiveIngredient,
        (fields.NewActiveIngredient, services.add_active_ingredient),
        (fields.AmendActiveIngredient, services.amend_active_ingredient),
    ),
    **_kept(
        Product,
        (fields.NewProduct, services.add_product),
        (fields.AmendProduct, services.amend_product),
    ),
    **_kept(ProductRegistration, (NewRegistration, add_registration), (AmendRegistration, amend_registration)),
    **_kept(
        Limit,
        (fields.NewLimit, services.add_limit),
        (fields.AmendLimit, services.amend_limit),
    ),
    **_kept(
        RuleProfile,
        (NewRuleProfile, services.add_rule_profile),
        (AmendRuleProfile, services.amend_rule_profile),
    ),
}
