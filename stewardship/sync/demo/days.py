"""A day of the demo, written out: planned by a coordinator, signed up for, worked, ended, and corrected later.

Who does a duty that asks for something signs up by phone; the others tell the leader, who enters them on the evening
before. Who recorded something hands it over after the work, from their own phone; the leader keeps the roster of the
others.
"""

from collections import Counter
from datetime import datetime, timedelta

from stewardship.sync.demo.keeping import tell_kept
from stewardship.sync.demo.stock import lots_of
from stewardship.sync.demo.story import Story, Values, id_of, quantity, reference

SIGN_UP_EVERY = timedelta(hours=7)
HAND_OVER_AFTER, HAND_OVER_EVERY = timedelta(minutes=15), timedelta(minutes=12)
EQUIPMENT = {
    "cut_stump": "sponge-tipped bottle", "basal_bark": "hand sprayer, 1 L", "foliar": "backpack sprayer, 15 L",
    "hack_and_squirt": "hatchet and squirt bottle", "injection": "injection lance", "frill": "hatchet and brush",
}  # fmt: skip
SAID = {
    "site_type": "woodland", "helpers": [], "weather_changed": False, "had_incident": False, "for_a_customer": False,
    "reentry_note": "When dry; signs at the trailheads until the next morning",
}  # fmt: skip
READING = {
    "wind_speed": {"value": "4", "unit": "mph"}, "wind_direction": "sw", "temperature": {"value": "58", "unit": "f"},
    "sky": "fair",
}  # fmt: skip
ASKS_FOR_SOMETHING = ("applicator", "sawyer")
NOT_COUNTED = "Neither stems nor area were counted of some of the lines; nobody knows them any more."
CONFIRMED_AT = "18:00"
"""On the evening before the day."""


def tell_day(story: Story, day: Values, stock: Values) -> None:
    """Tell everything about a day; one that is ``alone`` is work outside a work day."""
    handed_over = _handed_over(story, day)
    if not day.get("alone"):
        _tell_plan(story, day)
        _tell_sign_ups(story, day)
        _tell_attendance(story, day, handed_over)
        _tell_end(story, day)
    _tell_batches(story, day, handed_over, stock)
    _tell_sessions(story, day, handed_over)
    _tell_work_by_hand(story, day, handed_over)


# -- before ----------------------------------------------------------------------------------------


def _tell_plan(story: Story, day: Values) -> None:
    leader, key, on = day["leader"], day["key"], day["on"]
    at = story.moment(day["planned"])
    story.says(
        leader, at, "work_day", key,
        property=str(id_of("property", day["property"])),
        title=day["title"],
        on_date=on,
        starts_at=story.moment(day["from"], on),
        ends_at=story.moment(day["to"], on),
        units=[str(id_of("unit", f"{day['property']}/{unit}")) for unit in day["units"]],
        herbicide_planned=day["herbicide"],
        meeting_point=day["meeting_point"],
        task=str(id_of("approved_task", day["task"])) if "task" in day else None,
        **{name: day.get(name) for name in ("note", "access", "bring", "hazards", "capacity")},
    )  # fmt: skip
    wanted = day.get("wanted") or Counter(sign_up[0] for sign_up in day["sign_ups"] if "withdrew" not in sign_up)
    for duty, count in wanted.items():
        values = {"minimum_age": 18} if duty in ASKS_FOR_SOMETHING else {}
        story.says(leader, at, "duty", f"{key}/{duty}", work_day=_day(day), name=duty, wanted=count, **values)
    story.does(leader, at, "work_day", "open", key)


def _tell_sign_ups(story: Story, day: Values) -> None:
    at, eve = story.moment(day["planned"]), _eve(story, day)
    for duty, who, *withdrew in day["sign_ups"]:
        key, duty_id = f"{day['key']}/{who}", str(id_of("duty", f"{day['key']}/{duty}"))
        at += SIGN_UP_EVERY
        by, then = (who, at) if duty in ASKS_FOR_SOMETHING or withdrew else (day["leader"], eve)
        story.says(by, then, "sign_up", key, work_day=_day(day), duty=duty_id, member=story.member(who))
        if withdrew:
            story.does(by, then + SIGN_UP_EVERY / 2, "sign_up", "withdraw", key)
    if day.get("confirmed", True) and "cancelled" not in day:
        story.does(day["leader"], eve, "work_day", "confirm", day["key"])


