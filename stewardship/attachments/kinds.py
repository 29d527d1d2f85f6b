"""What a file is, by its first bytes: never by its name, nor by what its sender calls it."""

from filetype.types.archive import Pdf
from filetype.types.base import Type
from filetype.types.image import Heic, Jpeg, Png, Webp

TAKEN: tuple[Type, ...] = (Pdf(), Jpeg(), Png(), Heic(), Webp())
"""The kinds that are taken. None of them runs a script in a page; SVG and HTML do, and are not among them."""

LOOKED_AT_BYTES = 512
"""How many of the first bytes tell the kind [bytes]."""

EXTENSIONS = {kind.mime: kind.extension for kind in TAKEN}


def media_type_of(first_bytes: bytes) -> str:
    """Return the media type that these first bytes are of; empty if it is none that is taken."""
    head = bytearray(first_bytes[:LOOKED_AT_BYTES])
    return next((kind.mime for kind in TAKEN if _is(kind, head)), "")


def _is(kind: Type, head: bytearray) -> bool:
    """Tell whether they are of this kind; a box whose names are no text is of none."""
    try:
        return bool(kind.match(head))
    except (UnicodeDecodeError, IndexError):
        return False
