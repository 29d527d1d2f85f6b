"""Planning a mix: what to pour, in which order, what that makes, and what to look out for. Nothing is written."""

from stewardship.catalog.mixing.fields import MixPlan
from stewardship.catalog.mixing.plans import plan
from stewardship.catalog.mixing.shelf import Shelf

__all__ = ["MixPlan", "Shelf", "plan"]
