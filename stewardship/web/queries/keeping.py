"""What is kept of a work day beside the work, for its page: what is open, who has not signed, what compares how."""

from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from stewardship.accounts.models import EmergencyContact, Member
from stewardship.catalog.models import Limit
from stewardship.closeout.queries import what_is_open
from stewardship.treatments.day_weather import Compared, compared
from stewardship.treatments.models import PlannedMix
from stewardship.web.access import Here
from stewardship.workdays.clocks import Running, clocks_of, practices_of, running
from stewardship.workdays.due import is_overdue, signs_overdue
from stewardship.workdays.models import (
    Attendance,
    Briefing,
    BriefingSignature,
    DutyName,
    EmergencySheet,
    Incident,
    IncidentDetails,
    Posting,
    Practice,
    PracticeKind,
    SignUp,
    WeatherReading,
    WorkDay,
)
from stewardship.workdays.reasons import Reason

MOST_INCIDENTS = 20
"""Incidents on the home of who reads for the board."""
BY_DEFAULT = (("foliar", "ester"), ("foliar", "amine"), ("basal_bark", "ester"), ("cut_stump", "amine"))
"""Ways of working that a reading is compared for where no mix is planned."""


@dataclass(frozen=True)
class BriefingShown:
    """A briefing with what was spoken of and who signed it."""

    briefing: Briefing
    topics: list[str]
    signatures: list[BriefingSignature]
    unsigned: list[Member]
    is_mine_to_sign: bool


@dataclass(frozen=True)
class SignShown:
    """A sign, and whether it should have come down."""

    posting: Posting
    is_overdue: bool


@dataclass(frozen=True)
class IncidentShown:
    """An incident with its clocks, and who was hurt for whoever may read that."""

    incident: Incident
    clocks: list[Running]
    details: list[IncidentDetails]


@dataclass(frozen=True)
class Kept:
    """Everything that is kept of a day beside the work."""

    briefings: list[BriefingShown]
    readings: list[WeatherReading]
    compared: list[Compared]
    signs: list[SignShown]
    incidents: list[IncidentShown]
    to_settle: list[Attendance]
    to_admit: list[Attendance]
    sheet: EmergencySheet | None
    leads: bool

    @property
    def is_over_a_limit(self) -> bool:
        """Tell whether anything that was read lies over a stored limit."""
        return any(each.findings for each in self.compared)


def leads(here: Here, day: WorkDay) -> bool:
    """Tell whether the person manages work days, is named as leader of this one, or signed up as its leader."""
    if here.may.get("manage_work_days") or day.leader_id == here.member.id:
        return True
    mine = SignUp.objects.filter(
        group_id=day.group_id, work_day=day, member=here.member, withdrawn_at=None, is_waiting=False
    )
    return mine.filter(duty__name=DutyName.LEADER).exists()


def open_reasons(here: Here, day: WorkDay) -> list[Reason]:
    """Return what keeps a day from being closed."""
    return what_is_open(here.actor, day, here.at)


def kept_of(here: Here, day: WorkDay) -> Kept:
    """Return what is kept of a day; the same statements whatever that is."""
    in_day: dict[str, Any] = {"group_id": day.group_id, "work_day": day, "voided_at": None}
    came = list(Attendance.objects.filter(**in_day).select_related("member", "settled_by", "admitted_by"))
    practices = practices_of(day.group_id)
    readings = list(WeatherReading.objects.filter(**in_day).order_by("read_at", "id"))
    return Kept(
        briefings=_briefings(here, in_day, came, practices),
        readings=readings,
        compared=_compared(day, readings),
        signs=_signs(here, Posting.objects.filter(**in_day)),
        incidents=_incidents(here, Incident.objects.filter(**in_day)),
        to_settle=[each for each in came if each.out_at is None],
        to_admit=[each for each in came if not each.admitted_words and _lacks_waiver(each)],
        sheet=EmergencySheet.objects.filter(group_id=day.group_id, property_id=day.property_id).first(),
        leads=leads(here, day),
    )


def numbers_of(here: Here) -> list[Practice]:
    """Return the numbers to call that the group goes by."""
    return [each for each in practices_of(here.group.id) if each.what == PracticeKind.NUMBER and each.is_followed]


@dataclass(frozen=True)
class OnRoster:
    """Somebody who is signed up or came, and whom to call if something happens to them."""

    member: Member
    duties: list[str]
    attendance: Attendance | None
    contacts: list[EmergencyContact]


