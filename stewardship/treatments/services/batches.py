"""A batch is mixed, topped up, corrected, voided."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from msgspec import UNSET

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns, json_columns, no_quantity
from stewardship.journal.ids import new_id
from stewardship.places.zones import group_zone
from stewardship.rules.balances import Statement, tolerance_nl
from stewardship.rules.dates import local_date
from stewardship.rules.measures import volumes_of
from stewardship.rules.screening import Entered, against_mix
from stewardship.rules.units import told
from stewardship.treatments import fields
from stewardship.treatments.models import Batch
from stewardship.treatments.services import facts, lawful, licences, limits, lot_draws, mixers, signatures, top_ups
from stewardship.treatments.services.balances import lines_of
from stewardship.treatments.services.parts import adjuvant_of, part_of
from stewardship.workdays.models import WorkDay

MADE_OF = ("mix_nl", "parts", "adjuvants", "carrier")
IN_RECORDS = ("mixed_where", "mixed_by_id", "on_date")
"""What the records of the sessions tell that used a batch, and what is corrected although it was used."""


class PartsAboveMix(RuleViolation):
    """A mix cannot hold more than its own volume."""

    code = "parts_above_mix"
    message = "The products and adjuvants come to more than the finished mix. Check the amounts and their units."
    where = "parts"


class PartTwice(RuleViolation):
    """A product stands once in a mix."""

    code = "part_twice"
    message = "A product stands twice in this mix. Enter its whole amount once."
    where = "parts"


class NothingPoured(RuleViolation):
    """A mix is made of something."""

    code = "nothing_poured"
    message = "Nothing would be left that this batch was made of. Void it if it was never mixed."
    where = "parts"


class BatchInUse(RuleViolation):
    """What was drawn from a batch rests on what it was made of."""

    code = "batch_in_use"
    message = (
        "This batch was drawn from already. Void first what drew on it: lines, batches that it was poured into, "
        "movements, numbered bottles."
    )


class BatchClosed(RuleViolation):
    """A closed batch has its difference booked on what it was made of."""

    code = "batch_closed"
    message = "This batch is closed. Reopen it first, and say why."


def record_batch(entry: Entry, new: fields.NewBatch) -> Batch:
    """Record a batch that was mixed, with its products' label strengths as they stood.

    What was poured in of another batch is taken out of that, and comes with its share of each product.
    """
    zone = _zone(entry, new)
    on = local_date(new.mixed_at, zone)
    poured = top_ups.pour(entry, new.poured_from)
    top_ups.check_carriers(entry, new.carrier, poured)
    values = _columns(new) | {"poured_from": poured} | _made_of(entry, new, None, poured)
    values |= {"on_date": on, "time_zone": zone.key, "used_parts": [0] * len(values["parts"])}
    id = new.id or new_id()
    values["parts"], lot_marks = lot_draws.drawn(entry, values["parts"], lot_draws.occasion_of(values, id))
    day = facts.join_day(entry, new.work_day)
    need = licences.need_of_batch(entry, values["parts"], mixers.land_of(day))
    values["credentials"] = licences.kept_of(entry, values, ("mixed_by",), need, on)
    values["marks"] = [
        *facts.day_marks(day),
        *facts.date_marks(day, on, "mixed_at"),
        *licences.marks_of_batch(entry, new.mixed_by, on, need),
        *_mix_marks(entry, values),
        *lot_marks,
        *limits.of_batch(entry, values, day.property_id if day else None),
        *_place_marks(entry, day, on, new.mixed_at),
    ]
    batch = entry.create(Batch, id=id, **values)
    top_ups.hand_on(entry, batch)
    return batch


def amend_batch(entry: Entry, wish: fields.AmendBatch) -> Batch:
    """Correct a batch; what it is made of only while nothing draws on it. Another mixer or date is judged anew.

    Where the records tell it that used the batch, their signatures are taken back. Raises Locked.
    """
    batch = facts.living(entry.get(Batch, wish.id))
    values = _columns(wish) | _made_of(entry, wish, batch, batch.poured_from)
    after = vars(batch) | values
    if _is_made_of(after) != _is_made_of(vars(batch)):
        _check_free(batch)
        top_ups.check_carriers(entry, after["carrier"], batch.poured_from)
        values["used_parts"] = [0] * len(values["parts"])
    values["on_date"] = local_date(after["mixed_at"], ZoneInfo(batch.time_zone))
    _correct_records(entry, batch, after | values)
    marks = mixers.judged_anew(entry, batch, values, after | values)
    kept = [mark for mark in limits.without(marks) if mark["field"] not in ("parts", lot_draws.FIELD)]
    occasion = lot_draws.occasion_of(after | values, batch.id)
    values["parts"], lot_marks = lot_draws.redrawn(entry, batch, values["parts"], occasion)
    day = _day(entry, batch)
    anew = (
        _mix_marks(entry, after) + lot_marks + limits.of_batch(entry, after | values, day.property_id if day else None)
    )
    if after["mixed_at"] != batch.mixed_at:
        kept = lawful.without_place(kept) + _place_marks(entry, day, values["on_date"], after["mixed_at"])
    mixed_at = batch.mixed_at
    entry.change(batch, **values | {"marks": kept + anew})
    top_ups.restate(entry, batch, mixed_at)
    return batch


def void_batch(entry: Entry, wish: Target) -> Batch:
    """Take a batch out of the books, unless something draws on it or is filled from it. What came in goes back."""
    batch = entry.get(Batch, wish.id)
    if batch.voided_at:
        return batch
    if batch.bottles:
        raise BatchInUse
    _check_free(batch)
    top_ups.take_back(entry, batch)
    lot_draws.give_back(entry, batch)
    return facts.void(entry, batch)


def reinstate_batch(entry: Entry, wish: Target) -> Batch:
    """Put a voided batch back; what was poured in is taken again, as far as it is still there, and lots drawn again."""
    batch = facts.voided(entry, Batch, wish)
    values: dict[str, Any] = {"parts": batch.parts}
    if batch.poured_from:
        poured = top_ups.pour_again(entry, batch.poured_from)
        top_ups.check_carriers(entry, batch.carrier, poured)
        values = {"poured_from": poured} | _made_of(entry, fields.AmendBatch(id=batch.id), batch, poured)
        values["used_parts"] = [0] * len(values["parts"])
    values["parts"], values["marks"] = lot_draws.drawn_again(entry, batch, values["parts"])
    entry.change(batch, voided_at=None, **values)
    top_ups.hand_on(entry, batch)
    return batch


def _day(entry: Entry, batch: Batch) -> WorkDay | None:
    """Return the work day of a batch; those of all batches of the entry are read together."""
    days = {each.work_day_id for each in entry.known(Batch).values() if each.work_day_id}
    entry.load(WorkDay, days, lock=False)
    return entry.get(WorkDay, batch.work_day_id) if batch.work_day_id else None


def _place_marks(entry: Entry, day: WorkDay | None, on: date, mixed_at: datetime) -> facts.Marks:
    """Return what to mark about mixing for a day at a property; where no day is named, its lines tell the place."""
    return lawful.place_marks(entry, day.property_id, on, mixed_at, "work_day") if day else []


def _correct_records(entry: Entry, batch: Batch, after: Mapping[str, Any]) -> None:
    """Take back the signatures under what a batch said; of a locked record nothing changes. Raises Locked."""
    if any(getattr(batch, name) != after[name] for name in IN_RECORDS):
        used = [line for line in lines_of(entry, batch) if not line.voided_at]
        signatures.take_back(entry, sorted({line.session_id for line in used}))


def _check_free(batch: Batch) -> None:
    if batch.lines:
        raise BatchInUse
    if batch.closed_at:
        raise BatchClosed


def _zone(entry: Entry, new: fields.NewBatch) -> ZoneInfo:
    return entry.get(WorkDay, new.work_day).zone() if new.work_day else group_zone(entry)


def _columns(wish: Any) -> dict[str, Any]:
    """Return the columns of a batch; a carrier that was not measured is three empty columns."""
    values = json_columns(wish)
    if wish.carrier_volume is None:
        del values["carrier_volume"]
        values |= no_quantity("carrier_volume", "nl")
    return values


# -- what it is made of ----------------------------------------------------------------------------


def _made_of(
    entry: Entry, wish: fields.NewBatch | fields.AmendBatch, batch: Batch | None, poured: top_ups.Contents
) -> dict[str, Any]:
    """Return what the batch is made of once the wish is done; what is not sent stays as it was."""
    parts = _sent(wish.parts, lambda part: part_of(entry, part), batch and batch.parts)
    adjuvants = _sent(wish.adjuvants, adjuvant_of, batch and batch.adjuvants)
    if not parts and not poured:
        raise NothingPoured
    if len({part["product"] for part in parts}) < len(parts):
        raise PartTwice
    top_ups.check_compatible(entry, poured, parts)
    with_parts, with_adjuvants = top_ups.inherited(entry, poured)
    made = {"parts": top_ups.merged(parts + with_parts), "adjuvants": top_ups.merged(adjuvants + with_adjuvants)}
    _check_sum((vars(batch) if batch else {}) | columns(wish), [*made["parts"], *made["adjuvants"]])
    return made


def _is_made_of(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: values[name] for name in MADE_OF} | {"parts": lot_draws.without_lots(values["parts"])}


def _sent(items: Any, kept: Callable[[Any], dict[str, Any]], before: Any) -> top_ups.Contents:
    return top_ups.afresh(before) if items is UNSET else [kept(item) for item in items]


def _check_sum(values: Mapping[str, Any], contents: top_ups.Contents) -> None:
    """Refuse what is impossible; each entry was rounded once, so each may add one nanolitre."""
    volumes = volumes_of(contents)
    if sum(volumes) > values["mix_nl"] + len(volumes) + 1:
        raise PartsAboveMix


# -- what is marked about it -----------------------------------------------------------------------


def _mix_marks(entry: Entry, made: Mapping[str, Any]) -> facts.Marks:
    """Return what to mark about what a batch is made of."""
    fresh = top_ups.afresh(made["parts"])
    return [
        *_below_mix(made),
        *_whole_mix(made),
        *_sum_differs(made),
        *(_not_marked(one, other) for one, other in top_ups.not_compatible(entry, fresh)),
    ]


def _whole_mix(made: Mapping[str, Any]) -> facts.Marks:
    """Return what to mark about products of which as much was entered as of a mix in which they were diluted."""
    if made["carrier"] == top_ups.NO_CARRIER:
        return []
    entered = [Entered(nl, made["mix_value"], made["mix_unit"], made["mix_nl"]) for nl in volumes_of(made["parts"])]
    return [facts.mark(found.code, found.detail, "parts", found.source) for found in map(against_mix, entered) if found]


def _below_mix(made: Mapping[str, Any]) -> facts.Marks:
    """Return what to mark about a mix that was carried in nothing, yet holds more than was poured in."""
    contents = volumes_of([*made["parts"], *made["adjuvants"]])
    if made["carrier"] != top_ups.NO_CARRIER or made["mix_nl"] <= sum(contents) + len(contents) + 1:
        return []
    detail = "Nothing was mixed in, and yet the products come to less than the mix. Check the amounts."
    return [facts.mark("parts_below_mix", detail, "parts")]


def _sum_differs(made: Mapping[str, Any]) -> facts.Marks:
    """Return what to mark where everything poured in does not make the finished mix, as far as measuring can tell.

    The tolerance is that of a batch's balance: common practice, no source. Where the carrier was not measured, only
    more than the mix can be told.
    """
    mix_nl, unit = made["mix_nl"], made["mix_unit"]
    poured = [each["volume"]["nl"] for each in made["poured_from"]]
    poured += volumes_of(top_ups.afresh([*made["parts"], *made["adjuvants"]]))
    carrier_nl = made["carrier_volume_nl"]
    poured_nl = sum(poured) + (carrier_nl or 0)
    stated = [(mix_nl, Statement(made["how_known"])), *((nl, Statement()) for nl in (*poured, carrier_nl or 0))]
    over_nl = poured_nl - mix_nl
    tolerance = tolerance_nl(mix_nl, stated)
    if over_nl <= tolerance and (carrier_nl is None or over_nl >= -tolerance):
        return []
    detail = f"What was poured in comes to {told(poured_nl, unit)}, the finished mix to {told(mix_nl, unit)}."
    return [facts.mark("sum_differs", f"{detail} Measure again, or check the amounts and their units.", "parts")]


def _not_marked(one: str, other: str) -> dict[str, str]:
    detail = f"{one} and {other} are not marked as compatible. Their labels say whether they may be mixed."
    return facts.mark("not_marked_compatible", detail, "parts")
