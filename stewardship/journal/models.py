"""What every record has, the group's book, and the revisions in it."""

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.journal import chain, contents

GROUP, COORDINATORS = "group", "coordinators"


class Record(models.Model):
    """A row that only an entry writes; each change of it is a revision in the book."""

    kind: ClassVar[str]
    derived: ClassVar[frozenset[str]] = frozenset()
    """Columns computed from other records: locked and checked, but no part of the content."""
    unsaid: ClassVar[frozenset[str]] = frozenset()
    """Columns for the service alone: no part of the content, and nobody is told them."""
    follows: ClassVar[tuple[str, ...]] = ()
    """Properties that are told to readers beside the columns they follow from."""
    projections: ClassVar[tuple[type["Projection"], ...]] = ()
    speaks_for: ClassVar[frozenset[str]] = frozenset()
    """Acts on it that may make records in the name of who entered it."""
    stands_alone: ClassVar[bool] = False
    """Whether a new one changes nothing of how others are judged that do not name it: of these a push has many."""
    leads: ClassVar[int] = 0
    """Above 0: it is locked before the others of its layer, since whoever changes one of those holds it."""

    id = models.UUIDField(primary_key=True, editable=False)
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)
    rev = models.PositiveIntegerField("revisions so far", default=1)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    entered_at = models.DateTimeField()

    class Meta:
        abstract = True
        indexes = [models.Index(fields=["group", "id"], name="%(class)s_in_group")]

    def content(self) -> dict[str, Any]:
        """Return what the record says, as JSON values: the text that is hashed, kept and sent."""
        return contents.of(self)

    def audience(self) -> str:
        """Return who may read it, for life: ``group``, ``coordinators`` or one person's id."""
        return GROUP

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the rows that this actor may read; a type with narrower audiences states its own."""
        return Q()


class Projection(models.Model):
    """Rows that say in columns what a record says in its content; made anew whenever it changes."""

    source: ClassVar[str]
    """The name of the foreign key to the record that the rows belong to."""

    id = models.UUIDField(primary_key=True, editable=False)
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)

    class Meta:
        abstract = True

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return the column values of this record's rows, without ``id`` and ``group``."""
        raise TypeError(f"{cls.__name__} does not say which rows a {record.kind} has")


class Book(models.Model):
    """Where a group's history ends: its last number and the hash that seals everything before it."""

    group = models.OneToOneField("accounts.Group", models.PROTECT, primary_key=True, related_name="+")
    head = models.BigIntegerField("number of the newest revision", default=0)
    head_hash = models.CharField(max_length=64, default=chain.BEGINNING)
    held = models.PositiveIntegerField("mutations that wait for a person to settle them", default=0)
    epoch = models.UUIDField("changes when the book is restored from a backup")

    class Meta:
        constraints = [models.CheckConstraint(name="a_book_counts_up_from_zero", condition=Q(head__gte=0))]

    def __str__(self) -> str:
        return f"{self.group_id} at {self.head}"


class Revision(models.Model):
    """One state of one record: who wrote it, when, why. History and feed at once; never changed."""

    pk = models.CompositePrimaryKey("group_id", "seq")
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)
    seq = models.BigIntegerField("number in the group's book")
    kind = models.CharField(max_length=40)
    record_id = models.UUIDField()
    rev = models.PositiveIntegerField()
    op = models.CharField(max_length=40)
    mid = models.UUIDField("the mutation that caused it")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    device_id = models.UUIDField(null=True)
    at = models.DateTimeField()
    reason = models.TextField(blank=True)
    audience = models.CharField(max_length=36)
    content = models.TextField("canonical JSON; NULL once erased", null=True)  # noqa: DJ001
    salt = models.CharField(max_length=32, null=True)  # noqa: DJ001
    content_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["group", "record_id", "rev"], name="a_record_has_each_revision_once"),
        ]

    def __str__(self) -> str:
        return f"{self.seq}: {self.kind} {self.record_id} rev {self.rev} ({self.op})"


class Erasure(Record):
    """What was emptied at one time, so that the book can be proved without it: an empty state not named is a fault.

    ``emptied``: for each record its ``type``, ``id`` and ``through_rev``, the last of its revisions that says nothing
    any more.
    """

    kind = "erasure"

    emptied = models.JSONField("what says nothing any more: type, id, through_rev of each record")

    def __str__(self) -> str:
        return f"{len(self.emptied)} records emptied"
