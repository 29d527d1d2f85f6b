"""Where each resource stands under /api/v1/."""

from django.urls import URLPattern

from api.groups import Groups
from api.members import Members
from api.properties import Properties
from api.records import GroupRecords
from api.units import Units

RECORDS: tuple[type[GroupRecords], ...] = (
    Groups,
    Members,
    Properties,
    Units,
)

urlpatterns: list[URLPattern] = [
    *(route for records in RECORDS for route in records.urls()),
]
