"""Which files are here, for whom."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from stewardship.accounts.capabilities import Actor
from stewardship.attachments.models import Attachment


def _readable(actor: Actor) -> QuerySet[Attachment]:
    audiences = actor.audiences()
    seen = Q() if audiences is None else Q(audience__in=audiences)
    return Attachment.objects.filter(seen, group_id=actor.group_id, completed_at__isnull=False)


def readable(actor: Actor, digests: Iterable[str]) -> dict[str, Attachment]:
    """Return those of the files that are here and that the actor may read, by hash, with one statement."""
    return {found.sha256: found for found in _readable(actor).filter(sha256__in=set(digests)).order_by("-id")}


def arrived(actor: Actor, digest: str) -> Attachment | None:
    """Return how far a file has come: one that the actor may read, else the actor's own upload of it."""
    if whole := _readable(actor).filter(sha256=digest).order_by("id").first():
        return whole
    own = Attachment.objects.filter(group_id=actor.group_id, sha256=digest, uploaded_by_id=actor.person_id)
    return own.order_by("-offset_bytes", "id").first()
