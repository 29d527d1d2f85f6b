"""Verbs of properties and units."""

from stewardship.places import fields, services
from stewardship.places.models import Property, Unit
from stewardship.sync.verbs.verb import Verbs, enter_and_amend

VERBS: Verbs = {
    **enter_and_amend(
        Property,
        "manage_places",
        (fields.NewProperty, services.add_property),
        (fields.AmendProperty, services.amend_property),
    ),
    **enter_and_amend(
        Unit,
        "manage_places",
        (fields.NewUnit, services.add_unit),
        (fields.AmendUnit, services.amend_unit),
    ),
}
