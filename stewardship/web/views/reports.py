"""Season reports and the year's use: read, asked for, opened into the records behind each figure."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import ActiveIngredient
from stewardship.jobs.models import UNFINISHED, Job
from stewardship.places.models import Property
from stewardship.reports.models import ReportVersion, Season, SeasonReport
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.reports import AskForm
from stewardship.web.queries.reports import report_table, seasons, totals, uses, yearly_use

LINES_A_PAGE = 100


@page("read")
def reports(request: HttpRequest, here: Here) -> HttpResponse:
    """List the reports by season and property."""
    return show(request, "reports", table=report_table(here))


@page("ask_for_reports", "POST")
def ask(request: HttpRequest, here: Here, property_id: UUID, season_id: UUID) -> HttpResponse:
    """Ask for a report, compiled anew if it is there already."""
    _of_group(Property, here, property_id)
    _of_group(Season, here, season_id)
    form = AskForm(request.POST, here=here, property_id=property_id, season_id=season_id)
    done = performed(form, here)
    if done is None:
        why = " ".join(form.non_field_errors())
        messages.warning(request, f"The report was not asked for. {why} Load this page anew and ask again.")
        return redirect("reports")
    return redirect("report", report_id=done[0].result["id"])


@page("read")
def report(request: HttpRequest, here: Here, report_id: UUID) -> HttpResponse:
    """Show a report in its newest version, or in the one that is asked for."""
    found = _report(here, report_id)
    versions = list(ReportVersion.objects.filter(group_id=here.group.id, report=found).order_by("-number"))
    number = request.GET.get("version") or str(found.latest)
    version = next((v for v in versions if str(v.number) == number), None)
    if version is None and versions:
        raise Http404
    job = _job(found)
    return show(
        request, "report", report=found, version=version, versions=versions, job=job,
        is_compiling=job is not None and job.state in UNFINISHED, is_newest=bool(versions) and version == versions[0],
    )  # fmt: skip


@page("read")
def progress(request: HttpRequest, here: Here, report_id: UUID) -> HttpResponse:
    """Tell how far the compiling is, as a piece of the page; when it ends, have the whole page shown anew."""
    found = _report(here, report_id)
    job = _job(found)
    if job is None or job.state not in UNFINISHED:
        return HttpResponse(headers={"HX-Refresh": "true"})
    return show(request, "_progress", report=found, job=job)


@page("read")
def yearly(request: HttpRequest, here: Here) -> HttpResponse:
    """Show the use of each active ingredient, by season and property."""
    return show(request, "yearly", actives=yearly_use(here), seasons=seasons(here))


@page("read")
def lines(request: HttpRequest, here: Here, active_id: UUID, property_id: UUID, season: str) -> HttpResponse:
    """Show the records behind one figure of the year's use."""
    active = _of_group(ActiveIngredient, here, active_id)
    place = _of_group(Property, here, property_id)
    among = seasons(here)
    chosen = next((each for each in among if str(each.id) == season), None)
    if chosen is None and season != "none":
        raise Http404
    found = uses(here, among).filter(active_ingredient=active, application__property=place)
    found = found.filter(season=str(chosen.id) if chosen else "")
    told = ("product", "application__unit", "application__species", "application__batch", "application__session")
    in_order = found.select_related(*told).order_by("application__on_date", "id")
    return show(
        request, "use_lines", active=active, place=place, season=chosen, totals=found.aggregate(**totals()),
        page=Paginator(in_order, LINES_A_PAGE).get_page(request.GET.get("page")),
    )  # fmt: skip


def _report(here: Here, report_id: UUID) -> SeasonReport:
    found = SeasonReport.objects.select_related("property", "season").filter(group_id=here.group.id, id=report_id)
    if (report := found.first()) is None:
        raise Http404
    return report


def _job(report: SeasonReport) -> Job | None:
    return Job.objects.filter(group_id=report.group_id, id=report.job_id).first() if report.job_id else None


def _of_group(model: Any, here: Here, id: UUID) -> Any:
    found = model.objects.filter(group_id=here.group.id, id=id).first()
    if found is None:
        raise Http404
    return found
