"""The credential: a licence, certificate, training or card that somebody holds."""

from datetime import date
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.credentials.models.covers import Covers
from stewardship.credentials.models.types import CredentialType
from stewardship.journal.models import Record
from stewardship.rules.validity import CredentialDates, Suspension


class Credential(Record):
    """One licence, certificate, training or card of one member; its holder and the coordinators see it.

    ``categories``: codes of its type's categories that are printed on it. ``products``, ``properties``: ids; where any
    is named, it is good for these only. ``suspensions``: for each ``first_on``, ``last_on`` (null: not lifted yet),
    ``reason``.
    """

    kind = "credential"

    holder = models.ForeignKey(Member, models.PROTECT, related_name="credentials", db_index=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    type = models.ForeignKey(CredentialType, models.PROTECT, null=True, related_name="+", db_index=False)
    covers = models.CharField(max_length=40, choices=Covers)
    authority = models.CharField("who issued it", max_length=200, blank=True)
    number = models.CharField("number as printed", max_length=100, blank=True)
    issued_on = models.DateField("none while it is not issued", null=True)
    expires_on = models.DateField("last day on which it counts", null=True)
    never_expires = models.BooleanField(default=False)
    grace_days = models.PositiveIntegerField("days after its end in which it can still be renewed", default=0)
    received_on = models.DateField("none while it is not in hand: it does not count yet", null=True)
    categories = models.JSONField("codes of the categories printed on it", default=list)
    products = models.JSONField("ids of the products that it is good for; none: any", default=list)
    properties = models.JSONField("ids of the lands that it is good on; none: any", default=list)
    suspensions = models.JSONField("days on which it did not count: first, last, reason", default=list)
    evidence = models.JSONField("named files: scans of the document", default=list)
    note = models.TextField(blank=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "holder"], name="credentials_of_a_member"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_credential_ends_on_a_day_or_never",
                condition=Q(never_expires=True, expires_on=None)
                | Q(never_expires=False, expires_on__isnull=False)
                | Q(never_expires=False, type__isnull=False, issued_on=None),
            ),
            models.CheckConstraint(
                name="a_credential_ends_after_its_issue", condition=Q(expires_on__gte=F("issued_on"))
            ),
            models.CheckConstraint(
                name="a_credential_in_hand_was_issued",
                condition=Q(received_on=None) | Q(issued_on__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_covers_display()} {self.number}".strip()

    def audience(self) -> str:
        """Return the holder's id as a person: own credentials are a person's, coordinators see all."""
        return str(self.person_id)

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the credentials that this actor may read: their own, a coordinator all."""
        return Q() if actor.audiences() is None else Q(person_id=actor.person_id)

    def dates(self) -> CredentialDates:
        """Return the dates by which it is judged."""
        return CredentialDates(
            issued_on=self.issued_on,
            received_on=self.received_on,
            last_on=self.expires_on,
            grace_days=self.grace_days,
            suspensions=tuple(_suspension(each) for each in self.suspensions),
        )


def _suspension(told: dict[str, Any]) -> Suspension:
    last_on = told["last_on"]
    return Suspension(date.fromisoformat(told["first_on"]), date.fromisoformat(last_on) if last_on else None)
