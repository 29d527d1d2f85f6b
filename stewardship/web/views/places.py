"""The properties in the group's care: a list, a new one, one with its management units."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.places.models import LandPermission, NeighbourNotice, Permit, Property, Unit
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.lawful import WantsForm
from stewardship.web.forms.places import PropertyForm, UnitForm


@page("read")
def places(request: HttpRequest, here: Here) -> HttpResponse:
    """List the properties with their units."""
    found = Property.objects.filter(group_id=here.group.id).prefetch_related("units").order_by("name", "id")
    form = WantsForm(here=here) if here.actor.may("manage_group") else None
    return show(request, "places", properties=list(found), form=form)


@page("manage_places", "GET", "POST")
def new_place(request: HttpRequest, here: Here) -> HttpResponse:
    """Take a property into the group's care."""
    form = PropertyForm(request.POST if request.method == "POST" else None, here=here)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "new_place", form=form, status=form.status)
    messages.success(request, "The property is recorded. Lay out its management units next.")
    return redirect("place", property_id=done[0].result["id"])


@page("read")
def place(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Show one property with its units."""
    return _shown(request, here, property_of(here, property_id))


@page("manage_places", "POST")
def add_unit(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Lay out a management unit."""
    found = property_of(here, property_id)
    form = UnitForm(request.POST, here=here, property_id=found.id)
    if performed(form, here) is None:
        return _shown(request, here, found, refused=form)
    messages.success(request, "The unit is laid out.")
    return redirect("place", property_id=found.id)


def property_of(here: Here, property_id: UUID) -> Property:
    """Return the group's property; another group's does not exist here."""
    found = Property.objects.filter(group_id=here.group.id, id=property_id).first()
    if found is None:
        raise Http404
    return found


def papers_of(here: Here, found: Property) -> dict[str, Any]:
    """Return what an inspector asks first of a property: each permission and permit with whether it holds today."""
    today = here.today
    its = {"group_id": here.group.id, "property": found}
    permissions = LandPermission.objects.filter(**its).order_by("-valid_from", "id")
    permits = Permit.objects.filter(Q(property=found) | Q(property=None), group_id=here.group.id)
    notices = NeighbourNotice.objects.filter(NeighbourNotice.visible_to(here.actor), **its, voided_at=None)
    return {
        "permissions": [(each, each.holds_on(today)) for each in permissions],
        "permits": [(each, each.holds_on(today)) for each in permits.order_by("-valid_from", "id")],
        "notices": list(notices.filter(last_on__gte=today).order_by("first_on", "name", "id")),
        "past_notices": list(notices.filter(last_on__lt=today).order_by("-last_on", "id")[:10]),
    }


def _shown(request: HttpRequest, here: Here, found: Property, refused: UnitForm | None = None) -> HttpResponse:
    units = Unit.objects.filter(group_id=here.group.id, property=found).order_by("name", "id")
    form = refused or UnitForm(here=here, property_id=found.id)
    return show(
        request, "place", property=found, units=list(units), unit_form=form, refused=refused, **papers_of(here, found),
        status=refused.status if refused else 200,
    )  # fmt: skip
