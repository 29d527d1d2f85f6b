"""A unit: what it got year by year, and how that lies to the stored ceilings."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse

from stewardship.catalog.models import Product
from stewardship.places.models import SensitiveArea, Unit
from stewardship.treatments.queries.area_years import area_years
from stewardship.web.access import Here, page, show


@page("read")
def unit(request: HttpRequest, here: Here, unit_id: UUID) -> HttpResponse:
    """Show a unit's area-year ledger."""
    found = Unit.objects.filter(group_id=here.group.id, id=unit_id).select_related("property").first()
    if found is None:
        raise Http404
    years = area_years(found)
    used = {each["product"] for year in years for cell in year["used"] for each in cell["products"]}
    products = list(Product.objects.filter(group_id=here.group.id, id__in=used).order_by("name", "id"))
    areas = SensitiveArea.objects.filter(group_id=here.group.id, property_id=found.property_id, retired_at=None)
    shown = {"unit": found, "years": years, "products": products, "areas": areas.order_by("name", "id")}
    return show(request, "unit", **shown)
