"""A mix that is planned for a unit: what a coordinator may still refuse, or override with a reason."""

from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.catalog.models import Species
from stewardship.journal.models import Record
from stewardship.places.models import Property, Unit
from stewardship.workdays.models import WorkDay


class PlannedMix(Record):
    """So much mix for a unit on a day; until it is done or cancelled it counts towards the unit's ceilings.

    ``parts``: for each product ``product`` (id), ``name``, ``nl`` in this mix, ``strength`` where it was asked for so,
    and its ``actives`` as a line has them. ``overridden``: the reasons that stood in its way, each with ``code``,
    ``detail``, ``source`` and ``where``.
    """

    kind = "planned_mix"

    class State(models.TextChoices):
        """How far a plan has come."""

        OPEN = "open"
        DONE = "done"
        CANCELLED = "cancelled"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="+", db_index=False)
    work_day = models.ForeignKey(WorkDay, models.PROTECT, null=True, related_name="+", db_index=False)
    planned_on = models.DateField()
    method = models.CharField(max_length=40)
    carrier = models.CharField(max_length=20)
    species = models.ForeignKey(Species, models.PROTECT, null=True, related_name="+", db_index=False)
    stems = models.PositiveIntegerField(null=True)
    mix_nl = models.BigIntegerField("finished mix [nL]")
    mix_value = models.CharField(max_length=40)
    mix_unit = models.CharField(max_length=20)
    parts = models.JSONField("products with their volume, a.i. and a.e. in the mix")
    marks = models.JSONField("what was flagged when it was planned", default=list)
    overridden = models.JSONField("reasons against it that were overridden", default=list)
    override_reason = models.TextField(blank=True)
    overridden_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    state = models.CharField(max_length=20, choices=State, default=State.OPEN)
    note = models.TextField(blank=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "unit"], name="planned_mixes_of_a_unit"),
            models.Index(fields=["group", "work_day"], name="planned_mixes_of_a_work_day"),
        ]
        constraints = [
            models.CheckConstraint(name="a_planned_mix_holds_something", condition=Q(mix_nl__gt=0)),
            models.CheckConstraint(
                name="an_override_says_who_and_why",
                condition=Q(overridden_by=None, override_reason="")
                | (~Q(override_reason="") & Q(overridden_by__isnull=False)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mix_value} {self.mix_unit} planned for {self.planned_on}"
