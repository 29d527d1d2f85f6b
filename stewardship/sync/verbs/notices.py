"""Verbs of how members wish to be told."""

from stewardship.notices import fields
from stewardship.notices.models import NotificationSettings
from stewardship.notices.services import settings
from stewardship.sync.verbs.verb import Verbs, enter_and_amend

VERBS: Verbs = enter_and_amend(
    NotificationSettings,
    "be_told",
    (fields.NewNotificationSettings, settings.add_settings),
    (fields.AmendNotificationSettings, settings.amend_settings),
)
