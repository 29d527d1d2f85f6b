"""A numbered bottle is taken out, brought back, corrected, voided; its lines are counted against what it gave."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from msgspec import UNSET

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns, no_quantity
from stewardship.places.zones import group_zone
from stewardship.rules.dates import local_date
from stewardship.rules.decimals import exact
from stewardship.rules.figures import exact_text
from stewardship.rules.units import Dimension, to_base, told
from stewardship.treatments import fields
from stewardship.treatments.fields.containers import TAPS, Back
from stewardship.treatments.models import Batch, Container
from stewardship.treatments.services import facts, numbers
from stewardship.workdays.models import WorkDay

ROUNDED = 1
"""Each amount was rounded to a nanolitre when it was entered: by so much two of them may differ [nL]."""

AMOUNTS = ("filled_nl", "back_nl")


class MoreCameBack(RuleViolation):
    """A bottle brings back no more than it took."""

    code = "more_came_back"
    message = "{back} came back in bottle {number}, and only {filled} went out in it. Read it again."
    where = "back"


class BackBeforeOut(RuleViolation):
    """Time runs forward."""

    code = "back_before_out"
    message = "The bottle came back before it went out. Check both times and their dates."
    where = "back_at"


class ContainerBack(RuleViolation):
    """A bottle comes back once."""

    code = "container_back"
    message = "Bottle {number} came back already. Correct that entry if it is wrong."
    where = "back"


class ContainerNotBack(RuleViolation):
    """What was used of a bottle is known once it is back."""

    code = "container_not_back"
    message = "Bottle {number} has not come back yet. Enter what came back in it first."


class ContainerShared(RuleViolation):
    """What was used of a bottle goes into lines once."""

    code = "container_shared"
    message = "Of what was used of bottle {number}, {left} stands in no line yet. Void the lines of it first."


class ContainerInUse(RuleViolation):
    """Lines rest on what was used of their bottle."""

    code = "container_in_use"
    message = "What was used of bottle {number} stands in lines already. Void those lines first."


class OtherBatch(RuleViolation):
    """A bottle holds the batch that it was filled from."""

    code = "container_of_other_batch"
    message = "Bottle {number} was filled from another batch than the one that is named."
    where = "container"


def take_out(entry: Entry, new: fields.NewContainer) -> Container:
    """Record that a bottle was filled and taken out; more than its batch has left is marked."""
    batch = facts.living(entry.get(Batch, new.batch))
    day = facts.join_day(entry, new.work_day)
    zone = day.zone() if day else group_zone(entry)
    on = local_date(new.out_at, zone)
    values = _columns(new) | {"on_date": on, "time_zone": zone.key}
    values["marks"] = [
        *facts.day_marks(day),
        *facts.date_marks(day, on, "out_at"),
        *_fill_marks(batch, values, batch.left_nl - batch.out_nl - batch.in_containers_nl),
        *numbers.number_marks(entry, values),
    ]
    container = entry.create(Container, id=new.id, **values)
    _recount(entry, batch, {}, container.in_batch())
    return container


def bring_back(entry: Entry, wish: fields.BringBack) -> Container:
    """Record what came back in a bottle, once; another figure is a correction, which says why."""
    container = facts.living(entry.get(Container, wish.id))
    values = _back(vars(container), wish.back) | {"back_at": wish.back_at, "how_known": wish.how_known}
    after = vars(container) | values
    if container.back_at:
        if any(getattr(container, name) != value for name, value in values.items()):
            raise ContainerBack(number=container.number)
        return container
    _check(after)
    return _changed(entry, container, **values, marks=container.marks + _line_marks(after))


def amend_container(entry: Entry, wish: fields.AmendContainer) -> Container:
    """Correct a bottle's outing. What was used of it is corrected only while nothing of it stands in lines."""
    container = facts.living(entry.get(Container, wish.id))
    if container.back_at is None and {wish.back, wish.back_at, wish.how_known} != {UNSET}:
        raise ContainerNotBack(number=container.number)
    values = _columns(wish)
    after = vars(container) | values
    back = _tapped(container) if wish.back is UNSET else wish.back
    values |= _back(after, back) if back else {}
    after |= values
    _check(after)
    if container.in_lines_nl and any(after[name] != getattr(container, name) for name in AMOUNTS):
        raise ContainerInUse(number=container.number)
    values["on_date"] = local_date(after["out_at"], ZoneInfo(container.time_zone))
    return _changed(entry, container, **values, marks=_judged_anew(entry, container, after | values))


def void_container(entry: Entry, wish: Target) -> Container:
    """Take a bottle's outing out of the books; refused while lines of it count. Voiding it again changes nothing."""
    container = entry.get(Container, wish.id)
    if container.voided_at:
        return container
    if container.in_lines_nl:
        raise ContainerInUse(number=container.number)
    return _changed(entry, container, voided_at=entry.at)


def reinstate_container(entry: Entry, wish: Target) -> Container:
    """Put a voided outing back."""
    container = facts.voided(entry, Container, wish)
    facts.living(entry.get(Batch, container.batch_id))
    return _changed(entry, container, voided_at=None)


