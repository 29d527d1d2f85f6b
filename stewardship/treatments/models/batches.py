"""A batch: one quantity of mix, made once."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.treatments.models.facts import Fact, HowKnown


class Batch(Fact):
    """One quantity of mix, made once."""

    kind = "batch"
    derived = frozenset({"used_nl", "used_parts", "lines"})
    follows = ("left_nl", "parts_left")

    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    mixed_at = models.DateTimeField()
    mixed_by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    mix_nl = models.BigIntegerField("finished mix [nL]")
    mix_value = models.CharField(max_length=40)
    mix_unit = models.CharField(max_length=20)
    how_known = models.CharField(max_length=20, choices=HowKnown)
    carrier = models.CharField("what the products were mixed into", max_length=20)
    parts = models.JSONField("products: nl in this mix, volume as poured, label strengths as mixed")
    adjuvants = models.JSONField("adjuvants and dye: nl in this mix, volume as poured", default=list)
    used_nl = models.BigIntegerField("mix taken out so far [nL]", default=0)
    used_parts = models.JSONField("of each part, taken out so far [nL]", default=list)
    lines = models.PositiveIntegerField("applications that draw on it", default=0)

    class Meta(Fact.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_batch_is_not_overdrawn", condition=Q(used_nl__gte=0, used_nl__lte=F("mix_nl"))
            ),
            models.CheckConstraint(name="a_batch_holds_something", condition=Q(mix_nl__gt=0)),
        ]

    def __str__(self) -> str:
        return f"{self.mix_value} {self.mix_unit} of {self.on_date}"

    @property
    def left_nl(self) -> int:
        """Return the mix that is left [nL]."""
        return self.mix_nl - self.used_nl

    @property
    def parts_left(self) -> list[dict[str, Any]]:
        """Return for each product of the mix its id and what is left of it [nL]."""
        used = zip(self.parts, self.used_parts, strict=True)
        return [{"product": part["product"], "left_nl": part["nl"] - nl} for part, nl in used]
