"""Tasks that the owner or an authority has approved."""

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.journal.models import Record
from stewardship.places.models import Property


class ApprovedTask(Record):
    """What may be planned for a property: by whom approved, where, on what, how, when. No list: all of it."""

    kind = "approved_task"

    property = models.ForeignKey(Property, models.PROTECT, related_name="approved_tasks", db_index=False)
    title = models.CharField(max_length=200)
    approved_by = models.CharField("who approved it, in words", max_length=200, blank=True)
    approver = models.ForeignKey(
        Member, models.PROTECT, related_name="+", db_index=False, null=True, verbose_name="the member who approved it"
    )
    approved_on = models.DateField()
    from_on = models.DateField("first local date on which it may be done")
    to_on = models.DateField("last local date; none: until it is withdrawn", null=True)
    units = models.JSONField("ids of units; none: the whole property", default=list)
    species = models.JSONField("ids of species; none: any", default=list)
    methods = models.JSONField("none: any", default=list)
    herbicide = models.BooleanField("whether it may be done with herbicide", default=False)
    document = models.TextField("where the paper is that says so", blank=True)
    note = models.TextField(blank=True)
    withdrawn_at = models.DateTimeField(null=True)
    withdrawn_reason = models.TextField(blank=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "property"], name="approved_tasks_of_a_property"),
        ]
        constraints = [
            models.CheckConstraint(
                name="an_approved_task_says_who_approved_it", condition=~Q(approved_by="") | Q(approver__isnull=False)
            ),
            models.CheckConstraint(
                name="an_approved_task_ends_after_it_begins", condition=Q(to_on=None) | Q(to_on__gte=F("from_on"))
            ),
            models.CheckConstraint(
                name="a_withdrawn_task_says_why", condition=Q(withdrawn_at=None) | ~Q(withdrawn_reason="")
            ),
        ]

    def __str__(self) -> str:
        return self.title
