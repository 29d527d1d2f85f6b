"""The ledger of mutations, kept for ever, and each device's place in it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Device


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
            models.Index(fields=["group", "mid"], name="held_in_a_group", condition=Q(outcome="held")),
            models.Index(
                fields=["group", "device_id", "received_at"], name="held_of_a_device", condition=Q(outcome="held")
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_held_mutation_keeps_its_payload",
                condition=~Q(outcome="held") | Q(payload__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.type} {self.op} {self.mid}: {self.outcome}"
