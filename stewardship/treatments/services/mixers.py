"""Who mixed a batch, judged anew where a correction bears on it."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from stewardship.credentials.needs import Named
from stewardship.journal.book import Entry
from stewardship.treatments.models import Batch
from stewardship.treatments.services import facts, licences
from stewardship.workdays.models import WorkDay


def judged_anew(entry: Entry, batch: Batch, values: dict[str, Any], after: Mapping[str, Any]) -> facts.Marks:
    """Judge the mixer anew where the correction bears on it, and keep the credential that it then rests on."""
    day = entry.known(WorkDay).get(batch.work_day_id) if batch.work_day_id else None
    need = licences.need_of_batch(entry, after["parts"], land_of(day))

    def licensed(entry: Entry, member_id: UUID, on: date, field: str) -> facts.Marks:
        return licences.marks_of_batch(entry, member_id, on, need)

    used, before = ({part["product"] for part in parts} for parts in (after["parts"], batch.parts))
    values["credentials"] = licences.kept_anew(entry, batch, after, ("mixed_by",), need)
    return facts.judged_anew(
        entry, batch, values, moment="mixed_at", people={"mixed_by": licensed}, anew=used != before
    )  # fmt: skip


def land_of(day: WorkDay | None) -> Named | None:
    """Return the land that a batch is mixed for: its day's; None where it has no day."""
    return Named(str(day.property_id)) if day else None
