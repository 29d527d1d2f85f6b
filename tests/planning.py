"""A work day as a group plans it, and the people on it: for every test that needs one."""

from typing import Any
from uuid import UUID

from stewardship.workdays.models import WorkDay
from stewardship.workdays.states import ENDED
from tests.cast import Someone

ON = "2027-07-01"
"""A Thursday, in summer time in the zone of the first group (UTC-5)."""

LICENCE = {
    "covers": "herbicide_application",
    "authority": "State Department of Agriculture",
    "number": "QX-4471",
    "issued_on": "2025-07-01",
    "received_on": "2025-07-10",
}


def at(hour: str, on: str = ON) -> str:
    """Return a time of the day as it is sent, such as 9:30, in the summer time of the first group."""
    return f"{on}T{hour:0>5}:00-05:00"


def licence(coordinator: Someone, holder: Someone, expires_on: str, **values: Any) -> UUID:
    """Enter somebody's licence to apply herbicide."""
    told = LICENCE | {"holder": holder.member.id, "expires_on": expires_on} | values
    return coordinator.does("credential", "create", **told).record.id


def task(coordinator: Someone, plan: "Plan", **values: Any) -> UUID:
    """Enter a task that was approved for the plan's property, for the season, with herbicide."""
    told = {
        "property": plan.property,
        "title": "Buckthorn, north side",
        "approved_by": "The land committee",
        "approved_on": "2027-02-01",
        "from_on": "2027-03-01",
        "to_on": "2027-10-31",
        "herbicide": True,
    }
    return coordinator.does("approved_task", "create", **told | values).record.id


class Plan:
    """A property with a unit, and a draft work day with herbicide on it."""

    def __init__(self, coordinator: Someone, **values: Any) -> None:
        """Plan the day; ``values`` replace what is sent for it."""
        self.coordinator = coordinator
        self.property = coordinator.does("property", "create", name="Heron Bend").record.id
        self.unit = coordinator.does("unit", "create", property=self.property, name="North").record.id
        told = {
            "property": self.property,
            "title": "Buckthorn at Heron Bend",
            "on_date": ON,
            "starts_at": at("9:00"),
            "ends_at": at("12:30"),
            "units": [str(self.unit)],
            "herbicide_planned": True,
        }
        self.id = coordinator.does("work_day", "create", **told | values).record.id

    @property
    def day(self) -> WorkDay:
        """Return the day as it stands."""
        return WorkDay.objects.get(id=self.id)

    def does(self, *ops: str, **values: Any) -> WorkDay:
        """Let the coordinator do one thing or several with the day; before they close it they answer for it."""
        for op in ops:
            if op == "close" and self.day.state not in ENDED and self.day.had_incident is None:
                self.answers()
            self.coordinator.does("work_day", op, id=self.id, **values)
        return self.day

    def answers(self, had_incident: bool = False) -> None:
        """Let the coordinator answer whether anything went wrong on the day."""
        self.coordinator.does("work_day", "answer", id=self.id, had_incident=had_incident)

    def leads(self, someone: Someone) -> None:
        """Let the coordinator sign somebody up as leader."""
        self.signs_up(someone, self.duty("leader"))

    def duty(self, name: str = "applicator", wanted: int = 1, **values: Any) -> UUID:
        """Lay out a duty."""
        told = {"work_day": self.id, "name": name, "wanted": wanted} | values
        return self.coordinator.does("duty", "create", **told).record.id

    def takes(self, someone: Someone, duty: UUID) -> UUID:
        """Let somebody sign up."""
        return someone.does("sign_up", "create", work_day=self.id, duty=duty).record.id

    def signs_up(self, someone: Someone, duty: UUID) -> UUID:
        """Let the coordinator sign somebody up."""
        told = {"work_day": self.id, "duty": duty, "member": someone.member.id}
        return self.coordinator.does("sign_up", "create", **told).record.id

    def comes(self, someone: Someone, hour: str = "9:00", **values: Any) -> Any:
        """Let somebody check in."""
        return someone.does("attendance", "create", work_day=self.id, in_at=at(hour), **values).record

    def staffed(self, applicator: Someone, expires_on: str = "2027-12-31") -> "Plan":
        """Open the day with one licensed applicator."""
        licence(self.coordinator, applicator, expires_on)
        self.does("open")
        self.takes(applicator, self.duty())
        return self