def roster_of(here: Here, day: WorkDay) -> list[OnRoster]:
    """Return who is signed up for a day or came, by name, each with whom to call; three statements."""
    in_day: dict[str, Any] = {"group_id": day.group_id, "work_day": day}
    signed = SignUp.objects.filter(**in_day, withdrawn_at=None).select_related("member", "duty")
    came = Attendance.objects.filter(**in_day, voided_at=None).select_related("member").order_by("in_at", "id")
    people: dict[Any, Member] = {}
    duties: dict[Any, list[str]] = {}
    last: dict[Any, Attendance] = {}
    for sign_up in signed:
        people[sign_up.member_id] = sign_up.member
        duties.setdefault(sign_up.member_id, []).append(str(sign_up.duty))
    for attendance in came:
        people[attendance.member_id] = attendance.member
        last[attendance.member_id] = attendance
    contacts: dict[Any, list[EmergencyContact]] = {}
    found = EmergencyContact.objects.filter(group_id=day.group_id, member_id__in=list(people), removed_at=None)
    for contact in found.order_by("place", "id"):
        contacts.setdefault(contact.member_id, []).append(contact)
    ordered = sorted(people.values(), key=lambda member: (member.display_name, str(member.id)))
    return [OnRoster(m, duties.get(m.id, []), last.get(m.id), contacts.get(m.id, [])) for m in ordered]


def overdue(here: Here) -> tuple[list[Posting], list[IncidentShown]]:
    """Return the signs that should have come down, and the incidents that nobody has answered; three statements."""
    found = Incident.objects.filter(group_id=here.group.id, voided_at=None, answered_at=None)
    clocks = running(here.group, here.at)
    incidents = [
        IncidentShown(each, [clock for clock in clocks if clock.incident.id == each.id], [])
        for each in found.select_related("property").order_by("happened_at", "id")
    ]
    return signs_overdue(here.group.id, here.at), incidents


def incidents_told(here: Here) -> list[IncidentShown]:
    """Return the latest incidents, answered or not, with their clocks; two statements."""
    found = Incident.objects.filter(group_id=here.group.id, voided_at=None).select_related("property")
    latest = list(found.order_by("-happened_at", "id")[:MOST_INCIDENTS])
    clocks = list(clocks_of(here.group, latest, practices_of(here.group.id), here.at))
    return [IncidentShown(each, [clock for clock in clocks if clock.incident.id == each.id], []) for each in latest]


def _briefings(
    here: Here, in_day: dict[str, Any], came: list[Attendance], practices: list[Practice]
) -> list[BriefingShown]:
    titles = {str(each.id): each.title for each in practices}
    signed: dict[Any, list[BriefingSignature]] = {}
    for each in BriefingSignature.objects.filter(**in_day).select_related("member").order_by("signed_at", "id"):
        signed.setdefault(each.briefing_id, []).append(each)
    people = {each.member_id: each.member for each in came}
    everywhere = {each.member_id for signatures in signed.values() for each in signatures}
    unsigned = [member for id, member in people.items() if id not in everywhere]
    return [
        BriefingShown(
            briefing=briefing,
            topics=[titles[id] for id in briefing.topics if id in titles],
            signatures=signed.get(briefing.id, []),
            unsigned=sorted(unsigned, key=lambda member: member.display_name),
            is_mine_to_sign=here.member.id not in everywhere,
        )
        for briefing in Briefing.objects.filter(**in_day).select_related("led_by").order_by("held_at", "id")
    ]


def _compared(day: WorkDay, readings: list[WeatherReading]) -> list[Compared]:
    if not readings:
        return []
    mixes = PlannedMix.objects.filter(group_id=day.group_id, work_day=day)
    methods = sorted(set(mixes.values_list("method", flat=True)))
    ways = [(method, formulation) for method in methods for formulation in ("ester", "amine")] or BY_DEFAULT
    limits = Limit.objects.filter(group_id=day.group_id, retired_at=None).order_by("id")
    return list(compared(limits, readings, ways))


def _signs(here: Here, postings: QuerySet[Posting]) -> list[SignShown]:
    rows = postings.select_related("put_up_by", "taken_down_by").order_by("put_up_at", "id")
    return [SignShown(each, is_overdue(each, here.at)) for each in rows]


def _incidents(here: Here, incidents: QuerySet[Incident]) -> list[IncidentShown]:
    found = list(incidents.order_by("happened_at", "id"))
    clocks = running(here.group, here.at)
    may_read = IncidentDetails.objects.filter(IncidentDetails.visible_to(here.actor), group_id=here.group.id)
    details = list(may_read.filter(incident__in=found).order_by("id"))
    return [
        IncidentShown(
            incident=each,
            clocks=[clock for clock in clocks if clock.incident.id == each.id],
            details=[one for one in details if one.incident_id == each.id],
        )
        for each in found
    ]


def _lacks_waiver(attendance: Attendance) -> bool:
    return any(mark["code"] == "waiver_missing" for mark in attendance.marks)
