"""What the records of a page are judged with: read at once, with the same statements however many they are."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any
from uuid import UUID

import orjson
from django.db.models import Q, Sum

from stewardship.accounts.models import Group, Member
from stewardship.catalog.models import Product, RuleProfile, Species
from stewardship.catalog.profiles.rows import profile_of
from stewardship.journal.models import Revision
from stewardship.rules.profiles import Profile
from stewardship.treatments.models import Application, Contractor, ProductUse, Session, StockMovement

Content = Mapping[str, Any]
JUDGED = ("session", "batch", "property", "unit", "species", "session__contractor")
"""What a line is read with before it is judged."""


@dataclass(frozen=True)
class Told:
    """What a line, its session and its batch said at one moment; ``at`` is when it was written, None: now."""

    line: Content
    session: Content
    batch: Content
    at: datetime | None = None


@dataclass(frozen=True)
class Shelf:
    """What stands ready for judging some lines of one group."""

    group: Group
    lines: list[Application]

    # -- the group's own -------------------------------------------------------------------------

    @cached_property
    def profiles(self) -> list[Profile]:
        """Return the group's rule profiles that are in use."""
        rows = RuleProfile.objects.filter(group_id=self.group.id, retired_at=None).order_by("jurisdiction", "id")
        return [profile_of(row) for row in rows]

    @cached_property
    def products(self) -> dict[str, Product]:
        """Return the products of the lines."""
        ids = {product["product"] for line in self.lines for product in line.products}
        return {str(p.id): p for p in Product.objects.filter(group_id=self.group.id, id__in=ids)}

    # -- what was written, and when ----------------------------------------------------------------

    @cached_property
    def history(self) -> dict[UUID, list[tuple[int, datetime, Content]]]:
        """Return for each line, session and batch its states, oldest first: number in the book, moment, content."""
        ids = {id for line in self.lines for id in (line.id, line.session_id, line.batch_id)}
        found = Revision.objects.filter(group_id=self.group.id, record_id__in=ids, content__isnull=False)
        states: dict[UUID, list[tuple[int, datetime, Content]]] = {id: [] for id in ids}
        for seq, id, at, content in found.order_by("seq").values_list("seq", "record_id", "at", "content"):
            states[id].append((seq, at, orjson.loads(content)))
        return states

    def now(self, line: Application) -> Told:
        """Return what a line's record says."""
        return Told(line.content(), line.session.content(), line.batch.content())

    def states(self, line: Application) -> list[Told]:
        """Return everything that a line's record said one after another, each as it stood once its moment was over."""
        steps = sorted(
            (seq, at, place, content)
            for place, id in enumerate((line.id, line.session_id, line.batch_id))
            for seq, at, content in self.history[id]
        )
        said: dict[int, Content] = {}
        found: dict[datetime, Told] = {}
        for _, at, place, content in steps:
            said[place] = content
            if len(said) == len(("line", "session", "batch")):
                found[at] = Told(said[0], said[1], said[2], at)
        return list(found.values())

    # -- people ------------------------------------------------------------------------------------

    @cached_property
    def _named(self) -> set[str]:
        """Return the ids of all members that any state of the records names."""
        sessions = [content for line in self.lines for _, _, content in self.history[line.session_id]]
        batches = [content for line in self.lines for _, _, content in self.history[line.batch_id]]
        keys = ("applicator", "supervisor", "attested_by", "countersigned_by")
        found = {content[key] for content in sessions for key in keys if content.get(key)}
        found |= {helper for content in sessions for helper in content.get("helpers") or ()}
        return found | {content["mixed_by"] for content in batches if content.get("mixed_by")}

    @cached_property
    def members(self) -> dict[str, Member]:
        """Return the members that the records name, and who entered them, by membership and by person."""
        people = {line.entered_by_id for line in self.lines}
        wanted = Q(id__in=self._named) | Q(person_id__in=people)
        found = list(Member.objects.filter(wanted, group_id=self.group.id))
        return {str(m.person_id): m for m in found} | {str(m.id): m for m in found}

    @cached_property
    def contractors(self) -> dict[str, Contractor]:
        """Return the contractors of the lines."""
        parties = [line.session.contractor for line in self.lines if line.session.contractor]
        return {str(party.id): party for party in parties}

    @cached_property
    def species(self) -> dict[str, Species]:
        """Return the species of the lines."""
        return {str(line.species_id): line.species for line in self.lines}

    @cached_property
    def _supervised(self) -> list[Session]:
        supervisors = {line.session.supervisor_id for line in self.lines if line.session.supervisor_id}
        days = {line.on_date for line in self.lines}
        wanted = {"group_id": self.group.id, "voided_at": None, "on_date__in": days, "supervisor_id__in": supervisors}
        return list(Session.objects.filter(**wanted))

    def supervised_at_once(self, session: Session) -> int:
        """Return how many unlicensed people the supervisor of a session had to look after while it went on."""
        beside = [s for s in self._supervised if s.supervisor_id == session.supervisor_id and _overlap(s, session)]
        return len({s.applicator_id for s in beside if any(mark["field"] == "applicator" for mark in s.marks)})

    # -- amounts -----------------------------------------------------------------------------------

    @cached_property
    def _day_areas(self) -> dict[tuple[UUID, date, UUID], int]:
        """Return for property, day and product the area treated [mm²] where it is told."""
        days, places = {line.on_date for line in self.lines}, {line.property_id for line in self.lines}
        lines = {"application__property__in": places, "application__on_date__in": days, "application__voided_at": None}
        keys = ("application__property_id", "application__on_date", "product_id")
        uses = ProductUse.objects.filter(group_id=self.group.id, **lines)
        sums = uses.values_list(*keys).annotate(mm2=Sum("application__area_mm2")).order_by()
        return {(place, on, product): mm2 or 0 for place, on, product, mm2 in sums}

    def area_of_day(self, line: Application, product: Product, own_mm2: int | None) -> int | None:
        """Return the area [mm²] that a product treated on a property that day; None where the line tells none.

        ``own_mm2``: what the line tells, or told; what others do not tell cannot be counted.
        """
        if own_mm2 is None:
            return None
        whole = self._day_areas.get((line.property_id, line.on_date, product.id), 0)
        return whole - (0 if line.voided_at else line.area_mm2 or 0) + own_mm2

    @cached_property
    def disposals(self) -> dict[UUID, list[str]]:
        """Return for each batch what was disposed of it, in words: how much, how; a leftover ends so by a movement."""
        batches = {line.batch_id for line in self.lines}
        told: dict[UUID, list[str]] = {}
        group = {"group_id": self.group.id, "voided_at": None, "batch_id__in": batches}
        for moved in StockMovement.objects.filter(what="disposal", **group).order_by("id"):
            how = f"{moved.volume_value} {moved.volume_unit}, {moved.manner}" if moved.manner else ""
            told.setdefault(moved.batch_id, []).append(how)
        return told


def shelf_of(group: Group, lines: Iterable[Application]) -> Shelf:
    """Return what these lines are judged with; they were read with JUDGED."""
    return Shelf(group, list(lines))


def _overlap(one: Session, other: Session) -> bool:
    """Tell whether two sessions went on at one time; one without an end goes on."""
    return (other.ended_at is None or one.started_at <= other.ended_at) and (
        one.ended_at is None or other.started_at <= one.ended_at
    )
