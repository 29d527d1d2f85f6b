"""A contractor: a party from outside that applies herbicide for the group."""

from django.db import models

from stewardship.journal.models import Record


class Contractor(Record):
    """A business that applies for the group. What stands here is business data: the whole group reads it."""

    kind = "contractor"

    name = models.CharField(max_length=200)
    licence_number = models.CharField("of the business or its applicator", max_length=100, blank=True)
    licence_state = models.CharField("ISO 3166 code of where it is licensed", max_length=6, blank=True)
    licence_valid_to = models.DateField("last day; none: not known", null=True)
    insurance_number = models.CharField(max_length=100, blank=True)
    insurance_valid_to = models.DateField("last day; none: not known", null=True)
    contact = models.TextField("of the business; nobody's private number", blank=True)
    note = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name
