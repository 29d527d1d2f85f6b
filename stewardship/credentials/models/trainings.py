"""The training of somebody who has no licence of their own, and helps who has one."""

from datetime import date
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.credentials.models.types import CredentialType
from stewardship.journal.models import Record


class Training(Record):
    """One person's training on one day, as an inspector asks for it; the person and the coordinators see it.

    ``type`` is the rule it was given under, and ``terms`` what that rule said then: ``minimum_minutes`` (null: not
    stated), ``names_products``, ``names_properties``, ``source``. ``last_on`` follows from the rule; null: no end.
    ``products``, ``properties``: ids of what it was given for. ``evidence``: named files.
    """

    kind = "training"

    trainee = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    type = models.ForeignKey(CredentialType, models.PROTECT, related_name="+", db_index=False)
    terms = models.JSONField("what the rule said when it was entered")
    trainer = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    trainer_name = models.CharField("where the trainer is no member", max_length=200, blank=True)
    trainer_licence_number = models.CharField(max_length=100, blank=True)
    trainer_licence_ends_on = models.DateField("last day of that licence, as stated; none: not told", null=True)
    sponsor = models.CharField("the body for whose land the trainee volunteers", max_length=200, blank=True)
    on_date = models.DateField()
    last_on = models.DateField("last day on which it counts; none: no end", null=True)
    place = models.CharField("where it was given", max_length=400, blank=True)
    title = models.CharField(max_length=200)
    topics = models.TextField("what it was about", blank=True)
    minutes = models.PositiveIntegerField("how long it took")
    products = models.JSONField("ids of the products whose labels were gone through", default=list)
    properties = models.JSONField("ids of the lands it was given for", default=list)
    methods = models.JSONField("methods instructed on", default=list)
    equipment = models.CharField("equipment instructed on", max_length=400, blank=True)
    label_copies = models.BooleanField("whether copies of the labels were given; none: not told", null=True)
    signed_at = models.DateTimeField(null=True)
    signed_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    signed_from = models.TextField("the signed sheet that a coordinator entered it from", blank=True)
    evidence = models.JSONField("named files", default=list)
    note = models.TextField(blank=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "trainee"], name="trainings_of_a_member"),
            models.Index(fields=["group", "on_date"], name="trainings_by_date"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_training_has_one_trainer",
                condition=Q(trainer=None) & ~Q(trainer_name="") | Q(trainer__isnull=False, trainer_name=""),
            ),
            models.CheckConstraint(
                name="a_signature_says_who_and_when",
                condition=Q(signed_at=None, signed_by=None, signed_from="")
                | Q(signed_at__isnull=False, signed_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title} on {self.on_date}"

    def audience(self) -> str:
        """Return the trained person's id: it is theirs, coordinators see all."""
        return str(self.person_id)

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the trainings that this actor may read: their own, a coordinator all."""
        return Q() if actor.audiences() is None else Q(person_id=actor.person_id)

    def runs_on(self, on: date) -> bool:
        """Return whether a day lies between the training and its last day, both included."""
        return self.on_date <= on and (self.last_on is None or on <= self.last_on)
