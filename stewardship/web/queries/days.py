"""Everything about one work day, for one screen; and the list of days."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product, Species
from stewardship.places.models import Unit
from stewardship.rules.dates import local_date
from stewardship.treatments.models import Application, Batch, Session, WorkLine
from stewardship.web.access import Here
from stewardship.web.queries.shelves import shelf
from stewardship.workdays.models import ApprovedTask, Attendance, SignUp, WorkDay
from stewardship.workdays.queries import RosterLine, roster
from stewardship.workdays.readiness import lacking
from stewardship.workdays.reasons import Reason
from stewardship.workdays.services.sign_ups import LEADERS
from stewardship.workdays.services.waiting import PLACES_ARE_GIVEN
from stewardship.workdays.states import ENDED, MOVES


@dataclass(frozen=True)
class DayShown:
    """A work day with its units, roster, who came, and what was mixed, used and worked on it."""

    day: WorkDay
    units: list[Unit]
    roster: list[RosterLine]
    attendances: list[Attendance]
    batches: list[Batch]
    open_sessions: list[Session]
    lines: list[Application]
    work_lines: list[WorkLine]
    products: list[Product]
    species: list[Species]
    mine: SignUp | None
    member_id: UUID
    at: datetime
    may_plan: bool
    leader: Member | None
    task: ApprovedTask | None
    worked_on: list[Species]
    lacks: list[Reason]
    """What a day that is open or confirmed lacks, for who manages work days."""

    @property
    def is_full(self) -> bool:
        """Tell whether the day has as many people as it takes over all duties."""
        count = sum(len(line.people) for line in self.roster)
        return self.day.capacity is not None and count >= self.day.capacity

    @property
    def leads(self) -> bool:
        """Tell whether one signs others up: a coordinator at any time, who leads the day on its date."""
        if self.may_plan or local_date(self.at, self.day.zone()) != self.day.on_date:
            return self.may_plan
        leading = [line for line in self.roster if line.duty.name in LEADERS]
        names = {person.member.id for line in leading for person in line.people} | {self.day.leader_id}
        return self.member_id in names

    @property
    def sign_up_closed(self) -> bool:
        """Tell whether the time to sign up is over."""
        return self.day.sign_up_closes_at is not None and self.at > self.day.sign_up_closes_at

    @property
    def my_turn(self) -> int:
        """Return one's own place on the waiting list of one's duty; 0 for who does not wait."""
        waiting = [line.waiting for line in self.roster if self.mine and line.duty.id == self.mine.duty_id]
        turns = [turn for turn, p in enumerate(waiting[0] if waiting else (), 1) if p.member.id == self.member_id]
        return turns[0] if turns else 0

    @property
    def acts(self) -> set[str]:
        """Return what the state admits: the moves, without the one that only a check-in makes."""
        return {act for act, move in MOVES.items() if self.day.state in move.sources} - {"begin"}

    @property
    def has_ended(self) -> bool:
        """Tell whether nothing about the day changes any more."""
        return self.day.state in ENDED

    @property
    def my_attendance(self) -> Attendance | None:
        """Return one's own check-in that waits for a check-out."""
        return next((a for a in self.attendances if a.out_at is None and a.member_id == self.member_id), None)


def day_shown(here: Here, day: WorkDay) -> DayShown:
    """Return a work day as the member may see it: what credentials are worth only for who manages them."""
    in_group = {"group_id": here.group.id, "work_day": day}
    attendances = (
        Attendance.objects.filter(**in_group, voided_at=None)
        .select_related("member", "settled_by")
        .order_by("in_at", "id")
    )
    batches = list(
        Batch.objects.filter(**in_group, voided_at=None).select_related("mixed_by").order_by("mixed_at", "id")
    )
    sessions = Session.objects.filter(**in_group, voided_at=None, ended_at=None)
    open_sessions = sessions.select_related("applicator", "contractor", "unit").order_by("started_at", "id")
    lines = list(lines_of(here).filter(work_day=day))
    worked = WorkLine.objects.filter(**in_group, voided_at=None).select_related("unit", "species").order_by("id")
    work_lines = list(worked)
    parts = {UUID(part["product"]) for batch in batches for part in batch.parts}
    people = roster(day, with_standing=here.actor.may("manage_credentials"))
    return DayShown(
        day=day,
        units=list(Unit.objects.filter(group_id=here.group.id, id__in=day.units).order_by("name")),
        roster=people,
        attendances=list(attendances),
        batches=batches,
        open_sessions=list(open_sessions),
        lines=lines,
        work_lines=work_lines,
        products=list(Product.objects.filter(group_id=here.group.id, id__in=parts).order_by("name")),
        species=list({line.species.id: line.species for line in (*lines, *work_lines)}.values()),
        mine=next(
            (p.sign_up for line in people for p in (*line.people, *line.waiting) if p.member.id == here.member.id), None
        ),
        member_id=here.member.id,
        at=here.at,
        may_plan=here.actor.may("manage_work_days"),
        leader=day.leader,
        task=day.task,
        worked_on=list(Species.objects.filter(group_id=here.group.id, id__in=day.species).order_by("common_name")),
        lacks=lacks_of(here, day),
    )


def lacks_of(here: Here, day: WorkDay) -> list[Reason]:
    """Return what a day lacks before it can be confirmed, or by now; only for who may see all credentials."""
    if day.state not in PLACES_ARE_GIVEN or not here.actor.may("manage_credentials"):
        return []
    return lacking(shelf(here, [day]), day)


def lines_of(here: Here) -> QuerySet[Application]:
    """Return the applications of the group that count, each with what a list of them tells; oldest first."""
    lines = Application.objects.filter(group_id=here.group.id, voided_at=None)
    told = (
        "unit", "property", "species", "batch", "container", "session", "session__applicator", "session__contractor"
    )  # fmt: skip
    return lines.select_related(*told).order_by("on_date", "session__started_at", "id")


def days_listed(here: Here) -> QuerySet[WorkDay]:
    """Return the group's work days with their property and how many people signed up, latest first."""
    standing = Q(sign_ups__withdrawn_at=None, sign_ups__is_waiting=False, sign_ups__isnull=False)
    days = WorkDay.objects.filter(group_id=here.group.id).select_related("property")
    return days.annotate(people=Count("sign_ups", filter=standing)).order_by("-on_date", "-id")


def present_members(here: Here) -> QuerySet[Member]:
    """Return who is in the group, by name."""
    return Member.objects.present().filter(group_id=here.group.id).order_by("display_name", "id")
