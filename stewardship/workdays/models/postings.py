"""Signs that tell people what was treated, until they are taken down."""

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.journal.models import Record
from stewardship.places.models import Property
from stewardship.workdays.models.days import WorkDay


class Posting(Record):
    """A sign that was put up on a property: what it says, until when it stands, and who took it down."""

    kind = "posting"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    work_day = models.ForeignKey(WorkDay, models.PROTECT, null=True, related_name="postings", db_index=False)
    units = models.JSONField("ids of the units that it is about", default=list)
    product = models.ForeignKey(Product, models.PROTECT, null=True, related_name="+", db_index=False)
    text = models.TextField("what it says, and where it stands")
    put_up_at = models.DateTimeField()
    put_up_by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    enter_again_at = models.DateTimeField("from when people may enter by the label; none: not told", null=True)
    enter_again_note = models.TextField("what the label says about entering", blank=True)
    due_down_at = models.DateTimeField("when it is to come down; none: not told", null=True)
    taken_down_at = models.DateTimeField(null=True)
    taken_down_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "work_day"], name="postings_of_a_work_day"),
            models.Index(
                fields=["group", "due_down_at"], condition=Q(taken_down_at=None, voided_at=None), name="postings_up"
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_sign_comes_down_after_it_went_up", condition=Q(taken_down_at__gte=F("put_up_at"))
            ),
            models.CheckConstraint(
                name="a_sign_is_taken_down_by_somebody",
                condition=Q(taken_down_at=None, taken_down_by=None)
                | Q(taken_down_at__isnull=False, taken_down_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.text

    def is_up(self) -> bool:
        """Tell whether it stands."""
        return not (self.taken_down_at or self.voided_at)
