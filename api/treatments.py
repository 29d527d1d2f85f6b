"""What was mixed, used and worked: batches, leftovers, sessions, applications and work lines. Nothing is deleted."""

from api import filtering
from api.records import GroupRecords
from stewardship.rules.methods import HERBICIDE_METHODS, MANUAL_METHODS
from stewardship.treatments.models import Application, Batch, Contractor, HowKnown, Leftover, Rinse, Session, WorkLine


class FactFilters(filtering.Filters):
    """By work day, by local date and by whether it was voided."""

    work_day = filtering.Id(field_name="work_day_id")
    on_date = filtering.Day()
    from_date = filtering.Day(field_name="on_date", lookup_expr="gte")
    to_date = filtering.Day(field_name="on_date", lookup_expr="lte")
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class BatchFilters(FactFilters):
    """By who mixed it and by whether it is closed too."""

    mixed_by = filtering.Id(field_name="mixed_by_id")
    closed = filtering.Flag(field_name="closed_at", lookup_expr="isnull", exclude=True)


class LeftoverFilters(FactFilters):
    """By batch, by property, by whether it has ended and by whether its contents are known too."""

    batch = filtering.Id(field_name="batch_id")
    property = filtering.Id(field_name="property_id")
    ended = filtering.Flag(field_name="ended_at", lookup_expr="isnull", exclude=True)
    known = filtering.Flag(field_name="batch_id", lookup_expr="isnull", exclude=True)


class RinseFilters(FactFilters):
    """By what was in it and by the batch that the water went into too."""

    batch = filtering.Id(field_name="batch_id")
    into_batch = filtering.Id(field_name="into_batch_id")


class PlaceFilters(FactFilters):
    """By property and unit too."""

    property = filtering.Id(field_name="property_id")
    unit = filtering.Id(field_name="unit_id")


class SessionFilters(PlaceFilters):
    """By applicator, contractor, supervisor and by whether it has ended, was attested, is locked too."""

    applicator = filtering.Id(field_name="applicator_id")
    contractor = filtering.Id(field_name="contractor_id")
    supervisor = filtering.Id(field_name="supervisor_id")
    attested = filtering.Flag(field_name="attested_at", lookup_expr="isnull", exclude=True)
    locked = filtering.Flag(field_name="locked_at", lookup_expr="isnull", exclude=True)
    ended = filtering.Flag(field_name="ended_at", lookup_expr="isnull", exclude=True)


class ApplicationFilters(PlaceFilters):
    """By session, batch, numbered bottle, species, method and how the amount is known too."""

    session = filtering.Id(field_name="session_id")
    batch = filtering.Id(field_name="batch_id")
    container = filtering.Id(field_name="container_id")
    species = filtering.Id(field_name="species_id")
    method = filtering.Choice(words=list(HERBICIDE_METHODS))
    how_known = filtering.Choice(words=HowKnown.values)


class WorkLineFilters(PlaceFilters):
    """By species and method too."""

    species = filtering.Id(field_name="species_id")
    method = filtering.Choice(words=list(MANUAL_METHODS))


class Batches(GroupRecords):
    """Quantities of mix, each made once; each tells what is left of it."""

    at = "batches"
    model = Batch
    filterset_class = BatchFilters


class Leftovers(GroupRecords):
    """What was left in a container, as somebody measured it; without a batch its contents are unknown: do not use."""

    at = "leftovers"
    model = Leftover
    filterset_class = LeftoverFilters


class Contractors(GroupRecords):
    """Businesses that apply for the group, with their licence and insurance."""

    at = "contractors"
    model = Contractor


class Rinses(GroupRecords):
    """That containers were rinsed, and where the water went."""

    at = "rinses"
    model = Rinse
    filterset_class = RinseFilters


class Sessions(GroupRecords):
    """Treatment sessions, each of one applicator or contractor in one unit; one may stand without a work day."""

    at = "sessions"
    model = Session
    filterset_class = SessionFilters


class Applications(GroupRecords):
    """What was used of a batch on one species by one method, with the product, a.i. and a.e. in it."""

    at = "applications"
    model = Application
    filterset_class = ApplicationFilters


class WorkLines(GroupRecords):
    """Work done without herbicide."""

    at = "work-lines"
    model = WorkLine
    filterset_class = WorkLineFilters
