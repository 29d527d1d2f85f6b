"""The herbicides of the group's catalogue: what their labels state, entered and corrected."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Product
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.products import OfProductForm, ProductForm

MAY = "manage_catalog"

ACTS = {
    "retire": "It is out of use: no mix and no lot is made of it. What was recorded with it stays.",
    "reinstate": "It is in use again.",
}
"""Act in an address -> what is said once it is done."""


@page("read")
def products(request: HttpRequest, here: Here) -> HttpResponse:
    """List them by name; those out of use last."""
    found = list(Product.objects.filter(group_id=here.group.id).order_by("name", "id"))
    used = [each for each in found if each.retired_at is None]
    return show(request, "products", catalogue=used, retired=[each for each in found if each.retired_at])


@page(MAY, "GET", "POST")
def new_product(request: HttpRequest, here: Here) -> HttpResponse:
    """Enter one from its label."""
    form = ProductForm(request.POST if request.method == "POST" else None, here=here)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, "It is in the catalogue. Hold it once more against the label in your hand.")
        return redirect("products")
    return show(request, "product", form=form, status=form.status)


@page(MAY, "GET", "POST")
def edit_product(request: HttpRequest, here: Here, product_id: UUID) -> HttpResponse:
    """Correct one; batches keep what they were mixed with."""
    product = _of(here, product_id)
    form = ProductForm(request.POST if request.method == "POST" else None, here=here, product=product)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, "It is corrected. Batches keep what they were mixed with.")
        return redirect("products")
    return show(request, "product", form=form, product=product, status=form.status)


@page(MAY, "POST")
def act_on_product(request: HttpRequest, here: Here, product_id: UUID, act: str) -> HttpResponse:
    """Take one out of use, or back."""
    product = _of(here, product_id)
    if act not in ACTS:
        raise Http404
    if performed(OfProductForm(request.POST, here=here, product=product, act=act), here) is not None:
        messages.success(request, ACTS[act])
    return redirect("products")


def _of(here: Here, product_id: UUID) -> Product:
    found = Product.objects.filter(group_id=here.group.id, id=product_id).first()
    if found is None:
        raise Http404
    return found
