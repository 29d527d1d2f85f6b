"""A leftover: what was found in one container of a mix that was not used up."""

from django.db import models
from django.db.models import F, Q

from stewardship.places.models import Property
from stewardship.treatments.models.batches import Batch
from stewardship.treatments.models.facts import Fact, HowKnown


class End(models.TextChoices):
    """How a leftover ended: the measure stands no longer."""

    USED = "used"
    POURED_ON = "poured_on"
    DISPOSED = "disposed"
    LOST = "lost"
    MEASURED_AGAIN = "measured_again"


class Leftover(Fact):
    """A measure of what is left in one container: it draws nothing. Without a batch its contents are unknown."""

    kind = "leftover"

    batch = models.ForeignKey(Batch, models.PROTECT, null=True, related_name="leftovers", db_index=False)
    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    volume_nl = models.BigIntegerField("what was there [nL]")
    volume_value = models.CharField(max_length=40)
    volume_unit = models.CharField(max_length=20)
    how_known = models.CharField(max_length=20, choices=HowKnown)
    measured_at = models.DateTimeField("when it was measured or found: its age is told from here")
    container = models.CharField("what it is in", max_length=200, blank=True)
    kept_where = models.TextField(blank=True)
    property = models.ForeignKey(Property, models.PROTECT, null=True, related_name="+", db_index=False)
    ended_at = models.DateTimeField(null=True)
    end = models.CharField(max_length=20, choices=End, blank=True)
    identified_at = models.DateTimeField("when a found container was said to be of a batch", null=True)
    evidence = models.TextField("how that is known", blank=True)

    class Meta(Fact.Meta):
        indexes = [*Fact.Meta.indexes, models.Index(fields=["group", "batch"], name="leftovers_of_a_batch")]
        constraints = [
            models.CheckConstraint(name="a_leftover_holds_something", condition=Q(volume_nl__gt=0)),
            models.CheckConstraint(
                name="a_leftover_ends_in_some_way",
                condition=Q(ended_at__isnull=True, end="") | Q(Q(ended_at__isnull=False), ~Q(end="")),
            ),
            models.CheckConstraint(
                name="a_leftover_ends_after_it_was_measured",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("measured_at")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volume_value} {self.volume_unit} left, {self.on_date}"

    def is_open(self) -> bool:
        """Tell whether the measure stands."""
        return self.voided_at is None and self.ended_at is None
