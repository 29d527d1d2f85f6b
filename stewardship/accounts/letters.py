"""The letter of an invitation: its secret is made when it is written, and stands in the letter alone."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from email.headerregistry import Address
from email.utils import parseaddr
from smtplib import SMTPRecipientsRefused
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMessage
from django.urls import reverse

from stewardship.accounts import secrets
from stewardship.accounts.models import Invitation, InvitationState, Member
from stewardship.accounts.services.invitations import KIND, letter_args, letter_key
from stewardship.errors import RuleViolation
from stewardship.jobs.models import Job, State

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


AGAIN = tuple(timedelta(hours=hours) for hours in (1, 4, 16, 48))
"""How long after a job that failed the same letter is asked for anew: a mail server may be away for a day or two."""

FOR_GOOD = 500
"""Answers of a mail server from here on are final, RFC 5321 section 4.2.1."""


class AddressRefused(RuleViolation):
    """The mail server knows no such address: trying again would change nothing."""

    code = "address_refused"
    message = "The mail server takes no letter for {email}. Check the address, and invite the right one."


def ask_again(at: datetime) -> int:
    """Ask anew for the letters that could not be sent, ever more rarely; return for how many."""
    open_ones = Invitation.objects.filter(state=InvitationState.SENT, expires_at__gt=at).order_by("id")
    by_key = {letter_key(each): each for each in open_ones}
    missing = [
        Job(
            group_id=by_key[key].group_id, kind=KIND, key=key, run_after=at, made_at=at,
            args=letter_args(by_key[key].id, by_key[key].sent_at),
        )
        for key, jobs in letters_tried(by_key.values()).items()
        if _is_due_again(jobs, at)
    ]  # fmt: skip
    Job.objects.bulk_create(missing, ignore_conflicts=True)
    return len(missing)


def letters_tried(invitations: Iterable[Invitation]) -> dict[str, list[Job]]:
    """Return the jobs of each one's newest letter by its key, the latest last; one statement."""
    groups = {letter_key(each): each.group_id for each in invitations}
    tried: dict[str, list[Job]] = {}
    found = Job.objects.filter(group_id__in=set(groups.values()), kind=KIND, key__in=list(groups))
    for job in found.order_by("made_at", "id"):
        tried.setdefault(job.key, []).append(job)
    return tried


def _is_due_again(jobs: list[Job], at: datetime) -> bool:
    last = jobs[-1]
    if last.state != State.FAILED or last.error_code == AddressRefused.code or len(jobs) > len(AGAIN):
        return False
    assert last.finished_at
    return last.finished_at + AGAIN[len(jobs) - 1] <= at


def send_invitation(job: Job, at: datetime) -> dict[str, Any]:
    """Write the letter that the job asks for, unless it was overtaken: withdrawn, accepted, sent again, too late.

    A run that is repeated makes a new secret and sends it: only the newest letter opens.
    """
    found = Invitation.objects.select_related("group").get(group_id=job.group_id, id=job.args["invitation"])
    if not found.is_open(at) or found.sent_at.isoformat() != job.args["sent_at"]:
        return {"sent": False}
    secret = secrets.mint(found)
    inviter = Member.objects.select_related("person").get(group_id=found.group_id, person_id=found.entered_by_id)
    try:
        letter(found, inviter, secret).send()
    except SMTPRecipientsRefused as error:
        if all(code >= FOR_GOOD for code, _ in error.recipients.values()):
            raise AddressRefused(email=found.email) from error
        raise
    return {"sent": True}


def letter(invitation: Invitation, inviter: Member, secret: str) -> EmailMessage:
    """Return the letter, from the group, with the inviter as who answers."""
    group = invitation.group
    until = invitation.expires_at.astimezone(ZoneInfo(group.time_zone))
    told = LETTER.format(
        name=invitation.display_name, inviter=inviter.display_name, group=in_one_line(group.name),
        role=ROLES[invitation.role], link=settings.SITE_URL + reverse("invitation", args=[secret]),
        until=f"{until:%A} {until.day} {until:%B %Y, %H:%M} ({group.time_zone})",
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
