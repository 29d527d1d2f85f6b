"""What was held and waits for a person: its author sees it, coordinators settle it."""

from api import filtering
from api.records import GroupRecords
from stewardship.sync.models import State, ToSettle


class ToSettleFilters(filtering.Filters):
    """By state, author, and what was to be done to which record."""

    state = filtering.Choice(words=State.values)
    author = filtering.Id(field_name="author_id")
    type = filtering.Text()
    target = filtering.Id()


class EntriesToSettle(GroupRecords):
    """Entries of devices that were held or met a conflict, with all that was sent and what became of them."""

    at = "to-settle"
    model = ToSettle
    filterset_class = ToSettleFilters
