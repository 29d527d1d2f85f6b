"""Work days that come back: the list, a new series, one with its days, its end."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms import series as forms
from stewardship.web.forms.base import ActForm
from stewardship.web.queries.days import days_listed
from stewardship.workdays.models import WorkDaySeries


@page("read")
def all_series(request: HttpRequest, here: Here) -> HttpResponse:
    """List the series."""
    found = WorkDaySeries.objects.filter(group_id=here.group.id).select_related("property")
    return show(request, "all_series", series=list(found.order_by("title", "id")))


@page("manage_work_days", "GET", "POST")
def new_series(request: HttpRequest, here: Here) -> HttpResponse:
    """Plan days that come back."""
    form = forms.SeriesForm(request.POST if request.method == "POST" else None, here=here)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "new_series", form=form, status=form.status)
    messages.success(request, "The series is planned, and the days of the next months are made. See them below.")
    return redirect("series", series_id=done[0].result["id"])


@page("read")
def one_series(request: HttpRequest, here: Here, series_id: UUID) -> HttpResponse:
    """Show a series with its days to come."""
    return _shown(request, here, series_of(here, series_id))


@page("manage_work_days", "GET", "POST")
def edit_series(request: HttpRequest, here: Here, series_id: UUID) -> HttpResponse:
    """Change a series and those of its days that nobody changed by themselves."""
    series = series_of(here, series_id)
    form = forms.AmendSeriesForm(request.POST if request.method == "POST" else None, here=here, series=series)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "edit_series", form=form, series=series, status=form.status)
    messages.success(request, "The change is kept, and its days to come follow it unless somebody changed them.")
    return redirect("series", series_id=series.id)


@page("manage_work_days", "POST")
def end_series(request: HttpRequest, here: Here, series_id: UUID) -> HttpResponse:
    """End a series, with the reason."""
    series = series_of(here, series_id)
    form = forms.EndSeriesForm(request.POST, here=here, series=series)
    if performed(form, here) is None:
        return _shown(request, here, series, refused=form)
    messages.success(request, "The series has ended. Its later days are cancelled, and who signed up is told.")
    return redirect("series", series_id=series.id)


def series_of(here: Here, series_id: UUID) -> WorkDaySeries:
    """Return the group's series; another group's does not exist here."""
    found = WorkDaySeries.objects.select_related("property").filter(group_id=here.group.id, id=series_id).first()
    if found is None:
        raise Http404
    return found


def _shown(request: HttpRequest, here: Here, series: WorkDaySeries, refused: ActForm | None = None) -> HttpResponse:
    coming = days_listed(here).filter(series_id=series.id, on_date__gte=here.today).order_by("on_date", "id")
    form = refused or forms.EndSeriesForm(here=here, series=series)
    return show(
        request, "series", series=series, coming=list(coming), form=form, refused=refused,
        status=refused.status if refused else 200,
    )  # fmt: skip
