"""Verbs of what waits to be settled."""

from stewardship.journal.fields import Target
from stewardship.sync import fields, settling
from stewardship.sync.models import ToSettle
from stewardship.sync.verbs.verb import Verb, Verbs

VERBS: Verbs = {
    ("to_settle", "release"): Verb(ToSettle, Target, settling.release, "settle", reason=True, takes_up=True),
    ("to_settle", "settle"): Verb(ToSettle, fields.SettleFields, settling.settle, "settle", reason=True, takes_up=True),
    ("to_settle", "void"): Verb(
        ToSettle,
        Target,
        settling.void,
        "void_own_held",
        own=True,
        reason=True,
        gathers={".together": (ToSettle, "together")},
    ),
}
