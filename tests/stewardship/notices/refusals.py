"""How the refusals about how members wish to be told come about."""

from stewardship.errors import NotPermitted
from stewardship.notices.services.settings import AlwaysMailed, SettingsThere
from tests.cast import sent
from tests.doors import Case


def says(**values):
    return sent("notification_settings", "create", values)


def somebody_says_it_a_second_time(cast):
    cast.volunteer.does_sent(says(digest="at_once"))
    return cast.volunteer, says(digest="daily")


def a_cancelled_day_is_not_to_be_mailed(cast):
    return cast.volunteer, says(page_only=["reminder", "day_cancelled"])


def it_is_not_to_be_mailed_any_longer(cast):
    settings = cast.volunteer.does_sent(says()).record
    return cast.volunteer, sent("notification_settings", "amend", {"page_only": ["escalation"]}, id=settings.id)


def a_coordinator_says_it_for_another(cast):
    settings = cast.volunteer.does_sent(says()).record
    return cast.coordinator, sent("notification_settings", "amend", {"digest_hour": 3}, id=settings.id)


CASES = [
    Case(SettingsThere, somebody_says_it_a_second_time),
    Case(AlwaysMailed, a_cancelled_day_is_not_to_be_mailed),
    Case(AlwaysMailed, it_is_not_to_be_mailed_any_longer),
    Case(NotPermitted, a_coordinator_says_it_for_another),
]
