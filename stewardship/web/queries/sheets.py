"""What a day sheet rests on: the day's batches, lettered in the order they were mixed, and its units."""

from string import ascii_uppercase

from stewardship.places.models import Unit
from stewardship.treatments.models import Batch
from stewardship.workdays.models import WorkDay


def batches_of_day(day: WorkDay) -> list[tuple[str, Batch]]:
    """Return the batches mixed on a work day, each with its letter: A was mixed first, the 27th is A2."""
    found = Batch.objects.filter(group_id=day.group_id, work_day=day, voided_at=None).select_related("mixed_by")
    return [(_letter(n), batch) for n, batch in enumerate(found.order_by("mixed_at", "id"))]


def _letter(n: int) -> str:
    round_no, place = divmod(n, len(ascii_uppercase))
    return ascii_uppercase[place] + (str(round_no + 1) if round_no else "")


def units_of_day(day: WorkDay) -> list[Unit]:
    """Return the units that a day is planned for; where none is chosen, all of its property."""
    units = Unit.objects.filter(group_id=day.group_id, property_id=day.property_id).order_by("name", "id")
    return list(units.filter(id__in=day.units) if day.units else units)
