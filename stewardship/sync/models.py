"""The ledger of mutations, kept for ever, each device's place in it, and what waits for a person to settle it."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Device, Member
from stewardship.journal.models import Record


class Outbox(models.Model):
    """How far a device's outbox was taken: the number of its last mutation in this group."""

    pk = models.CompositePrimaryKey("device_id", "group_id")
    device = models.ForeignKey(Device, models.PROTECT, related_name="+", db_index=False)
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)
    last_n = models.BigIntegerField(default=0)
    mutations_until = models.DateTimeField("when its mutations so far are worked off at the rate allowed", null=True)
    bytes_until = models.DateTimeField("the same of its bytes", null=True)

    class Meta:
        indexes = [models.Index(fields=["group"], name="outboxes_of_a_group")]

    def __str__(self) -> str:
        return f"{self.device_id} at {self.last_n}"


class Mutation(models.Model):
    """One thing a person did, by its id, with the answer it got: given again whenever it is sent again."""

    pk = models.CompositePrimaryKey("group_id", "mid")
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)
    mid = models.UUIDField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    device_id = models.UUIDField(null=True)
    n = models.BigIntegerField("number in the device's outbox", null=True)
    said_at = models.DateTimeField("the time that the device claims", null=True)
    sent_at = models.DateTimeField("when it was sent by the device's clock", null=True)
    estimated_at = models.DateTimeField("the time that it claims, by our clock", null=True)
    received_at = models.DateTimeField()
    fingerprint = models.CharField("SHA-256 of what was said", max_length=64)
    type = models.CharField(max_length=40)
    op = models.CharField(max_length=40)
    outcome = models.CharField(max_length=10)
    result = models.TextField("the stored answer, JSON")
    payload = models.TextField("all that was sent, where it is held, JSON", null=True)  # noqa: DJ001

    class Meta:
        indexes = [
            models.Index(
                fields=["group", "device_id", "received_at"], name="held_of_a_device", condition=Q(outcome="held")
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_held_mutation_keeps_its_payload",
                condition=~Q(outcome__in=("held", "conflict")) | Q(payload__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.type} {self.op} {self.mid}: {self.outcome}"


class State(models.TextChoices):
    """How far an entry that was held has come."""

    WAITING = "waiting"
    RELEASED = "released"
    SETTLED = "settled"
    VOIDED = "voided"


class ToSettle(Record):
    """A mutation that was held or met a conflict, with all that was sent, until a person settles it.

    ``about``: the member of whom it tells something personal; its author is not told, since it says whose a record is
    that they may not see. ``fields``: where both sides changed one, its name -> ``base``, ``yours``, ``server``.
    ``problems``: each thing that was wrong, where there are several. ``parents``: ids of the held mutations that it
    builds on. ``together``: the same for all of an all-or-nothing group.
    """

    kind = "to_settle"
    speaks_for = frozenset({"release", "settle"})
    unsaid = frozenset({"about_id"})

    mid = models.UUIDField("the mutation's id in the ledger")
    author = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    about = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    device = models.UUIDField(null=True)
    n = models.BigIntegerField("number in the device's outbox", null=True)
    type = models.CharField(max_length=40)
    op = models.CharField(max_length=40)
    target = models.UUIDField("the record that it makes or changes", null=True)
    code = models.CharField(max_length=60)
    detail = models.TextField()
    fields = models.JSONField(null=True)
    problems = models.JSONField(default=list)
    parents = models.JSONField(default=list)
    together = models.UUIDField(null=True)
    payload = models.TextField("all that was sent, as its JSON text")
    said_at = models.DateTimeField("the time that the device claims", null=True)
    received_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    settled_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    settled_at = models.DateTimeField(null=True)
    settled_why = models.TextField(blank=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "target"], name="what_waits_by_its_target", condition=Q(state="waiting")),
            models.Index(fields=["group", "received_at"], name="to_settle_by_time"),
            models.Index(fields=["about"], name="to_settle_of_a_member", condition=Q(about__isnull=False)),
        ]
        constraints = [
            models.UniqueConstraint(fields=["group", "mid"], name="a_mutation_waits_once"),
            models.CheckConstraint(
                name="who_settles_says_when",
                condition=Q(state="waiting", settled_at=None, settled_by=None)
                | (~Q(state="waiting") & Q(settled_at__isnull=False, settled_by__isnull=False)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.type} {self.op} {self.mid}: {self.state}"

    def audience(self) -> str:
        """Return who may read it: its author; coordinators see all."""
        return str(self.entered_by_id)

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on what this actor may read: their own, a coordinator all."""
        return Q() if actor.audiences() is None else Q(entered_by_id=actor.person_id)

    @property
    def is_waiting(self) -> bool:
        """Return whether a person has still to settle it."""
        return self.state == State.WAITING
