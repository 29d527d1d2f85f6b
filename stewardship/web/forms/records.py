"""A session's record: signed, locked, and completed with what a rule of the place wants told."""

from datetime import datetime, time
from typing import Any, get_args
from zoneinfo import ZoneInfo

from django import forms

from stewardship.rules.units import UNITS, Dimension, units_of
from stewardship.sync.reading import Sent
from stewardship.treatments.fields.weather import WindDirection
from stewardship.treatments.models import Session
from stewardship.treatments.services.signatures import signed_elsewhere
from stewardship.web import words
from stewardship.web.access import Here
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.queries.days import present_members
from stewardship.web.queries.records import read_near
from stewardship.workdays.models import WeatherReading

ANSWERS = (("", "not answered"), ("no", "no"), ("yes", "yes"))
ANSWER = {"yes": True, "no": False}
SAID = {True: "yes", False: "no", None: ""}
WINDS = [(code, words.WINDS.get(code, code.upper())) for code in get_args(WindDirection)]
SPEEDS = [(code, UNITS[code].name_many) for code in units_of(Dimension.SPEED)]
TEMPERATURES = [(code, UNITS[code].name_many) for code in units_of(Dimension.TEMPERATURE)]


class SessionForm(ActForm):
    """An act on a session's record."""

    op = ""

    def __init__(self, *args: Any, session: Session, **kwargs: Any) -> None:
        """Act on ``session``."""
        self.session = session
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the act, with the reason where one was given."""
        told = {name: value for name, value in self.cleaned_data.items() if name not in ("mid", "reason")}
        reason = self.cleaned_data.get("reason", "")
        return [self.sent("session", self.op, id=self.session.id, reason=reason, **told)]


class AttestForm(SessionForm):
    """The applicator's word; of a contractor, or of somebody who signed on paper, the document is named."""

    op = "attest"

    document = base.text("The signed document: its title or number, and its date", max_length=4000)

    def fill(self) -> None:
        """Ask for a document where the word was given on one, and somebody else enters it."""
        if self.here.actor.member_id == self.session.applicator_id or not signed_elsewhere(self.session):
            del self.fields["document"]


class CountersignForm(SessionForm):
    """The word of the supervising licence holder."""

    op = "countersign"


class LockForm(SessionForm):
    """The end of corrections."""

    op = "lock"

    reason = base.text("Reason, if a countersignature that a rule wants is missing", max_length=1000)


class UnlockForm(SessionForm):
    """The record is open to corrections again."""

    op = "unlock"

    reason = base.text("Reason", required=True, max_length=1000)


class AnswerForm(SessionForm):
    """Why it was done without a credential that counted; the mark stays."""

    op = "answer"

    answer = base.text("Why it was done without a credential that counted", required=True, rows=2, max_length=4000)
    answer_document = base.text(
        "The letter about it", max_length=200, help_text="Its date, and where it is kept. The mark stays."
    )


SIGNING: dict[str, tuple[type[SessionForm], str, str]] = {
    "attest": (AttestForm, "I applied it, and this record is right", "You have signed the record."),
    "countersign": (CountersignForm, "I supervised it: countersign", "You have countersigned the record."),
    "answer": (AnswerForm, "Answer for it", "Your answer is kept. The mark stays."),
    "lock": (LockForm, "Lock the record", "The record is locked: nothing in it changes any more."),
    "unlock": (UnlockForm, "Unlock the record", "The record is open to corrections. What was signed stands until one."),
}
"""Act in an address -> its form, what its button says, what is said once it is done."""
FOR_LEADERS = ("answer", "lock", "unlock")


def acts_for(here: Here, session: Session, *, is_unanswered: bool = False) -> list[str]:
    """Return the acts that this person may try on a record as it stands."""
    leads, me, state = here.actor.may("lock_records"), here.actor.member_id, session.state
    if session.voided_at or not here.actor.may("record_work"):
        return []
    acts = ["answer"] if leads and is_unanswered else []
    if state == "locked":
        return [*acts, "unlock"] if leads else []
    signs = me == session.applicator_id or (leads and signed_elsewhere(session))
    if state == "draft" and session.ended_at and signs:
        acts.append("attest")
    if state == "attested" and me != session.applicator_id and (leads or me == session.supervisor_id):
        acts.append("countersign")
    return acts + (["lock"] if leads and state != "draft" else [])


