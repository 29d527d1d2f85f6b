"""What may be sent about incidents."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.journal.contents import instant
from stewardship.journal.fields import Amend, Closed, Moment, New, Ref, Target, Text
from stewardship.places.models import Property
from stewardship.workdays.models import Incident, WorkDay

IncidentKinds = Literal["spill", "exposure", "injury", "drift", "other"]
Told = Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]
Line = Annotated[str, Meta(min_length=1, max_length=200, pattern=r"\S")]


class Notified(Closed, frozen=True):
    """Somebody who was told of it: an authority, a landowner, a poison centre."""

    whom: Line
    at: Moment
    how: Line

    def told(self) -> dict[str, str]:
        """Return it as it is kept."""
        return {"whom": self.whom, "at": instant(self.at), "how": self.how}


class NewIncident(New, frozen=True):
    """What went wrong. Who was hurt stands in a record of its own, which the coordinators read."""

    property: Annotated[UUID, Ref(Property)]
    what: IncidentKinds
    happened_at: Moment
    words: Told
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    first_action: Text = ""
    notified: Annotated[list[Notified], Meta(max_length=50)] = []


class AmendIncident(Amend, frozen=True):
    """A correction of what was told of an incident."""

    what: IncidentKinds | UnsetType = UNSET
    words: Told | UnsetType = UNSET
    first_action: Text | UnsetType = UNSET


class NotifyOfIncident(Target, kw_only=True, frozen=True):
    """Somebody was told of an incident."""

    whom: Line
    told_at: Moment
    how: Line


class AnswerIncident(Target, kw_only=True, frozen=True):
    """What came of an incident: nothing more is to be done about it."""

    answered_at: Moment
    answer: Told


class NewIncidentDetails(New, frozen=True):
    """Who was hurt or exposed, and what was done for them."""

    incident: Annotated[UUID, Ref(Incident)]
    who: Told
    health: Text = ""


class AmendIncidentDetails(Amend, frozen=True):
    """A correction of who was hurt."""

    who: Told | UnsetType = UNSET
    health: Text | UnsetType = UNSET
