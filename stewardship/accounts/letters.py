"""The letter of an invitation: its secret is made when it is written, and stands in the letter alone."""

from datetime import datetime
from email.headerregistry import Address
from email.utils import parseaddr
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMessage
from django.urls import reverse

from stewardship.accounts import secrets
from stewardship.accounts.models import Invitation, Member
from stewardship.jobs.models import Job

ROLES = {
    "coordinator": "a coordinator: you plan the work days and answer for the records",
    "volunteer": "a volunteer: you sign up for work days and record what you did and used",
    "reviewer": "a reviewer for the board: you read the records and the season reports",
}

LETTER = """\
Hello {name},

{inviter} invites you to {group}, as {role}.

To accept, open this page and choose a password:

{link}

The link works once, for this address only, until {until}. Opening it does not accept anything yet:
you are asked first. If you have a sign-in here already, under this address, sign in with it when the page asks.

{group} keeps its work days, the qualifications of its people and its herbicide records in this service.

If you do not know {inviter} or {group}, or do not want this, do nothing: without you no account is made, and the
link ends by itself. Please do not pass this letter on: whoever has the link could accept in your place.
"""


def send_invitation(job: Job, at: datetime) -> dict[str, Any]:
    """Write the letter that the job asks for, unless it was overtaken: withdrawn, accepted, sent again, too late.

    A run that is repeated makes a new secret and sends it: only the newest letter opens.
    """
    found = Invitation.objects.select_related("group").get(group_id=job.group_id, id=job.args["invitation"])
    if not found.is_open(at) or found.sent_at.isoformat() != job.args["sent_at"]:
        return {"sent": False}
    secret = secrets.mint(found)
    inviter = Member.objects.select_related("person").get(group_id=found.group_id, person_id=found.entered_by_id)
    letter(found, inviter, secret).send()
    return {"sent": True}


def letter(invitation: Invitation, inviter: Member, secret: str) -> EmailMessage:
    """Return the letter, from the group, with the inviter as who answers."""
    group = invitation.group
    until = invitation.expires_at.astimezone(ZoneInfo(group.time_zone))
    told = LETTER.format(
        name=invitation.display_name, inviter=inviter.display_name, group=group.name, role=ROLES[invitation.role],
        link=settings.SITE_URL + reverse("invitation", args=[secret]),
        until=f"{until:%A}, {until.day} {until:%B %Y, %H:%M} ({group.time_zone})",
    )  # fmt: skip
    return EmailMessage(
        subject=in_one_line(f"{inviter.display_name} invites you to {group.name}"),
        body=told,
        from_email=from_group(group.name),
        to=[invitation.email],
        reply_to=[inviter.person.email] if inviter.person.email else None,
    )


def from_group(name: str) -> str:
    """Return the sender: the group's name, with the address that this service sends from."""
    _, address = parseaddr(settings.DEFAULT_FROM_EMAIL)
    return str(Address(display_name=in_one_line(name), addr_spec=address))


def in_one_line(text: str) -> str:
    """Return a text as it may stand in the head of a letter."""
    return " ".join(text.split())
