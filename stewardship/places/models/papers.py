"""The landowner's permission, and permits of authorities: dated papers that plans and records are judged by."""

from datetime import date

from django.db import models
from django.db.models import F, Q

from stewardship.journal.models import Record
from stewardship.places.models.land import PermitFor, Property


class Paper(Record):
    """What somebody permitted from a day to a day; the last day counts, and the first day of its withdrawal not."""

    valid_from = models.DateField("first day")
    valid_to = models.DateField("last day; none: until it is withdrawn", null=True)
    document = models.TextField("where the paper is kept", blank=True)
    note = models.TextField(blank=True)
    withdrawn_on = models.DateField("first day on which it holds no more", null=True)
    withdrawn_why = models.TextField(blank=True)

    class Meta(Record.Meta):
        abstract = True

    def holds_on(self, on: date) -> bool:
        """Return whether it holds on a local date."""
        begun = self.valid_from <= on and (self.valid_to is None or on <= self.valid_to)
        return begun and (self.withdrawn_on is None or on < self.withdrawn_on)

    def last_on(self) -> date | None:
        """Return the last day on which it holds or held; None where it has no end."""
        if self.withdrawn_on is None:
            return self.valid_to
        before = date.fromordinal(self.withdrawn_on.toordinal() - 1)
        return min(before, self.valid_to) if self.valid_to else before


class LandPermission(Paper):
    """The written permission of whoever has a right to the land. The whole group reads it: no private number in it.

    ``notice``: what is wanted before work, ``hours_before``, ``how`` and ``to`` (whom); None: no notice is wanted.
    ``copies``: which records they were given, each ``what``, ``on`` (a date), ``how``.
    """

    kind = "land_permission"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    given_by = models.CharField(max_length=200)
    relation = models.CharField("to the land: owner, tenant, agency", max_length=200)
    given_on = models.DateField()
    herbicide = models.BooleanField("whether it takes in herbicide")
    excluded_actives = models.JSONField("names of active ingredients that it leaves out", default=list)
    excluded_methods = models.JSONField(default=list)
    notice = models.JSONField(null=True)
    copy_wanted = models.BooleanField("whether they want copies of the records", default=False)
    copies = models.JSONField(default=list)

    class Meta(Paper.Meta):
        indexes = [
            *Paper.Meta.indexes,
            models.Index(fields=["group", "property"], name="permissions_of_a_property"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_permission_ends_after_it_begins", condition=Q(valid_to=None) | Q(valid_to__gte=F("valid_from"))
            ),
            models.CheckConstraint(
                name="a_withdrawn_permission_says_why",
                condition=Q(withdrawn_on=None, withdrawn_why="") | Q(withdrawn_on__isnull=False) & ~Q(withdrawn_why=""),
            ),
        ]

    def __str__(self) -> str:
        return f"Permission of {self.given_by}, {self.given_on}"


class Permit(Paper):
    """An authority's permit for work that takes one, at a property or, without one, wherever the group works.

    ``units``: ids; ``actives`` names; ``methods``: none of them named is no restriction.
    """

    kind = "permit"

    authority = models.CharField(max_length=200)
    number = models.CharField(max_length=100)
    what = models.CharField(max_length=20, choices=PermitFor)
    property = models.ForeignKey(Property, models.PROTECT, null=True, related_name="+", db_index=False)
    units = models.JSONField(default=list)
    actives = models.JSONField("names of active ingredients", default=list)
    methods = models.JSONField(default=list)
    conditions = models.TextField(blank=True)

    class Meta(Paper.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_permit_ends_after_it_begins", condition=Q(valid_to=None) | Q(valid_to__gte=F("valid_from"))
            ),
            models.CheckConstraint(
                name="a_withdrawn_permit_says_why",
                condition=Q(withdrawn_on=None, withdrawn_why="") | Q(withdrawn_on__isnull=False) & ~Q(withdrawn_why=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.authority} {self.number}"