def _eve(story: Story, day: Values) -> datetime:
    """Return the evening before the day; for one that is still to come, when it was planned."""
    if day.keys() & {"came", "cancelled"}:
        return story.moment(CONFIRMED_AT, day["on"]) - timedelta(days=1)
    return story.moment(day["planned"])


# -- on the day ------------------------------------------------------------------------------------


def _handed_over(story: Story, day: Values) -> dict[str, datetime]:
    """Return when each person who recorded something handed it over: who mixed first, so that lines find the batch."""
    authors = [each["by"] for part in ("batches", "sessions", "by_hand") for each in day.get(part, ())]
    if not authors:
        return {}
    first = _ended(story, day) + HAND_OVER_AFTER
    return {who: first + turn * HAND_OVER_EVERY for turn, who in enumerate(dict.fromkeys(authors))}


def _tell_attendance(story: Story, day: Values, handed_over: dict[str, datetime]) -> None:
    for who, in_text, out_text, *how in day.get("came", ()):
        key, in_at = f"{day['key']}/{who}", story.moment(in_text, day["on"])
        out = {"out_at": story.moment(out_text, day["on"]), "how_known": (*how, "measured")[0]} if out_text else {}
        told = {"work_day": _day(day), "member": story.member(who), "in_at": in_at}
        told["age_class"] = "youth" if who in story.youth else "adult"
        if who in handed_over and who in story.with_phone and who != day["leader"]:
            story.says(who, handed_over[who], "attendance", key, **told, **out)
            continue
        story.says(day["leader"], _all_in(story, day), "attendance", key, **told)
        if out:
            story.does(day["leader"], _all_out(story, day), "attendance", "check_out", key, **out)


def _all_in(story: Story, day: Values) -> datetime:
    return max(story.moment(came[1], day["on"]) for came in day["came"])


def _all_out(story: Story, day: Values) -> datetime:
    """Return when the leader ends the day: when all have left who are known to have left."""
    left = [came[2] for came in day["came"] if came[2]]
    return max(story.moment(text, day["on"]) for text in [*left, day.get("finished") or day["stopped"]])


def _tell_batches(story: Story, day: Values, handed_over: dict[str, datetime], stock: Values) -> None:
    for batch in day.get("batches", ()):
        story.says(
            batch["by"], handed_over[batch["by"]], "batch", f"{day['key']}/{batch['key']}",
            mixed_at=story.moment(batch["at"], day["on"]),
            mixed_by=story.member(batch["by"]),
            mix=quantity(batch["mix"]),
            how_known=batch["known"],
            carrier=batch["carrier"],
            parts=[
                {"product": reference("product", p), "volume": quantity(v), "lots": lots_of(stock, p, day["on"])}
                for p, v in batch["parts"].items()
            ],
            adjuvants=[{"name": a, "volume": quantity(v)} for a, v in batch.get("adjuvants", {}).items()],
            work_day=_day(day),
            note=batch.get("note"),
            mixed_where="Wash-down pad behind the tool shed",
        )  # fmt: skip
        if "left" in batch:
            _tell_leftover(story, day, batch, handed_over)


def _tell_leftover(story: Story, day: Values, batch: Values, handed_over: dict[str, datetime]) -> None:
    """Tell what whoever mixed it measured when the work had ended."""
    key = f"{day['key']}/{batch['key']}"
    story.says(
        batch["by"], handed_over[batch["by"]], "leftover", key,
        batch=str(id_of("batch", key)),
        volume=quantity(batch["left"]),
        how_known="measured",
        measured_at=_ended(story, day),
        container=f"jug of batch {batch['key']}",
        kept_where="Locked cabinet in the tool shed",
        property=str(id_of("property", day["property"])),
        work_day=_day(day),
    )  # fmt: skip


def _tell_sessions(story: Story, day: Values, handed_over: dict[str, datetime]) -> None:
    for number, session in enumerate(day.get("sessions", ()), start=1):
        by, key = session["by"], f"{day['key']}/session-{number}"
        story.says(
            by, handed_over[by], "session", key,
            unit=_unit(day, session["unit"]),
            applicator=story.member(by),
            started_at=story.moment(session["from"], day["on"]),
            ended_at=story.moment(session["to"], day["on"]) if "to" in session else None,
            work_day=_day(day),
            note=session.get("note"),
            **(_whole(story, day, session) if "closed" in day else {}),
        )  # fmt: skip
        for place, line in enumerate(session["lines"], start=1):
            at = story.moment(line["late"]) if "late" in line else handed_over[by]
            _tell_application(story, day, line, by=by, at=at, session=key, key=f"{key}/{place}")
        _tell_signatures(story, day, session, key, handed_over[by])


