"""What the latest reconciliation found, for people: grouped by what is off, with the names of who wrote what."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.urls import reverse

from stewardship.accounts.models import Member
from stewardship.jobs.models import UNFINISHED, Job
from stewardship.journal.models import Book
from stewardship.reports.services.reconciliations import KIND, latest
from stewardship.treatments.models import Application
from stewardship.web.access import Here

OF_BATCHES = ("batch_does_not_balance", "batch_not_measured", "batch_changed_since_closed", "batch_column_wrong")
KINDS = {
    "batch_does_not_balance": "Batches that do not balance",
    "batch_changed_since_closed": "Batches whose account changed after they were closed",
    "batch_not_measured": "Batches of which nobody has measured what is left",
    "container_not_shared": "Bottles of which what was used stands in no line",
    "possible_duplicate": "Lines that may be the same work, entered twice",
    "part_differs_from_lots": "Products of which another amount left the shelf than went into the mix",
    "lot_does_not_balance": "Lots whose balance in the book is wrong",
    "batch_column_wrong": "Batches whose sums in the book are wrong",
    "unit_ledger_wrong": "Units whose year's use in the book is wrong",
}
"""Code of a finding -> heading; in the order in which a coordinator looks at them."""

PAGES = {"batch": "batch", "lot": "lot", "unit": "unit", "container": "bottle"}
"""Type of the record that a finding is about -> the page that shows it."""


@dataclass(frozen=True)
class Behind:
    """One statement behind a finding: what, how much, who wrote it, and the page that it stands on."""

    what: str
    nl: int
    by: str
    address: str


@dataclass(frozen=True)
class Shown:
    """One finding in words."""

    code: str
    detail: str
    on_date: date | None
    address: str
    unit: str
    behind: list[Behind]
    more: int


@dataclass(frozen=True)
class Beside:
    """A container of unknown contents, and the batches that lack about as much."""

    nl: int
    unit: str
    found_on: date
    end: str
    tag: str
    batches: list[Shown]


@dataclass(frozen=True)
class Latest:
    """What was found last, when, and whether the book has changed since."""

    finished_at: datetime
    head: int
    is_current: bool
    groups: list[tuple[str, list[Shown]]]
    unknown: list[Beside]
    parts_without_lot: int
    batches: int

    @property
    def off_batches(self) -> list[Shown]:
        """Return the findings about batches."""
        return [shown for _, several in self.groups for shown in several if shown.code in OF_BATCHES]


def latest_found(here: Here) -> Latest | None:
    """Return what the latest reconciliation found; None before the first."""
    job = latest(here.group.id)
    if job is None:
        return None
    assert job.finished_at
    found = job.result
    shown = list(_shown(here, found["findings"]))
    by_code = {code: [each for _, each in shown if each.code == code] for code in KINDS}
    of_batches = {id: each for id, each in shown if each.code in OF_BATCHES}
    return Latest(
        finished_at=job.finished_at,
        head=found["head"],
        is_current=found["head"] == Book.objects.values_list("head", flat=True).get(group_id=here.group.id),
        groups=[(KINDS[code], several) for code, several in by_code.items() if several],
        unknown=[_beside(each, of_batches) for each in found["unknown_containers"]],
        parts_without_lot=found["parts_without_lot"],
        batches=found["batches"],
    )


def is_under_way(here: Here) -> bool:
    """Tell whether a reconciliation waits or runs."""
    return Job.objects.filter(group_id=here.group.id, kind=KIND, state__in=UNFINISHED).exists()


def _shown(here: Here, findings: list[dict[str, Any]]) -> Iterator[tuple[str, Shown]]:
    """Give each finding in words, with the id of the record that it is about."""
    stated = [each for finding in findings for each in finding["behind"]]
    names = _names(here, {each["entered_by"] for each in stated})
    lines = {finding["id"] for finding in findings if finding["type"] == "application"}
    sessions = _sessions(here, lines | {each["id"] for each in stated if each["type"] == "application"})
    for finding in findings:
        behind = [
            Behind(each["what"], each["nl"], names.get(each["entered_by"], "somebody"), sessions.get(each["id"], ""))
            for each in finding["behind"]
        ]
        address = sessions.get(finding["id"], "")
        if finding["type"] in PAGES:
            address = reverse(PAGES[finding["type"]], args=[finding["id"]])
        on_date = finding["on_date"] and date.fromisoformat(finding["on_date"])
        told = (finding["code"], finding["detail"], on_date, address, finding["unit"])
        yield finding["id"], Shown(*told, behind, finding["more_behind"])


def _names(here: Here, people: Iterable[str]) -> dict[str, str]:
    found = Member.objects.filter(group_id=here.group.id, person_id__in=[UUID(id) for id in people])
    return {str(member.person_id): member.display_name for member in found}


def _sessions(here: Here, lines: Iterable[str]) -> dict[str, str]:
    """Return for each line the page of the session that it stands on."""
    found = Application.objects.filter(group_id=here.group.id, id__in=[UUID(id) for id in lines])
    return {str(id): reverse("session", args=[of]) for id, of in found.values_list("id", "session_id")}


def _beside(container: dict[str, Any], of_batches: dict[str, Shown]) -> Beside:
    return Beside(
        container["volume_nl"],
        container["unit"],
        date.fromisoformat(container["found_on"]),
        container["end"],
        reverse("leftover_tag", args=[container["id"]]),
        [of_batches[id] for id in container["beside"] if id in of_batches],
    )
