"""What people are told, and the letters that carry it."""

from stewardship.notices.models.letters import Letter, State
from stewardship.notices.models.notices import Notice

__all__ = ["Letter", "Notice", "State"]
