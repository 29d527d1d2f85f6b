"""People are told things."""

from stewardship.notices.services.telling import tell

__all__ = ["tell"]
