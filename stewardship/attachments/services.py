"""A file is handed in, whole or piece by piece; it is kept once its hash and its kind are right."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.db.models import Max, QuerySet

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Group, Member
from stewardship.attachments import store
from stewardship.attachments.kinds import LOOKED_AT_BYTES, media_type_of
from stewardship.attachments.models import Attachment
from stewardship.attachments.refusals import (
    FileEmpty,
    FileKindNotTaken,
    FileTooLarge,
    HashDiffers,
    PieceMissing,
    PieceUnreadable,
    QuotaFull,
)
from stewardship.errors import NotPermitted, RuleViolation, Unavailable
from stewardship.journal.models import COORDINATORS, GROUP

MAY = "hand_in_files"
GIVEN_UP_AFTER = timedelta(days=7)
"""How long an upload that was broken off keeps what has arrived."""
MEGABYTE = 1 << 20


@dataclass(frozen=True, slots=True)
class Piece:
    """Some bytes of a file: where they begin, and how long the whole file is [bytes]."""

    first: int
    whole: int
    body: bytes


def hand_in(actor: Actor, body: bytes, audience: str, at: datetime) -> Attachment:
    """Take a whole file, as a form sends it."""
    return take_piece(actor, sha256(body).hexdigest(), Piece(0, len(body), body), audience, at)


def take_piece(actor: Actor, digest: str, piece: Piece, audience: str, at: datetime) -> Attachment:
    """Take a piece of the file with this hash; the last one makes it whole, and then hash and kind are checked.

    What has arrived already is no harm; a piece that leaves a gap raises PieceMissing.
    """
    if not actor.may(MAY):
        raise NotPermitted
    _check_audience(actor, audience)
    _check_piece(piece)
    with transaction.atomic():
        upload = _begun(actor, digest, piece.whole, audience, at)
        refusal = _arrived(upload, piece, at)
    if refusal:
        raise refusal
    return upload


def _check_audience(actor: Actor, audience: str) -> None:
    """Refuse an audience that is none, and a file for somebody else that is not a coordinator's to give."""
    if audience in (GROUP, COORDINATORS, str(actor.person_id)):
        return
    try:
        person_id = UUID(audience)
    except ValueError:
        raise Unavailable(where="audience") from None
    if not Member.objects.filter(group_id=actor.group_id, person_id=person_id).exists():
        raise Unavailable(where="audience")
    if actor.audiences() is not None:
        raise NotPermitted("Only a coordinator hands in a file for somebody else.")


