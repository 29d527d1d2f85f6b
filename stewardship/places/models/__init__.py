"""Land and what lies near it; permissions, permits and notices that go with it."""

from stewardship.places.models.land import PermitFor, Property, Unit
from stewardship.places.models.neighbour_notices import NeighbourNotice
from stewardship.places.models.papers import LandPermission, Permit
from stewardship.places.models.sensitive_areas import SensitiveArea

__all__ = ["LandPermission", "NeighbourNotice", "Permit", "PermitFor", "Property", "SensitiveArea", "Unit"]
