"""A letter in words: the most urgent thing in its subject, everything in its text, links that lead back."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core import signing
from django.template.loader import render_to_string

from stewardship.accounts.models import Member
from stewardship.journal.ids import new_id
from stewardship.notices.kinds import rank
from stewardship.notices.models import Letter, Notice

OFF = "less mail"
"""What the signature in an address for less mail is for: it opens nothing else."""


def written(member: Member, notices: Sequence[Notice], at: datetime) -> Letter:
    """Return the letter that tells a member these things."""
    ordered = sorted(notices, key=lambda notice: (rank(notice.kind), notice.due_at, notice.subject, notice.id))
    first, more = ordered[0], len(ordered) - 1
    id = new_id()
    told: dict[str, Any] = {
        "member": member,
        "group": member.group,
        "notices": [(notice, at_site(f"/told/{notice.id}/") if notice.path else "") for notice in ordered],
        "settings_url": settings_url(member),
        "all_url": at_site(f"/told/in/{member.group_id}/"),
    }
    return Letter(
        id=id,
        group_id=member.group_id,
        member_id=member.id,
        address=member.person.email,
        message_id=f"<{id}@{urlsplit(settings.SITE_URL).hostname}>",
        subject=f"{first.subject} (and {more} more)" if more else first.subject,
        text=render_to_string("notices/letter.txt", told),
        html=render_to_string("notices/letter.html", told),
        run_after=at,
        made_at=at,
    )


def off_url(member: Member) -> str:
    """Return where a mail program asks, for its reader and without signing in, for less mail: RFC 8058."""
    token = signing.Signer(salt=OFF).sign_object([str(member.group_id), str(member.id)])
    return at_site(f"/told/off/{token}/")


def member_of(token: str) -> Member | None:
    """Return the present member that an address for less mail was made for; None if it was made up."""
    try:
        group_id, member_id = signing.Signer(salt=OFF).unsign_object(token)
    except signing.BadSignature:
        return None
    return Member.objects.present().select_related("group").filter(group_id=group_id, id=member_id).first()


def settings_url(member: Member) -> str:
    """Return where a member says how they are told, in the group that it is about."""
    return at_site(f"/told/in/{member.group_id}/settings/")


def at_site(path: str) -> str:
    """Return the whole address of a page, as a mail needs it."""
    return f"{settings.SITE_URL}{path}"
