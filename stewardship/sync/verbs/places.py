"""Verbs of properties, units and sensitive areas."""

from stewardship.journal.fields import Target
from stewardship.places import fields, services
from stewardship.places.models import Property, SensitiveArea, Unit
from stewardship.sync.verbs.verb import Verb, Verbs, enter_and_amend

MAY = "manage_places"

VERBS: Verbs = {
    **enter_and_amend(
        Property,
        MAY,
        (fields.NewProperty, services.add_property),
        (fields.AmendProperty, services.amend_property),
    ),
    **enter_and_amend(
        Unit,
        MAY,
        (fields.NewUnit, services.add_unit),
        (fields.AmendUnit, services.amend_unit),
    ),
    **enter_and_amend(
        SensitiveArea,
        MAY,
        (fields.NewSensitiveArea, services.add_sensitive_area),
        (fields.AmendSensitiveArea, services.amend_sensitive_area),
    ),
    ("sensitive_area", "retire"): Verb(SensitiveArea, Target, services.retire_sensitive_area, MAY, reason=True),
    ("sensitive_area", "reinstate"): Verb(SensitiveArea, Target, services.reinstate_sensitive_area, MAY, reason=True),
}
