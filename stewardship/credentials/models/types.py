"""The kind of a credential: who issues it, how long it counts, and what it is good for."""

from django.db import models
from django.db.models import Q

from stewardship.catalog.models import Reference
from stewardship.credentials.models.covers import Covers
from stewardship.rules.validity import ValidityRule


class CredentialType(Reference):
    """A kind of licence, certificate, training or card, with the rule it ends by.

    ``categories``: for each ``code``, ``name``, and the ``methods`` and ``site_types`` that it is good for (none named:
    any). ``validity``: the fields of ``rules.validity.ValidityRule``. ``needs`` (what credentials are for) and
    ``needs_types`` (ids): what its holder must have beside it on the day. ``credits``: for each ``category`` (empty:
    core) the credits ``wanted`` in a cycle, and ``caps``: mode -> the most that count.
    """

    kind = "credential_type"

    name = models.CharField(max_length=200)
    authority = models.CharField("who issues it", max_length=200, blank=True)
    jurisdiction = models.CharField("ISO 3166 code; empty: none in particular", max_length=6, blank=True)
    covers = models.CharField(max_length=40, choices=Covers)
    categories = models.JSONField(default=list)
    validity = models.JSONField("the rule that its last day follows from")
    grace_days = models.PositiveIntegerField("days after its end in which it can still be renewed", default=0)
    needs = models.JSONField("what else must be good on the day", default=list)
    needs_types = models.JSONField("ids of types of which one must be good on the day, each", default=list)
    names_products = models.BooleanField("good for the products named on it only", default=False)
    names_properties = models.BooleanField("good on the lands named on it only", default=False)
    admits_restricted = models.BooleanField("good for restricted-use products", default=False)
    minimum_age_years = models.PositiveSmallIntegerField("of its holder; none: not stated", null=True)
    training_minutes = models.PositiveSmallIntegerField("least length of a training; none: not stated", null=True)
    credits = models.JSONField("credits wanted in each cycle", default=list)
    credit_cycle_years = models.PositiveSmallIntegerField("none: no credits are wanted", null=True)

    class Meta(Reference.Meta):
        constraints = [
            models.CheckConstraint(name="a_credential_type_names_its_source", condition=~Q(source="")),
        ]

    def __str__(self) -> str:
        return self.name

    def rule(self) -> ValidityRule:
        """Return the rule that the last day of such a credential follows from."""
        return ValidityRule(**self.validity)