def charge(entry: Entry, container_id: UUID | None, batch_id: UUID, mix_nl: int) -> None:
    """Count a line's mix [nL] against the bottle it came from; below nothing, the line gives it back.

    A bottle that is out gives at most what was filled. Raises OtherBatch and ContainerShared.
    """
    if container_id is None:
        return
    container = entry.get(Container, container_id)
    if container.batch_id != batch_id:
        raise OtherBatch(number=container.number)
    if mix_nl > 0:
        gave = container.filled_nl if container.used_nl is None else container.used_nl
        _check_gives(facts.living(container), mix_nl, gave - container.in_lines_nl)
    _changed(entry, container, in_lines_nl=container.in_lines_nl + mix_nl)


def _check_gives(container: Container, mix_nl: int, left_nl: int) -> None:
    if mix_nl > left_nl + ROUNDED:
        left = told(max(0, left_nl), container.filled_unit)
        raise ContainerShared(number=container.number, left=left)


def _changed(entry: Entry, container: Container, **values: Any) -> Container:
    """Change a bottle's outing; its batch follows."""
    before = container.in_batch()
    entry.change(container, **values)
    _recount(entry, entry.get(Batch, container.batch_id), before, container.in_batch())
    return container


def _recount(entry: Entry, batch: Batch, before: Mapping[str, int], after: Mapping[str, int]) -> None:
    entry.change(batch, **{name: getattr(batch, name) + nl - before.get(name, 0) for name, nl in after.items()})


def _columns(wish: fields.NewContainer | fields.AmendContainer) -> dict[str, Any]:
    """Return the columns of what was sent, without what came back; a capacity that is not stated is three of none."""
    values = columns(wish)
    values.pop("back", None)
    if wish.capacity is None:
        del values["capacity"]
        values |= no_quantity("capacity", "nl")
    return values


def _back(container: Mapping[str, Any], back: Back) -> dict[str, Any]:
    """Return the columns of what came back; a tap is a part of the capacity if that is stated, else of the filling."""
    if volume := back.volume():
        values = volume.columns("back") | {"back_tap": None}
    else:
        whole = "filled" if container["capacity_nl"] is None else "capacity"
        part, unit = TAPS[back.tap or ""] * exact(container[f"{whole}_value"]), container[f"{whole}_unit"]
        nl = to_base(part, unit, Dimension.VOLUME)
        values = {"back_nl": nl, "back_value": exact_text(part), "back_unit": unit, "back_tap": back.tap}
    if 0 < values["back_nl"] - container["filled_nl"] <= ROUNDED:
        values["back_nl"] = container["filled_nl"]
    return values


def _tapped(container: Container) -> Back | None:
    """Return the tap by which a bottle came back: another filling or capacity makes it another amount."""
    return Back(tap=container.back_tap) if container.back_tap else None  # type: ignore[arg-type]


def _check(after: Mapping[str, Any]) -> None:
    """Refuse what cannot be true of a bottle that is back. Raises MoreCameBack and BackBeforeOut."""
    if after["back_at"] is None:
        return
    if after["back_nl"] > after["filled_nl"]:
        unit = after["filled_unit"]
        back, filled = told(after["back_nl"], unit), told(after["filled_nl"], unit)
        raise MoreCameBack(number=after["number"], back=back, filled=filled)
    if after["back_at"] < after["out_at"]:
        raise BackBeforeOut


def _fill_marks(batch: Batch, after: Mapping[str, Any], left_nl: int) -> facts.Marks:
    """Return what to mark about a filling of more than the batch has left [nL], other bottles counted."""
    if after["filled_nl"] <= left_nl + batch.lines + batch.bottles + ROUNDED:
        return []
    left = told(max(0, left_nl), after["filled_unit"])
    detail = f"More was filled than the batch has left: {left}, with what other bottles took counted."
    return [facts.mark("filled_beyond_batch", detail, "filled")]


def _line_marks(after: Mapping[str, Any]) -> facts.Marks:
    """Return what to mark about a bottle that gave less than its lines say, recorded while it was out."""
    used = after["filled_nl"] - after["back_nl"]
    if after["in_lines_nl"] <= used + ROUNDED:
        return []
    lines, gave = told(after["in_lines_nl"], after["filled_unit"]), told(used, after["filled_unit"])
    detail = f"Lines of this bottle come to {lines}; by what came back, it gave {gave}."
    return [facts.mark("lines_beyond_container", detail, "back")]


def _judged_anew(entry: Entry, container: Container, after: Mapping[str, Any]) -> facts.Marks:
    """Return a bottle's marks once ``after`` is its own: what was not corrected keeps what was marked then."""
    marks: facts.Marks = container.marks
    if after["on_date"] != container.on_date and container.work_day_id:
        entry.load(WorkDay, [container.work_day_id], lock=False)
        day = entry.get(WorkDay, container.work_day_id)
        marks = _without(marks, "out_at") + facts.date_marks(day, after["on_date"], "out_at")
    if after["filled_nl"] != container.filled_nl:
        batch, own = entry.get(Batch, container.batch_id), container.in_batch()
        left_nl = batch.left_nl - batch.out_nl - batch.in_containers_nl + own["out_nl"] + own["in_containers_nl"]
        marks = _without(marks, "filled") + _fill_marks(batch, after, left_nl)
    if (after["number"], after["out_at"]) != (container.number, container.out_at):
        marks = _without(marks, numbers.FIELD) + numbers.number_marks(entry, after, container.id)
    return marks


def _without(marks: facts.Marks, field: str) -> facts.Marks:
    return [each for each in marks if each["field"] != field]
