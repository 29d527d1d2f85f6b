"""What was told is seen on a page, or told by phone. A notice is no record: it is marked where it stands."""

from datetime import datetime
from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.notices.models import Notice
from stewardship.notices.queries import to_phone, unread


def mark_seen(member: Member, at: datetime, notice_id: UUID | None = None) -> int:
    """Mark as seen what a member was told, all of it or one notice; return how many were new."""
    new = unread(member, at)
    if notice_id is not None:
        new = new.filter(id=notice_id)
    return new.update(read_at=at)


def mark_phoned(group_id: UUID, member_id: UUID, *, by: Member, at: datetime) -> int:
    """Mark that somebody whom no mail reaches was told by phone what they had not seen; return how much that was."""
    waiting = [notice.id for each in to_phone(group_id, at) if each.member.id == member_id for notice in each.notices]
    told = Notice.objects.filter(group_id=group_id, id__in=waiting, read_at=None)
    return told.update(read_at=at, told_by=by)
