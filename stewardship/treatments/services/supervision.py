"""How many people a named supervisor looks after in a session, held against the ratio of the rules of the place."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Group
from stewardship.catalog.models import RuleProfile
from stewardship.catalog.profiles.supervision import ratio_in
from stewardship.credentials.judging import standing_of
from stewardship.credentials.models import Credential
from stewardship.credentials.needs import Need
from stewardship.journal.book import Entry
from stewardship.places.jurisdictions import jurisdiction_of
from stewardship.places.models import Property
from stewardship.treatments.models import Session
from stewardship.treatments.services.facts import Marks, mark

TOO_MANY = "too_many_supervised"
JUDGED_BY = ("on_date", "applicator_id", "supervisor_id", "helpers")
"""What it rests on how many people are supervised."""


def ratio_marks(entry: Entry, values: Mapping[str, Any], place: Property, need: Need, on: date) -> Marks:
    """Return what to mark where more people than a rule of the place states worked under one supervisor."""
    if not values["supervisor_id"]:
        return []
    entry.load(Group, [entry.group_id], lock=False)
    group = entry.get(Group, entry.group_id)
    ratio = ratio_in(entry.all_of(RuleProfile), jurisdiction_of(place, group), on)
    count = len(supervised(entry, values, need, on)) if ratio else 0
    if ratio is None or count <= ratio.most:
        return []
    detail = (
        f"{count} people without a credential that counted worked under one supervisor. {ratio.name} states at most "
        f"{ratio.most}."
    )
    return [mark(TOO_MANY, detail, "helpers", ratio.source)]


def supervised(entry: Entry, values: Mapping[str, Any], need: Need, on: date) -> list[UUID]:
    """Return who of a session's applicator and helpers had no credential of their own that counted."""
    people = [values["applicator_id"], *map(UUID, values["helpers"] or ())]
    return [id for id in people if id and not standing_of(entry, id, need, on).counts]


def credentials_of_sessions(entry: Entry, wishes: list[Any]) -> None:
    """Read the credentials of everybody involved in these sessions, before and after."""
    people: set[UUID] = set()
    for wish in wishes:
        session = entry.find(Session, wish.id) if wish.id else None
        people |= set(wish.helpers or ())
        if session:
            people |= {id for id in (session.applicator_id, session.supervisor_id) if id}
            people |= {UUID(id) for id in session.helpers or ()}
    entry.load_lists(Credential, "holder_id", people)
