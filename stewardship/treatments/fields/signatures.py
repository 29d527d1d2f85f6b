"""What may be sent about the signing of a session's record."""

from stewardship.journal.fields import Target, Text


class Attest(Target, frozen=True):
    """The applicator's word that the record is right; for a contractor's, the ``document`` that it was taken from."""

    document: Text = ""


class Countersign(Target, frozen=True):
    """The word of the supervising licence holder that the record is right."""


class Lock(Target, frozen=True):
    """The end of corrections; without a countersignature that the place's rule wants it takes a ``reason``."""


class Unlock(Target, frozen=True):
    """The record is open to corrections again, for a reason."""
