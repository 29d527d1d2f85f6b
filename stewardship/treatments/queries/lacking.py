"""Batches that lack about as much as was found in a container of unknown contents: shown beside it, never linked."""

from typing import Any

from django.db.models import F, Q, Sum
from django.db.models.functions import Coalesce

from stewardship.journal.contents import instant
from stewardship.rules.balances import Statement, tolerance_nl
from stewardship.treatments.models import Batch, Leftover

MOST = 20


def lacking(found: Leftover) -> list[dict[str, Any]]:
    """Return the batches mixed by then that lack what was found, as far as its amount is known; the latest first.

    A batch lacks what was mixed, less every draw and what stands measured as left; a difference that was booked when it
    was closed is still lacking. What is of a batch already, or has ended, is compared with nothing.
    """
    if found.batch_id is not None or not found.is_open():
        return []
    about = tolerance_nl(found.volume_nl, [(found.volume_nl, Statement(found.how_known))])
    standing = Sum("leftovers__volume_nl", filter=Q(leftovers__voided_at=None, leftovers__ended_at=None))
    batches = (
        Batch.objects.filter(group_id=found.group_id, voided_at=None, mixed_at__lte=found.measured_at)
        .annotate(lacks_nl=F("mix_nl") - F("used_nl") - Coalesce(standing, 0))
        .filter(lacks_nl__gte=found.volume_nl - about, lacks_nl__lte=found.volume_nl + about)
        .order_by("-mixed_at", "-id")[:MOST]
    )
    return [
        {"batch": str(b.id), "mixed_at": instant(b.mixed_at), "mix_nl": b.mix_nl, "lacks_nl": b.lacks_nl}
        for b in batches
    ]
