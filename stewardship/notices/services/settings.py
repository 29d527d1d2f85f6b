"""Members say how they wish to be told."""

from typing import Any

from stewardship.accounts.models import Member
from stewardship.errors import NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.notices import fields
from stewardship.notices.kinds import KINDS
from stewardship.notices.models import NotificationSettings


class SettingsThere(RuleViolation):
    """A member says once how to be told, and changes that."""

    code = "settings_there"
    message = "How you wish to be told is on record already. Change that instead."


class AlwaysMailed(RuleViolation):
    """Some things are mailed to everybody they concern."""

    code = "always_mailed"
    message = "This always comes by mail, or somebody stands at a closed gate, or nobody acts: {label}."
    where = "page_only"


def add_settings(entry: Entry, new: fields.NewNotificationSettings) -> NotificationSettings:
    """Say how one wishes to be told."""
    member = entry.get(Member, entry.by.member_id)
    if entry.list_of(NotificationSettings, "member_id", member.id):
        raise SettingsThere
    return entry.create(
        NotificationSettings, id=new.id, member_id=member.id, person_id=member.person_id, **_values(new)
    )


def amend_settings(entry: Entry, wish: fields.AmendNotificationSettings) -> NotificationSettings:
    """Change how one wishes to be told; nobody does that for another."""
    known = entry.get(NotificationSettings, wish.id)
    if known.member_id != entry.by.member_id:
        raise NotPermitted("How somebody wishes to be told is theirs to say.")
    return entry.change(known, **_values(wish))


def _values(wish: Any) -> dict[str, Any]:
    """Return the columns, each kind and each day once and in order. Raises AlwaysMailed."""
    values = columns(wish)
    if "page_only" in values:
        _check_can_be_turned_off(values["page_only"])
        values["page_only"] = [kind for kind in KINDS if kind in values["page_only"]]
    if values.get("lead_days") is not None:
        values["lead_days"] = sorted(set(values["lead_days"]), reverse=True)
    return values


def _check_can_be_turned_off(kinds: list[str]) -> None:
    for kind in kinds:
        if KINDS[kind].always:
            raise AlwaysMailed(label=KINDS[kind].label)
