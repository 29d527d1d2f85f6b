"""What may be sent about land, and about permissions, permits and notices."""

from stewardship.places.fields.land import AmendProperty, AmendUnit, Boundary, NewProperty, NewUnit
from stewardship.places.fields.neighbour_notices import AmendNeighbourNotice, Attempt, NewNeighbourNotice
from stewardship.places.fields.papers import (
    AmendLandPermission,
    AmendPermit,
    GiveCopy,
    NewLandPermission,
    NewPermit,
    Withdraw,
)
from stewardship.places.fields.sensitive_areas import AmendSensitiveArea, Geometry, NewSensitiveArea

__all__ = [
    "AmendLandPermission",
    "AmendNeighbourNotice",
    "AmendPermit",
    "AmendProperty",
    "AmendSensitiveArea",
    "AmendUnit",
    "Attempt",
    "Boundary",
    "Geometry",
    "GiveCopy",
    "NewLandPermission",
    "NewNeighbourNotice",
    "NewPermit",
    "NewProperty",
    "NewSensitiveArea",
    "NewUnit",
    "Withdraw",
]
