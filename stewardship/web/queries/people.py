"""Who belongs to the group, as a coordinator sees it."""

from dataclasses import dataclass

from stewardship.accounts.models import Member
from stewardship.web.access import Here


@dataclass(frozen=True)
class Listed:
    """The members of a group: who belongs to it now, and who left."""

    present: list[Member]
    former: list[Member]


def people_listed(here: Here) -> Listed:
    """Return the members by name, with the persons behind them."""
    members = Member.objects.select_related("person").filter(group_id=here.group.id)
    found = list(members.order_by("display_name", "id"))
    return Listed([m for m in found if not m.ended_at], [m for m in found if m.ended_at])
