"""How a record names a file."""

from typing import Annotated

from msgspec import Meta

from stewardship.journal.fields import Closed, Name

MOST_FILES = 10

Sha256 = Annotated[str, Meta(pattern=r"^[0-9a-f]{64}$", description="SHA-256 of the file, in lower-case hexadecimal.")]


class NamedFile(Closed, frozen=True):
    """A file by the hash of what it holds, with the name that people see; it may be handed in later."""

    sha256: Sha256
    name: Name


Files = Annotated[list[NamedFile], Meta(max_length=MOST_FILES)]