def _whole(story: Story, day: Values, session: Values) -> Values:
    """Return what was told of a session whose day was closed: the rest of what its record is asked for."""
    methods = dict.fromkeys(line["method"] for line in session["lines"])
    reading = {"at": story.moment(session["from"], day["on"]).isoformat(), **READING}
    return SAID | {
        "equipment": ", ".join(dict.fromkeys(EQUIPMENT[method] for method in methods)),
        "all_adults": session["by"] not in story.youth,
        "weather": [reading],
    }


def _tell_signatures(story: Story, day: Values, session: Values, key: str, at: datetime) -> None:
    """Let the applicator sign what nobody corrected since, and the leader lock it when the day is closed."""
    by, is_corrected = session["by"], any(line.keys() & {"late", "amend", "void"} for line in session["lines"])
    if "closed" not in day or "to" not in session or is_corrected or by not in story.with_phone:
        return
    story.does(by, at, "session", "attest", key)
    if session.get("locked", True):
        story.does(day["leader"], story.moment(day["closed"]), "session", "lock", key)


def _tell_application(
    story: Story, day: Values, line: Values, *, by: str, at: datetime, session: str, key: str
) -> None:
    batch = line["of"] if "/" in line["of"] else f"{day['key']}/{line['of']}"
    story.says(
        by, at, "application", key,
        session=str(id_of("session", session)),
        batch=str(id_of("batch", batch)),
        mix=quantity(line["mix"]),
        how_known=line["known"],
        **_what_was_worked(line),
    )  # fmt: skip
    _tell_corrections(story, line, "application", key)


def _tell_work_by_hand(story: Story, day: Values, handed_over: dict[str, datetime]) -> None:
    for number, line in enumerate(day.get("by_hand", ()), start=1):
        key = f"{day['key']}/by-hand-{number}"
        story.says(
            line["by"], handed_over[line["by"]], "work_line", key,
            unit=_unit(day, line["unit"]),
            done_at=_ended(story, day),
            minutes=line.get("minutes"),
            work_day=_day(day),
            **_what_was_worked(line),
        )  # fmt: skip
        _tell_corrections(story, line, "work_line", key)


def _what_was_worked(line: Values) -> Values:
    area = quantity(line["area"]) if "area" in line else None
    plain = {"method": line["method"], "stems": line.get("stems"), "note": line.get("note")}
    return plain | {
        "species": reference("species", line["species"]), "area": area, "is_follow_up": line.get("follow_up")
    }  # fmt: skip


# -- afterwards ------------------------------------------------------------------------------------


def _tell_end(story: Story, day: Values) -> None:
    leader, key = day["leader"], day["key"]
    if "cancelled" in day:
        story.does(leader, story.moment(day["cancelled"]), "work_day", "cancel", key, reason=day["reason"])
    if "stopped" in day:
        stopped_at = story.moment(day["stopped"], day["on"])
        story.does(leader, _all_out(story, day), "work_day", "stop", key, reason=day["reason"], stopped_at=stopped_at)
    if "finished" in day:
        story.does(leader, _all_out(story, day), "work_day", "finish", key)
    if day.keys() & {"stopped", "finished"}:
        tell_kept(story, day, _all_out(story, day))
    if "closed" in day:
        lines = [line for session in day.get("sessions", ()) for line in session["lines"]]
        unknown = any(not line.keys() & {"stems", "area"} for line in lines)
        reason = day.get("close_reason", NOT_COUNTED if unknown else "")
        story.does(leader, story.moment(day["closed"]), "work_day", "close", key, reason=reason)


def _tell_corrections(story: Story, line: Values, type: str, key: str) -> None:
    for op in ("amend", "void"):
        if told := line.get(op):
            values = {"mix": quantity(told["mix"])} if "mix" in told else {}
            story.does(told["by"], story.moment(told["at"]), type, op, key, reason=told["reason"], **values)


def _ended(story: Story, day: Values) -> datetime:
    """Return when the work ended: the day, or the last session where there is no work day."""
    return story.moment(day.get("finished") or day.get("stopped") or day["sessions"][-1]["to"], day["on"])


def _day(day: Values) -> str | None:
    return None if day.get("alone") else str(id_of("work_day", day["key"]))


def _unit(day: Values, unit: str) -> str:
    return str(id_of("unit", f"{day['property']}/{unit}"))
