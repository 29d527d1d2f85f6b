"""What people are told, the letters that carry it, and how each of them wishes to be told."""

from stewardship.notices.models.letters import Letter, State
from stewardship.notices.models.notices import Notice
from stewardship.notices.models.settings import Digest, NotificationSettings

__all__ = ["Digest", "Letter", "Notice", "NotificationSettings", "State"]
