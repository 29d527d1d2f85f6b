"""The secrets of invitations: 256 random bits in a letter, their hash here."""

import secrets
from datetime import datetime
from hashlib import sha256

from stewardship.accounts.models import Invitation, InvitationSecret

BYTES = 32


def mint(invitation: Invitation) -> str:
    """Make the secret of an invitation's newest letter; the one before it ends."""
    secret = secrets.token_urlsafe(BYTES)
    values = {"secret_hash": hashed(secret), "of_letter": invitation.sent_at}
    InvitationSecret.objects.update_or_create(invitation=invitation, defaults=values)
    return secret


def opened(secret: str, *, at: datetime) -> Invitation | None:
    """Return the invitation that a secret opens at this moment; None for a wrong, used, former or late one."""
    kept = InvitationSecret.objects.select_related("invitation__group", "invitation__member__person")
    found = kept.filter(secret_hash=hashed(secret)).first()
    if found is None or not opens(found, found.invitation, at=at):
        return None
    return found.invitation


def opens(kept: InvitationSecret, invitation: Invitation, *, at: datetime) -> bool:
    """Return whether a kept secret opens its invitation: it is open, and no later letter was asked for."""
    return invitation.is_open(at) and kept.of_letter == invitation.sent_at


def hashed(secret: str) -> str:
    """Return what is kept of a secret."""
    return sha256(secret.encode()).hexdigest()