def _check_piece(piece: Piece) -> None:
    if piece.whole > settings.ATTACHMENT_MAX_BYTES:
        raise FileTooLarge(most=settings.ATTACHMENT_MAX_BYTES // MEGABYTE)
    if piece.whole < 1:
        raise FileEmpty
    if not piece.body or piece.first < 0 or piece.first + len(piece.body) > piece.whole:
        raise PieceUnreadable
    tells_its_kind = piece.first == 0 and len(piece.body) >= min(LOOKED_AT_BYTES, piece.whole)
    if tells_its_kind and not media_type_of(piece.body):
        raise FileKindNotTaken


# -- the row ---------------------------------------------------------------------------------------


def _begun(actor: Actor, digest: str, whole: int, audience: str, at: datetime) -> Attachment:
    """Return the upload, locked: the one that was begun before, else a new one."""
    key = {"group_id": actor.group_id, "sha256": digest, "audience": audience, "uploaded_by_id": actor.person_id}
    uploads = Attachment.objects.select_for_update(no_key=True)
    if upload := uploads.filter(**key, size_bytes=whole).first():
        return upload
    Group.objects.select_for_update(no_key=True).get(id=actor.group_id)
    _give_up(Attachment.objects.filter(group_id=actor.group_id, last_piece_at__lt=at - GIVEN_UP_AFTER))
    other = Attachment.objects.filter(**key).exclude(size_bytes=whole).first()
    if other and other.is_complete:
        raise PieceUnreadable(f"This file is here already, and it is {other.size_bytes} bytes long.")
    _give_up(Attachment.objects.filter(**key).exclude(size_bytes=whole))
    _check_room(actor.group_id, digest, whole)
    Attachment.objects.bulk_create([Attachment(**key, size_bytes=whole, last_piece_at=at)], ignore_conflicts=True)
    return uploads.get(**key)


def _give_up(uploads: QuerySet[Attachment]) -> None:
    """Forget those of the uploads that were never completed, with what had arrived of them."""
    unfinished = uploads.filter(completed_at=None)
    for upload in unfinished:
        store.forget(store.part_of(upload.group_id, upload.id))
    unfinished.delete()


def _check_room(group_id: UUID, digest: str, whole: int) -> None:
    """Refuse a file beyond the group's room; one that stands there already takes none."""
    others = Attachment.objects.filter(group_id=group_id).exclude(sha256=digest)
    sizes = others.values("sha256").annotate(size=Max("size_bytes")).values_list("size", flat=True)
    if sum(sizes) + whole > settings.ATTACHMENT_QUOTA_BYTES:
        raise QuotaFull(most=settings.ATTACHMENT_QUOTA_BYTES // MEGABYTE)


# -- the bytes -------------------------------------------------------------------------------------


def _arrived(upload: Attachment, piece: Piece, at: datetime) -> RuleViolation | None:
    """Add what a piece brings; return the refusal of a file that is now whole and wrong: that one is forgotten."""
    place = store.place_of(upload.group_id, upload.sha256)
    if upload.is_complete and place.exists():
        return None
    part = store.part_of(upload.group_id, upload.id)
    offset = 0 if upload.is_complete else upload.offset_bytes
    if piece.first > offset:
        return PieceMissing(expected=offset)
    fresh = piece.body[offset - piece.first :]
    try:
        store.append(part, offset, fresh)
    except store.PartLost:
        _note(upload, 0, at)
        return PieceMissing(expected=0)
    _note(upload, offset + len(fresh), at)
    return _finished(upload, at) if upload.offset_bytes == upload.size_bytes else None


def _note(upload: Attachment, offset: int, at: datetime) -> None:
    upload.offset_bytes, upload.last_piece_at, upload.completed_at, upload.media_type = offset, at, None, ""
    upload.save(update_fields=["offset_bytes", "last_piece_at", "completed_at", "media_type"])


def _finished(upload: Attachment, at: datetime) -> RuleViolation | None:
    """Keep the whole file if it is what it was called and of a kind that is taken; else forget it."""
    part = store.part_of(upload.group_id, upload.id)
    media_type = media_type_of(store.first_bytes(part, LOOKED_AT_BYTES))
    is_right = store.digest_of(part) == upload.sha256
    if not is_right or not media_type:
        store.forget(part)
        Attachment.objects.filter(id=upload.id).delete()
        return FileKindNotTaken() if is_right else HashDiffers()
    store.keep(part, store.place_of(upload.group_id, upload.sha256))
    upload.media_type, upload.completed_at = media_type, at
    upload.save(update_fields=["media_type", "completed_at"])
    return None


def remove_files(group_id: UUID, audience: str) -> None:
    """Remove what was handed in for one audience, whole or not; a file that another audience has too stays on the disk.

    The bytes go first: if it breaks off after them, it is done again.
    """
    uploads = Attachment.objects.filter(group_id=group_id, audience=audience)
    others = Attachment.objects.filter(group_id=group_id).exclude(audience=audience)
    shared = set(others.filter(sha256__in=uploads.values("sha256")).values_list("sha256", flat=True))
    for upload in uploads:
        store.forget(store.part_of(group_id, upload.id))
        if upload.sha256 not in shared:
            store.forget(store.place_of(group_id, upload.sha256))
    uploads.delete()
