"""The group itself: its name, by whose rules its records are judged, its clock and units."""

from typing import Any

from stewardship.places.proposed import UNITS
from stewardship.sync.reading import Sent
from stewardship.web import words
from stewardship.web.forms import base
from stewardship.web.forms.beginning import ClockForm, in_reading_order
from stewardship.web.queries.beginning import states


class GroupForm(ClockForm):
    """What the first steps asked of the group, to be changed later."""

    name = base.text("Name of the group", required=True, max_length=200)
    jurisdiction = base.choice(
        "State", required=False, help_text="By its rules every record is judged, those of before as well."
    )
    field_order = ("mid", "name", "jurisdiction", "time_zone", "units")

    def fill(self) -> None:
        """Offer the states whose rules are on record, and show what the group has now."""
        super().fill()
        group = self.here.group
        codes = {*states(self.here), group.jurisdiction} - {""}
        known = sorted(((code, words.jurisdiction(code)) for code in codes), key=in_reading_order)
        self.fields["jurisdiction"].choices = [("", "none"), *known]
        self.initial |= {"name": group.name, "jurisdiction": group.jurisdiction}

    def sends(self) -> list[Sent]:
        """Return the settings of the group."""
        told = self.cleaned_data
        plain: dict[str, Any] = {name: told[name] for name in ("name", "jurisdiction", "time_zone")}
        return [self.sent("group", "amend", id=self.here.group.id, **plain | UNITS[told["units"]])]
