"""Which published practices bear on a day: the least age for a duty, with its source."""

from collections.abc import Iterable

from stewardship.workdays.models import Practice, PracticeKind


def ages_for(practices: Iterable[Practice], duty_name: str) -> list[Practice]:
    """Return the least ages that the group goes by for a duty, the highest first."""
    found = [each for each in practices if each.what == PracticeKind.MINIMUM_AGE and each.subject == duty_name]
    followed = [each for each in found if each.is_followed and not each.retired_at]
    return sorted(followed, key=lambda each: -int(each.value))


def age_by_default(practices: Iterable[Practice], duty_name: str) -> int | None:
    """Return the least age for a duty where nobody states one; None where no practice does either."""
    found = ages_for(practices, duty_name)
    return int(found[0].value) if found else None


def source_of_age(practices: Iterable[Practice], duty_name: str, minimum_age: int) -> str:
    """Return who publishes a least age of this many years for a duty; empty where the group states it itself."""
    return next((each.source for each in ages_for(practices, duty_name) if int(each.value) == minimum_age), "")
