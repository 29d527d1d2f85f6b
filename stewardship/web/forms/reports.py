"""A report is asked for."""

from typing import Any
from uuid import UUID

from stewardship.sync.reading import Sent
from stewardship.web.forms.base import ActForm


class AskForm(ActForm):
    """The report of a property and season."""

    def __init__(self, *args: Any, property_id: UUID, season_id: UUID, **kwargs: Any) -> None:
        """Say which property and season it is about."""
        self.property_id, self.season_id = property_id, season_id
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the asking."""
        return [self.sent("season_report", "create", property=self.property_id, season=self.season_id)]
