"""Use without a credential that counted: how often, and how much of it a coordinator answered for."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from stewardship.treatments.models import Application
from stewardship.treatments.services.licences import RESTRICTED, unlicensed


def without_licence(lines: QuerySet[Application]) -> dict[str, Any]:
    """Return the sessions whose lines tell of herbicide used by somebody without a credential that counted.

    A line carries the marks of its session. Where a named supervisor's credential counted, the work was supervised and
    is none of these. An answer takes nothing out of the count: it moves it from ``open`` to ``answered``.
    """
    told = lines.exclude(marks=[]).order_by("on_date", "session_id").values_list(
        "session_id", "on_date", "marks", "session__supervisor_id", "session__answered_for"
    )  # fmt: skip
    found: dict[UUID, dict[str, Any]] = {}
    for session_id, on, marks, supervisor_id, answered_for in told:
        codes = unlicensed(marks, ("applicator",))
        is_supervised = supervisor_id and not unlicensed(marks, ("supervisor",)) and RESTRICTED not in codes
        if not codes or is_supervised:
            continue
        use = found.setdefault(
            session_id, {"session": str(session_id), "on_date": on.isoformat(), "codes": [], "answered": True}
        )
        use["codes"] = sorted({*use["codes"], *codes})
        use["answered"] = use["answered"] and codes <= set(answered_for)
    uses = list(found.values())
    return {
        "uses": uses,
        "open": sum(not use["answered"] for use in uses),
        "answered": sum(use["answered"] for use in uses),
    }
