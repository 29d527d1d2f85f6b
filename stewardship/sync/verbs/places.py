"""Verbs of land, sensitive areas, permissions, permits and notices."""

from typing import Any

from stewardship.journal.fields import Target
from stewardship.places import fields
from stewardship.places.models import LandPermission, NeighbourNotice, Permit, Property, SensitiveArea, Unit
from stewardship.places.services import land, neighbour_notices, papers, sensitive_areas
from stewardship.sync.verbs.verb import Verb, Verbs, enter_and_amend

MAY = "manage_places"


def _dated(model: Any, create: tuple[Any, Any], amend: tuple[Any, Any]) -> Verbs:
    """Return the verbs of a paper that holds from a day to a day."""
    return {
        **enter_and_amend(model, MAY, create, amend),
        (model.kind, "withdraw"): Verb(model, fields.Withdraw, papers.withdrawing(model), MAY, reason=True),
        (model.kind, "reinstate"): Verb(model, Target, papers.reinstating(model), MAY, reason=True),
    }


VERBS: Verbs = {
    **enter_and_amend(
        Property,
        MAY,
        (fields.NewProperty, land.add_property),
        (fields.AmendProperty, land.amend_property),
    ),
    **enter_and_amend(
        Unit,
        MAY,
        (fields.NewUnit, land.add_unit),
        (fields.AmendUnit, land.amend_unit),
    ),
    **enter_and_amend(
        SensitiveArea,
        MAY,
        (fields.NewSensitiveArea, sensitive_areas.add_sensitive_area),
        (fields.AmendSensitiveArea, sensitive_areas.amend_sensitive_area),
    ),
    ("sensitive_area", "retire"): Verb(SensitiveArea, Target, sensitive_areas.retire_sensitive_area, MAY, reason=True),
    ("sensitive_area", "reinstate"): Verb(
        SensitiveArea, Target, sensitive_areas.reinstate_sensitive_area, MAY, reason=True
    ),
    **_dated(
        LandPermission,
        (fields.NewLandPermission, papers.add_permission),
        (fields.AmendLandPermission, papers.amend_permission),
    ),
    ("land_permission", "give_copy"): Verb(LandPermission, fields.GiveCopy, papers.give_copy, MAY),
    **_dated(Permit, (fields.NewPermit, papers.add_permit), (fields.AmendPermit, papers.amend_permit)),
    **enter_and_amend(
        NeighbourNotice,
        MAY,
        (fields.NewNeighbourNotice, neighbour_notices.add_notice),
        (fields.AmendNeighbourNotice, neighbour_notices.amend_notice),
    ),
    ("neighbour_notice", "attempt"): Verb(NeighbourNotice, fields.Attempt, neighbour_notices.record_attempt, MAY),
    ("neighbour_notice", "void"): Verb(NeighbourNotice, Target, neighbour_notices.void_notice, MAY, reason=True),
    ("neighbour_notice", "reinstate"): Verb(
        NeighbourNotice, Target, neighbour_notices.reinstate_notice, MAY, reason=True
    ),
}
