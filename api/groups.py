"""The group itself."""

from uuid import UUID

from django.urls import URLPattern, path

from api.permissions import read_id
from api.records import GroupRecords
from stewardship.accounts.models import Group


class Groups(GroupRecords):
    """The group's name, time zone and the units it shows amounts in."""

    at = "groups"
    model = Group

    @classmethod
    def urls(cls) -> list[URLPattern]:
        """Return its routes: a group is read and amended at its own address."""
        return [
            path("groups/<str:group>", cls._view(get="retrieve", patch="amend"), name="group"),
            path("groups/<str:group>/history", cls._view(get="history"), name="group-history"),
        ]

    def _id(self) -> UUID:
        return read_id(self.kwargs["group"])
