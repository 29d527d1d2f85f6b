"""What a member was told, what of it is new, and whom somebody has to phone."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Q, QuerySet

from stewardship.accounts.models import Member, PersonalDetails
from stewardship.notices.models import Notice, State

STALE = timedelta(days=14)
"""After this long nobody is phoned any more about something."""


@dataclass(frozen=True)
class ToPhone:
    """A member whom no mail reaches, their number if it is known, and what they are to be told."""

    member: Member
    phone: str
    notices: Sequence[Notice]

    @property
    def has_failed(self) -> bool:
        """Tell whether a mail was tried and did not arrive, as far as is known."""
        return any(notice.letter_id for notice in self.notices)


def told_to(member: Member, at: datetime) -> QuerySet[Notice]:
    """Return what a member was told so far, the newest first."""
    found = Notice.objects.filter(group_id=member.group_id, member_id=member.id, due_at__lte=at)
    return found.order_by("-due_at", "-id")


def unread(member: Member, at: datetime) -> QuerySet[Notice]:
    """Return what a member was told and has not seen yet, the newest first."""
    return told_to(member, at).filter(read_at=None)


def to_phone(group_id: UUID, at: datetime) -> list[ToPhone]:
    """Return the members whom no mail reaches, with what they have not seen; two statements."""
    no_mail = Q(letter=None) & (Q(member__person__email=None) | Q(member__person__is_active=False))
    found = Notice.objects.filter(
        no_mail | Q(letter__state=State.FAILED),
        group_id=group_id, read_at=None, due_at__range=(at - STALE, at),
        member__ended_at=None, member__suspended_at=None,
        handled_at__isnull=False,
    ).select_related("member", "letter").order_by("member__display_name", "member_id", "due_at", "id")  # fmt: skip
    by_member: dict[UUID, list[Notice]] = {}
    for notice in found:
        by_member.setdefault(notice.member_id, []).append(notice)
    details = PersonalDetails.objects.filter(group_id=group_id, member_id__in=list(by_member))
    phones = dict(details.values_list("member_id", "phone"))
    return [ToPhone(notices[0].member, phones.get(id, ""), notices) for id, notices in by_member.items()]
