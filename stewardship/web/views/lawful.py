"""What an inspector asks first, on pages: permissions, permits and notices of a property; registrations of products."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Product, ProductRegistration
from stewardship.journal.models import Record
from stewardship.places.models import LandPermission, NeighbourNotice, Permit, Unit
from stewardship.places.models.papers import Paper
from stewardship.web import words
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms import lawful as forms
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.places import EditPropertyForm, EditUnitForm
from stewardship.web.views.places import property_of

MAY = "manage_places"


def _formed(
    request: HttpRequest, here: Here, kind: Any, told: dict[str, Any], done: str, to: str, **ids: Any
) -> HttpResponse:
    """Ask with a form of this kind on a page of its own; recorded, say ``done`` and go to the page ``to``."""
    data = (request.POST, request.FILES) if request.method == "POST" else ()
    form: ActForm = kind(*data, here=here)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, done)
        return redirect(to, **ids)
    return show(request, "paper_form", form=form, status=form.status, **told)


@page(MAY, "GET", "POST")
def edit_property(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Correct a property, or give it its boundary."""
    found = property_of(here, property_id)
    told = {"title": f"Correct {found.name}", "act": "Record the correction", "property": found}
    make = _with(EditPropertyForm, property=found)
    return _formed(request, here, make, told, "The property is corrected.", "place", property_id=found.id)


@page(MAY, "GET", "POST")
def edit_unit(request: HttpRequest, here: Here, unit_id: UUID) -> HttpResponse:
    """Correct a unit, or give it its boundary."""
    found: Any = _one(here, Unit, unit_id)
    told = {"title": f"Correct {found.name}", "act": "Record the correction", "property": found.property}
    make = _with(EditUnitForm, unit=found)
    return _formed(request, here, make, told, "The unit is corrected.", "place", property_id=found.property_id)


NEW: dict[str, tuple[Any, str, str]] = {
    "permission": (forms.PermissionForm, "Enter a landowner's permission", "The permission is on record."),
    "permit": (forms.PermitForm, "Enter a permit", "The permit is on record."),
    "notice": (forms.NoticeForm, "Enter who is to be told", "Record each attempt to tell them on their page."),
}


@page(MAY, "GET", "POST")
def new_paper(request: HttpRequest, here: Here, property_id: UUID, what: str) -> HttpResponse:
    """Enter a permission, a permit, or somebody who is to be told."""
    if what not in NEW:
        raise Http404
    found = property_of(here, property_id)
    kind, title, done = NEW[what]
    told = {"title": f"{title}: {found.name}", "act": "Record", "property": found}
    return _formed(request, here, _with(kind, property=found), told, done, "place", property_id=found.id)


Acts = dict[str, tuple[Any, str]]

ACTS: Acts = {
    "withdraw": (forms.WithdrawForm, "The withdrawal is on record."),
    "reinstate": (forms.ReinstateForm, "The withdrawal is taken back."),
}
COPY: Acts = {"copy": (forms.CopyForm, "The copy is on record.")}

PAPERS: dict[str, tuple[type[Paper], Any, Acts]] = {
    "permission": (LandPermission, forms.EditPermissionForm, ACTS | COPY),
    "permit": (Permit, forms.EditPermitForm, ACTS),
}
"""Kind of paper -> what it is, the form that corrects it, and what else may be done with it."""


@page("read")
def paper(request: HttpRequest, here: Here, kind: str, paper_id: UUID) -> HttpResponse:
    """Show one permission or permit."""
    return _paper(request, here, kind, _one(here, PAPERS[kind][0], paper_id))


@page(MAY, "GET", "POST")
def edit_paper(request: HttpRequest, here: Here, kind: str, paper_id: UUID) -> HttpResponse:
    """Correct a permission or permit; what was judged by it before keeps its marks."""
    model, form, _ = PAPERS[kind]
    found: Any = _one(here, model, paper_id)
    told = {"title": f"Correct the {kind}", "act": "Record the correction", "property": found.property}
    return _formed(request, here, _with(form, paper=found), told, "It is corrected.", kind, paper_id=found.id)


