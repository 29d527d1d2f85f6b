"""A report is asked for by a person and compiled by a job, version after version."""

from datetime import datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Member
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.book import Cause, Entry, open_entry
from stewardship.journal.contents import canonical
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book
from stewardship.journal.snapshots import snapshot
from stewardship.reports import fields
from stewardship.reports.figures import Figures, season_figures
from stewardship.reports.models import ReportVersion, SeasonReport


def ask_for_report(entry: Entry, new: fields.AskForReport) -> SeasonReport:
    """Ask for the report of a property and season; it is compiled in the background, anew if it is there already."""
    report = _report_of(entry, new.property, new.season) or entry.create(
        SeasonReport, id=new.id, property_id=new.property, season_id=new.season
    )
    book = Book.objects.get(group_id=entry.group_id)
    head = book.head + (report in entry.staged(SeasonReport))  # a new report is a number of the book itself
    key = f"{report.id}@{head}.{book.held}"  # asked after a change it is work of its own: a run may not see it
    args = {"report": str(report.id)}
    job = jobs.ask(entry, "season_report", args, key=key, asked_by=entry.by.person_id)
    return entry.change(report, job_id=job.id)


def _report_of(entry: Entry, property_id: UUID, season_id: UUID) -> SeasonReport | None:
    for report in entry.list_of(SeasonReport, "property_id", property_id):
        if report.season_id == season_id:
            entry.load(SeasonReport, [report.id])
            return report
    return None


def compile_season_report(job: Job, at: datetime) -> dict[str, Any]:
    """Compile a report: a new version if its figures changed since the last, else none.

    The figures are read from one snapshot; the version and the job's end are committed together, by one worker only.
    Returns the report, the number of its newest version, whether that is new, and the book's number it rests on.
    """
    assert job.group_id
    report_id = UUID(job.args["report"])
    jobs.progress(job, 10, "Adding up the records")
    with snapshot():
        book = Book.objects.get(group_id=job.group_id)
        reports = SeasonReport.objects.select_related("property", "season")
        report = reports.get(group_id=job.group_id, id=report_id)
        figures = season_figures(report.property, report.season)
    jobs.progress(job, 80, "Writing the version")
    with open_entry(group_id=job.group_id, by=_asker(job), at=at) as entry:
        entry.cause = Cause(new_id(), "compile")
        result = _add_version(entry, entry.get(SeasonReport, report_id), figures, book)
        jobs.fenced(job, result=result, at=at)
    return result


def _add_version(entry: Entry, report: SeasonReport, figures: Figures, book: Book) -> dict[str, Any]:
    """Add a version unless the last says the same, or a later state of the book was compiled meanwhile."""
    figures_hash = sha256(canonical(figures).encode()).hexdigest()
    last = ReportVersion.objects.filter(group_id=report.group_id, report=report, number=report.latest).first()
    is_new = book.head >= report.head and (last is None or last.figures_hash != figures_hash)
    if is_new:
        entry.create(
            ReportVersion, id=None, report_id=report.id, number=report.latest + 1, figures=figures,
            figures_hash=figures_hash, as_of=entry.at, head=book.head, head_hash=book.head_hash,
        )  # fmt: skip
    entry.change(report, latest=report.latest + is_new, head=max(report.head, book.head))
    return {"report": str(report.id), "version": report.latest, "is_new": is_new, "head": book.head}


def _asker(job: Job) -> Actor:
    """Return who asked: the version is written in their name."""
    assert job.group_id
    assert job.asked_by_id
    member = Member.objects.get(group_id=job.group_id, person_id=job.asked_by_id)
    return Actor(member.person_id, member.group_id, member.id, member.role, is_former=not member.is_present)
