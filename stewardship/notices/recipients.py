"""Who is told how: by mail now, by mail later, or on their page alone."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from enum import Enum
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Max

from stewardship.accounts.models import Member
from stewardship.notices.kinds import KINDS
from stewardship.notices.models import Digest, Letter, NotificationSettings


class Way(Enum):
    """What becomes of a notice when it is looked at."""

    MAIL = "by mail now"
    LATER = "by mail later"
    PAGE = "on the page alone"


@dataclass(frozen=True)
class Recipient:
    """A member, how they wish to be told, and when the last letter to them was made."""

    member: Member
    settings: NotificationSettings
    last_letter_at: datetime | None = None

    @property
    def zone(self) -> ZoneInfo:
        """Return the zone by whose clock the daily mail comes."""
        return ZoneInfo(self.member.group.time_zone)

    @property
    def has_mail(self) -> bool:
        """Tell whether mail goes to this member at all."""
        person = self.member.person
        return bool(person.email) and person.is_active and self.member.is_present

    def way(self, kind: str, due_at: datetime, at: datetime) -> Way:
        """Return what becomes at ``at`` of a notice of this kind that is due since ``due_at``."""
        told = KINDS[kind]
        if not self.has_mail or (kind in self.settings.page_only and not told.always):
            return Way.PAGE
        if told.at_once or self.settings.digest == Digest.AT_ONCE:
            return Way.MAIL
        digest = last_digest(at, self.settings.digest_hour, self.zone)
        had_it = self.last_letter_at is not None and self.last_letter_at >= digest
        return Way.MAIL if due_at <= digest and not had_it else Way.LATER


def last_digest(at: datetime, hour: int, zone: ZoneInfo) -> datetime:
    """Return when the zone's clock showed this hour last; an hour that a change of clocks leaves out comes after it."""
    today = at.astimezone(zone).date()
    digest = datetime.combine(today, time(hour), zone).astimezone(UTC)
    if digest > at:
        digest = datetime.combine(today - timedelta(days=1), time(hour), zone).astimezone(UTC)
    return digest


def recipients(group_ids: Iterable[UUID], member_ids: Iterable[UUID]) -> dict[UUID, Recipient]:
    """Return these members of these groups with how they wish to be told; three statements."""
    theirs = {"group_id__in": list(group_ids), "member_id__in": list(member_ids)}
    said = {s.member_id: s for s in NotificationSettings.objects.filter(**theirs)}
    last = dict(Letter.objects.filter(**theirs).values_list("member_id").annotate(Max("made_at")))
    members = Member.objects.select_related("person", "group")
    members = members.filter(group_id__in=theirs["group_id__in"], id__in=theirs["member_id__in"])
    return {m.id: Recipient(m, said.get(m.id) or NotificationSettings(member=m), last.get(m.id)) for m in members}
