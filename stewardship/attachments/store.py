"""Files on the disk: a part grows under its upload's id, a whole file stands under its hash, in its group's folder.

Every path is made of ids and of a hash that was checked: nothing of it was typed by anybody.
"""

import os
from hashlib import sha256
from pathlib import Path
from uuid import UUID

from django.conf import settings

READ_BYTES = 1 << 16


class PartLost(Exception):
    """Less stands on the disk than has arrived: a part was lost, the upload begins again."""


def place_of(group_id: UUID, digest: str) -> Path:
    """Return where a whole file stands."""
    return _folder(group_id) / digest[:2] / digest


def part_of(group_id: UUID, upload_id: UUID) -> Path:
    """Return where the part of an upload stands."""
    return _folder(group_id) / "parts" / str(upload_id)


def _folder(group_id: UUID) -> Path:
    return Path(settings.ATTACHMENTS_DIR) / str(group_id)


def append(part: Path, offset: int, body: bytes) -> None:
    """Write a piece from ``offset`` on, through to the disk. Raises PartLost if what comes before it is not there.

    What stands beyond ``offset`` is left from a piece that was never counted, and is cut off.
    """
    part.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    descriptor = os.open(part, os.O_RDWR | os.O_CREAT, 0o600)
    with open(descriptor, "r+b") as file:
        if os.fstat(descriptor).st_size < offset:
            raise PartLost
        file.truncate(offset)
        file.seek(offset)
        file.write(body)
        file.flush()
        os.fsync(descriptor)


def digest_of(part: Path) -> str:
    """Return the SHA-256 of a file, read from the disk."""
    digest = sha256()
    with part.open("rb") as file:
        while chunk := file.read(READ_BYTES):
            digest.update(chunk)
    return digest.hexdigest()


def first_bytes(part: Path, count: int) -> bytes:
    """Return the first bytes of a file."""
    with part.open("rb") as file:
        return file.read(count)


def keep(part: Path, place: Path) -> None:
    """Let a part become the whole file, at once and for good; the same bytes may stand there already."""
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part.replace(place)
    folder = os.open(place.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def forget(part: Path) -> None:
    """Remove a part; none there is no harm."""
    part.unlink(missing_ok=True)
