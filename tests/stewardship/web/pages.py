"""A group at work, as its pages show it: a browser for each person, and what a form of a page sends."""

import re
from html import unescape
from typing import Any
from uuid import UUID

from django.test import Client

from stewardship.journal.ids import new_id
from tests.cast import Cast, Someone
from tests.ground import Ground, lay_out
from tests.planning import at, licence

ON = "2027-05-01"
"""The date of the tests' clock."""

SOON = "2027-05-15"

NOBODY = "00000000-0000-4000-8000-000000000000"
"""The id of nothing."""


class Pages:
    """The cast with their browsers, on ground that is laid out, with a season and a work day."""

    def __init__(self, cast: Cast) -> None:
        """Lay out ground, a season and an open work day with herbicide and two duties."""
        self.cast, self.coordinator = cast, cast.coordinator
        self.ground: Ground = lay_out(cast.coordinator)
        does = cast.coordinator.does
        self.season = does(
            "season", "create", name="Growing 2027", first_on="2027-04-01", last_on="2027-10-31"
        ).record.id
        self.day = self.plans()
        self.applicator = self.duty("applicator")
        self.cutter = self.duty("cutter")
        does("work_day", "open", id=self.day)

    def plans(self, on: str = SOON, **values: Any) -> UUID:
        """Plan a work day as a draft."""
        told = {
            "property": self.ground.property,
            "title": "Buckthorn at the bend",
            "on_date": on,
            "starts_at": at("9:00", on),
            "ends_at": at("12:30", on),
            "units": [str(self.ground.unit)],
            "herbicide_planned": True,
            "meeting_point": "At the ford",
        }
        return self.coordinator.does("work_day", "create", **told | values).record.id

    def duty(self, name: str, day: UUID | None = None, wanted: int = 1) -> UUID:
        """Lay out a duty."""
        told = {"work_day": day or self.day, "name": name, "wanted": wanted}
        return self.coordinator.does("duty", "create", **told).record.id

    def licensed(self, who: Someone, until: str = "2027-12-31") -> UUID:
        """Give somebody a herbicide credential."""
        return licence(self.coordinator, who, until)


def body(response: Any) -> str:
    """Return the words of a page, without its marks and with single spaces."""
    text = re.sub(r"<(script|style)\b.*?</\1>|<[^>]+>", " ", response.content.decode(), flags=re.DOTALL)
    return " ".join(unescape(text).split()).replace(" ,", ",").replace(" .", ".").replace(" :", ":")


def address(pages: Pages, act: str = "") -> str:
    """Return where the screen of the work day stands, or an act on it."""
    return f"/work-days/{pages.day}/{act}"


def send(client: Client, address: str, *, mid: UUID | None = None, **values: Any) -> Any:
    """Send a form of a page; ``mid`` as the page gave it, else a new one."""
    told = {name: value for name, value in values.items() if value is not None}
    return client.post(address, {"mid": str(mid or new_id())} | told)


def use_of(pages: Pages, batch: UUID, **changes: Any) -> dict[str, Any]:
    """Return what the form for use sends: 10 fl oz of a batch, by basal bark."""
    told = {
        "batch": batch,
        "unit": pages.ground.unit,
        "applicator": pages.cast.volunteer.member.id,
        "on_date": ON,
        "started": "09:40",
        "ended": "10:00",
        "work_day": "",
        "note": "",
        "line0-species": pages.ground.species,
        "line0-method": "basal_bark",
        "line0-amount": "10",
        "line0-amount_unit": "fl_oz",
        "line0-how_known": "read_off_container",
        "line0-stems": "12",
        "line0-follow_up": "no",
        "line1-amount": "",
        "line1-amount_unit": "fl_oz",
    }
    return told | changes


def mix_of(pages: Pages, **changes: Any) -> dict[str, Any]:
    """Return what is asked of the planner: 64 fl oz at 20 % by volume."""
    told = {
        "make": "64",
        "make_unit": "fl_oz",
        "product": pages.ground.product,
        "strength": "20",
        "basis": "product_v_v",
    }
    return told | changes
