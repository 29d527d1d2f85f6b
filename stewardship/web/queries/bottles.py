"""Numbered bottles: which are out, and of which something was used that stands in no line."""

from dataclasses import dataclass

from django.db.models import F

from stewardship.treatments.models import Container, Session
from stewardship.web.access import Here

MOST = 100
"""Bottles in one list."""


@dataclass(frozen=True)
class BottlesShown:
    """The bottles that want something done, and the latest that want nothing."""

    out: list[Container]
    unsplit: list[Container]
    settled: list[Container]


def bottles_shown(here: Here) -> BottlesShown:
    """Return the group's bottles by what they want; three statements."""
    living = Container.objects.filter(group_id=here.group.id, voided_at=None).select_related("holder", "batch")
    back = living.filter(back_at__isnull=False).annotate(unsplit_nl=F("filled_nl") - F("back_nl") - F("in_lines_nl"))
    return BottlesShown(
        out=list(living.filter(back_at=None).order_by("out_at", "id")[:MOST]),
        unsplit=list(back.filter(unsplit_nl__gt=0).order_by("back_at", "id")[:MOST]),
        settled=list(back.filter(unsplit_nl__lte=0).order_by("-back_at", "-id")[:20]),
    )


def sessions_of(here: Here, bottle: Container) -> list[Session]:
    """Return the sessions of a bottle's holder on its day that can still take lines, the latest first."""
    found = Session.objects.filter(
        group_id=here.group.id, applicator_id=bottle.holder_id, on_date=bottle.on_date, voided_at=None, locked_at=None
    )
    return list(found.select_related("unit").order_by("-started_at", "-id")[:20])
