"""The numbered bottles that people carry: out with so much, back with so much, and split over lines."""

from api import filtering
from api.records import GroupRecords
from api.treatments import FactFilters
from stewardship.treatments.models import Container


class ContainerFilters(FactFilters):
    """By batch, holder, what is painted on the bottle and whether it is back too."""

    batch = filtering.Id(field_name="batch_id")
    holder = filtering.Id(field_name="holder_id")
    number = filtering.Text()
    back = filtering.Flag(field_name="back_at", lookup_expr="isnull", exclude=True)


class Containers(GroupRecords):
    """Outings of numbered bottles; used is what was filled less what came back, and lines draw it from the batch."""

    at = "containers"
    model = Container
    filterset_class = ContainerFilters
