"""How a record names a file."""

from collections.abc import Iterable
from typing import Annotated

from msgspec import Meta

from stewardship.attachments.refusals import TooManyFiles
from stewardship.journal.fields import Closed, Name

MOST_FILES = 10

Sha256 = Annotated[str, Meta(pattern=r"^[0-9a-f]{64}$", description="SHA-256 of the file, in lower-case hexadecimal.")]


class NamedFile(Closed, frozen=True):
    """A file by the hash of what it holds, with the name that people see; it may be handed in later."""

    sha256: Sha256
    name: Name


Files = Annotated[list[NamedFile], Meta(max_length=MOST_FILES)]

MoreFiles = Annotated[list[NamedFile], Meta(min_length=1, max_length=MOST_FILES)]


def named_with(kept: Iterable[dict[str, str]], more: Iterable[NamedFile], *, where: str) -> list[dict[str, str]]:
    """Return the files that a record names once more are named; one that it names already stays as it is.

    Raises TooManyFiles.
    """
    named = {each["sha256"]: each for each in kept}
    for each in more:
        named.setdefault(each.sha256, {"sha256": each.sha256, "name": each.name})
    if len(named) > MOST_FILES:
        raise TooManyFiles(most=MOST_FILES, where=where)
    return list(named.values())
