"""How members wish to be told: one's own; a coordinator sees all, and changes none but their own."""

from api import filtering
from api.records import GroupRecords
from stewardship.notices.models import NotificationSettings


class NotificationSettingsFilters(filtering.Filters):
    """By member."""

    member = filtering.Id(field_name="member_id")


class NotificationSettingsRecords(GroupRecords):
    """What comes by mail and when; whoever has none is told everything, once a day at seven."""

    at = "notification-settings"
    model = NotificationSettings
    filterset_class = NotificationSettingsFilters
