"""Why a file, or a piece of one, is not taken."""

from stewardship.errors import RuleViolation


class FileTooLarge(RuleViolation):
    """A file beyond what one may have."""

    code = "file_too_large"
    message = "This file is larger than {most} MB, which is as much as one file may have. Scan it smaller, or in parts."


class TooManyFiles(RuleViolation):
    """A record names a handful of files, not an archive."""

    code = "too_many_files"
    message = "A record names {most} files at most. Take out one that is no longer needed."


class FileEmpty(RuleViolation):
    """A file without anything in it."""

    code = "file_empty"
    message = "This file is empty. Choose it again; it may not have been saved yet."


class FileKindNotTaken(RuleViolation):
    """A file that is, by its first bytes, none of the kinds that are taken."""

    code = "file_kind_not_taken"
    message = "This is no PDF and no picture (JPEG, PNG, HEIC or WebP). Nothing else is kept here, whatever its name."


class HashDiffers(RuleViolation):
    """A file that is not the one it is called."""

    code = "hash_differs"
    message = "What arrived is not the file that was announced: its SHA-256 differs. Nothing was kept; send it again."


class PieceMissing(RuleViolation):
    """A piece that does not join what has arrived."""

    code = "piece_missing"
    message = "So far {expected} bytes have arrived. Go on from there."


class PieceUnreadable(RuleViolation):
    """A piece that does not say where it belongs."""

    code = "piece_unreadable"
    message = "Content-Range says which bytes these are, such as bytes 0-65535/200000, and as many are sent."


class QuotaFull(RuleViolation):
    """A group whose files have filled the room it has."""

    code = "quota_full"
    message = "The files of this group fill the {most} MB that it has. Ask whoever runs this service for more room."