@page(MAY, "POST")
def act_on_paper(request: HttpRequest, here: Here, kind: str, paper_id: UUID, act: str) -> HttpResponse:
    """Withdraw a permission or permit, take that back, or note a copy that was given."""
    model, _, acts = PAPERS[kind]
    if act not in acts:
        raise Http404
    found: Any = _one(here, model, paper_id)
    form_of, done = acts[act]
    form = form_of(request.POST, here=here, paper=found)
    if performed(form, here) is None:
        return _paper(request, here, kind, found, form)
    messages.success(request, done)
    return redirect(kind, paper_id=found.id)


def _paper(request: HttpRequest, here: Here, kind: str, found: Any, refused: Any = None) -> HttpResponse:
    acts = PAPERS[kind][2]
    made = {name: form(here=here, paper=found) for name, (form, _) in acts.items()}
    made |= {name: refused for name, (form, _) in acts.items() if isinstance(refused, form)}
    told = {"paper": found, "refused": refused, "holds": found.holds_on(here.today)}
    told |= {f"{name}_form": form for name, form in made.items()}
    told |= {"edit": f"edit_{kind}", "act_on": f"act_on_{kind}", "units": _units_of(here, found)}
    return show(request, kind, status=refused.status if refused else 200, **told)


def _units_of(here: Here, found: Any) -> list[Unit]:
    ids = getattr(found, "units", [])
    return list(Unit.objects.filter(group_id=here.group.id, id__in=ids).order_by("name", "id")) if ids else []


@page(MAY, "GET", "POST")
def notice(request: HttpRequest, here: Here, notice_id: UUID) -> HttpResponse:
    """Show who is to be told, with every attempt; record another one."""
    found: Any = _one(here, NeighbourNotice, notice_id)
    told = {"title": f"{found.name}, {_days(found)}", "act": "Record the attempt", "property": found.property}
    told["notice"] = found
    make = _with(forms.AttemptForm, notice=found)
    return _formed(request, here, make, told, "The attempt is on record.", "notice", notice_id=found.id)


def _days(found: NeighbourNotice) -> str:
    """Return the day or days of the work that somebody is told of."""
    first, last = words.day(found.first_on), words.day(found.last_on)
    return first if found.first_on == found.last_on else f"{first} to {last}"


@page("manage_group", "POST")
def wants(request: HttpRequest, here: Here) -> HttpResponse:
    """Set what the group asks before a day with herbicide is confirmed."""
    form = forms.WantsForm(request.POST, here=here)
    if performed(form, here) is not None:
        messages.success(request, "From now on this is asked.")
    return redirect("places")


@page("read")
def registrations(request: HttpRequest, here: Here) -> HttpResponse:
    """List the products in use, each with its registrations or that none is on record."""
    rows = ProductRegistration.objects.filter(group_id=here.group.id, retired_at=None)
    by_product: dict[UUID, list[ProductRegistration]] = {}
    for row in rows.order_by("jurisdiction", "valid_from", "id"):
        by_product.setdefault(row.product_id, []).append(row)
    products = Product.objects.filter(group_id=here.group.id, retired_at=None).order_by("name", "id")
    told = [(each, [(row, row.holds_on(here.today)) for row in by_product.get(each.id, [])]) for each in products]
    return show(request, "registrations", products=told)


@page("manage_catalog", "GET", "POST")
def new_registration(request: HttpRequest, here: Here) -> HttpResponse:
    """Enter a product's registration in a state."""
    told = {"title": "Enter a registration", "act": "Record the registration"}
    make = _with(forms.RegistrationForm, initial={"product": request.GET.get("product", "")})
    return _formed(request, here, make, told, "The registration is on record.", "registrations")


@page("manage_catalog", "GET", "POST")
def edit_registration(request: HttpRequest, here: Here, registration_id: UUID) -> HttpResponse:
    """Correct a registration, or give it another last day; what was judged by it before keeps its marks."""
    found: Any = _one(here, ProductRegistration, registration_id)
    told = {"title": f"Correct the registration of {found.product.name}", "act": "Record the correction"}
    make = _with(forms.EditRegistrationForm, registration=found)
    return _formed(request, here, make, told, "The registration is corrected.", "registrations")


def _with(kind: Any, **more: Any) -> Any:
    return lambda *data, here: kind(*data, here=here, **more)


def _one(here: Here, model: type[Record], id: UUID) -> Record:
    found = model._default_manager.filter(model.visible_to(here.actor), group_id=here.group.id, id=id).first()
    if found is None:
        raise Http404
    return found
