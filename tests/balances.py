"""Derived columns computed again from the lines, for the audit after each test."""

from typing import Any
from uuid import UUID

from stewardship.jobs.models import Job, State
from stewardship.reports.models import ReportVersion, SeasonReport
from stewardship.treatments.models import Application, Batch


def of_batches(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each batch the mix, each product and the number of lines that its living lines took out of it."""
    drawn: dict[UUID, list[Application]] = {}
    for line in Application.objects.filter(group_id=group_id, voided_at=None):
        drawn.setdefault(line.batch_id, []).append(line)
    return {batch.id: _drawn(batch, drawn.get(batch.id, [])) for batch in Batch.objects.filter(group_id=group_id)}


def _drawn(batch: Batch, lines: list[Application]) -> dict[str, Any]:
    used = [{product["product"]: product["nl"] for product in line.products} for line in lines]
    return {
        "used_nl": sum(line.mix_nl for line in lines),
        "used_parts": [sum(each[part["product"]] for each in used) for part in batch.parts],
        "lines": len(lines),
    }


def of_reports(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each report its newest version, how far its finished jobs read, and one of its jobs."""
    jobs: dict[str, list[Job]] = {}
    for job in Job.objects.filter(group_id=group_id, kind="season_report"):
        jobs.setdefault(job.args["report"], []).append(job)
    numbers: dict[UUID, list[int]] = {}
    for version in ReportVersion.objects.filter(group_id=group_id):
        numbers.setdefault(version.report_id, []).append(version.number)
    reports = SeasonReport.objects.filter(group_id=group_id)
    return {report.id: _compiled(report, jobs[str(report.id)], numbers.get(report.id, [])) for report in reports}


def _compiled(report: SeasonReport, jobs: list[Job], numbers: list[int]) -> dict[str, Any]:
    return {
        "job_id": report.job_id if report.job_id in {job.id for job in jobs} else None,
        "latest": len(numbers) if sorted(numbers) == list(range(1, len(numbers) + 1)) else None,
        "head": max((job.result["head"] for job in jobs if job.state == State.DONE), default=0),
    }