class CompleteForm(ActForm):
    """What the record does not say yet. What stays empty is not told; what was signed is taken back."""

    places = {"coordinates": "latitude", "weather": "wind_speed"}

    place_text = base.text("The place, so that somebody can find it", rows=2)
    latitude = base.number("Latitude, degrees", required=False)
    longitude = base.number("Longitude, degrees", required=False)
    site_type = base.text("What kind of place it is", max_length=200, help_text="Such as: woodland edge, roadside.")
    equipment = base.text("Equipment", max_length=200)
    supervisor = base.choice("Supervised by", required=False)
    voice_contact = base.text("How supervisor and supervised were in voice contact", max_length=4000)
    had_helpers = base.choice("Was anybody else involved?", ANSWERS, required=False)
    helpers = forms.MultipleChoiceField(
        label="Who else was involved", required=False, widget=forms.CheckboxSelectMultiple
    )
    all_adults = base.choice("Was everybody who applied it 18 or older?", ANSWERS, required=False)
    read_at = base.clock("Weather read at", required=False)
    wind_speed = base.number("Wind speed", required=False)
    wind_unit = base.choice("Unit of the wind", SPEEDS, required=False)
    wind_direction = base.choice("Wind from", WINDS, required=False)
    temperature = base.number("Temperature", required=False)
    temperature_unit = base.choice("Unit of the temperature", TEMPERATURES, required=False)
    sky = base.text("Sky and rain", max_length=200)
    weather_changed = base.choice("Did wind or weather change much meanwhile?", ANSWERS, required=False)
    reentry_note = base.text("When people may enter again, and how that was posted", rows=2)
    had_incident = base.choice("Did anything unexpected happen: a spill, an exposure, drift?", ANSWERS, required=False)
    incident = base.text("What happened, and what was done about it", rows=3)
    for_a_customer = base.choice("Was it done for somebody else?", ANSWERS, required=False)
    customer = base.text("Their name and address", rows=2)
    reason = base.text("Why it is corrected", required=True, max_length=1000)

    QUESTIONS = ("all_adults", "weather_changed", "had_incident", "for_a_customer")
    WORDS = ("place_text", "site_type", "equipment", "voice_contact", "reentry_note", "incident", "customer")

    def __init__(self, *args: Any, session: Session, **kwargs: Any) -> None:
        """Complete ``session``."""
        self.session, self.zone = session, ZoneInfo(session.time_zone)
        self.offered = None if session.weather else read_near(session)
        """What somebody read on the work day: filled in where the record says nothing of the weather yet."""
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Show what the record says already."""
        members = [(str(m.id), m.display_name) for m in present_members(self.here)]
        beside = [each for each in members if each[0] != str(self.session.applicator_id)]
        self.fields["supervisor"].choices = [("", "nobody is named"), *beside]
        self.fields["helpers"].choices = beside
        session, point = self.session, self.session.coordinates or {}
        helpers = session.helpers
        self.initial |= {name: getattr(session, name) for name in self.WORDS}
        self.initial |= {name: SAID[getattr(session, name)] for name in self.QUESTIONS}
        self.initial |= {
            "supervisor": str(session.supervisor_id or ""), "latitude": point.get("latitude"),
            "longitude": point.get("longitude"), "helpers": helpers or [],
            "had_helpers": "" if helpers is None else SAID[bool(helpers)], "reason": "completed",
            "wind_unit": "mph", "temperature_unit": "f",
        } | self._first_reading()  # fmt: skip

    def _first_reading(self) -> dict[str, Any]:
        """Return what the reading at the start says, as the fields show it."""
        started = _clock(self.session.started_at, self.zone)
        if self.offered:
            return self._offered_reading(self.offered)
        if not self.session.weather:
            return {"read_at": started}
        first = self.session.weather[0]
        told = {"read_at": datetime.fromisoformat(first["at"]).astimezone(self.zone).time(), "sky": first["sky"]}
        told["wind_direction"] = first["wind_direction"]
        for name, field, unit in (
            ("wind_speed", "wind_speed", "wind_unit"), ("temperature", "temperature", "temperature_unit"),
        ):  # fmt: skip
            if first[name]:
                told |= {field: first[name]["value"], unit: first[name]["unit"]}
        return told

    def _offered_reading(self, read: WeatherReading) -> dict[str, Any]:
        """Return a reading of the work day as the fields show it."""
        told = {"read_at": _clock(read.read_at, self.zone), "sky": read.sky, "wind_direction": read.wind_direction}
        if read.wind_speed_value is not None:
            told |= {"wind_speed": read.wind_speed_value, "wind_unit": read.wind_speed_unit}
        if read.temperature_value is not None:
            told |= {"temperature": read.temperature_value, "temperature_unit": read.temperature_unit}
        return told

    def clean(self) -> dict[str, Any]:
        """Refuse half a point, and helpers that are named and denied."""
        told = super().clean() or self.cleaned_data
        if bool(told.get("latitude")) != bool(told.get("longitude")):
            self.add_error("longitude", "Give both degrees, or neither.")
        if told.get("had_helpers") != "yes" and told.get("helpers"):
            self.add_error("had_helpers", "Somebody is named below: answer with yes, or take the names out.")
        if told.get("had_helpers") == "yes" and not told.get("helpers"):
            self.add_error("helpers", "Name everybody who was involved.")
        return told

    def sends(self) -> list[Sent]:
        """Return the correction."""
        told = self.cleaned_data
        point = {"latitude": told["latitude"], "longitude": told["longitude"]} if told["latitude"] else None
        helpers = {"yes": told["helpers"], "no": []}.get(told["had_helpers"])
        return [
            self.sent(
                "session", "amend", id=self.session.id, reason=told["reason"], coordinates=point, helpers=helpers,
                supervisor=told["supervisor"] or None, weather=self._weather(told),
                **{name: told[name] for name in self.WORDS},
                **{name: ANSWER.get(told[name]) for name in self.QUESTIONS},
            )
        ]  # fmt: skip

    def _weather(self, told: dict[str, Any]) -> list[dict[str, Any]]:
        """Return the readings: the first as it was entered here, the later ones as they stand."""
        later = [_sendable(reading) for reading in self.session.weather[1:]]
        wind, warmth = (
            {"value": told[value], "unit": told[unit]} if told[value] else None
            for value, unit in (("wind_speed", "wind_unit"), ("temperature", "temperature_unit"))
        )
        if not (wind or warmth or told["wind_direction"] or told["sky"]):
            return later
        day = self.session.started_at.astimezone(self.zone).date()
        at = base.instant(day, told["read_at"], self.zone) or self.session.started_at.isoformat()
        humidity = self.session.weather[0]["humidity_percent"] if self.session.weather else self._offered_humidity(told)
        first = {"at": at, "wind_speed": wind, "wind_direction": told["wind_direction"], "temperature": warmth}
        return [first | {"sky": told["sky"], "humidity_percent": humidity}, *later]

    def _offered_humidity(self, told: dict[str, Any]) -> int | None:
        """Return the humidity of the reading that was offered, if it is that reading which was taken over."""
        if self.offered is None or told["read_at"] != _clock(self.offered.read_at, self.zone):
            return None
        return self.offered.humidity_percent


def _clock(at: datetime, zone: ZoneInfo) -> time:
    return at.astimezone(zone).time().replace(second=0, microsecond=0)


def _sendable(reading: dict[str, Any]) -> dict[str, Any]:
    """Return a stored reading as it is sent: quantities without their base units."""
    names = ("value", "unit")
    return {
        name: {each: value[each] for each in names} if isinstance(value, dict) else value
        for name, value in reading.items()
    }
