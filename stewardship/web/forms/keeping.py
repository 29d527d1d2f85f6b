"""What is asked about a day beside the work: briefing, weather, signs, what went wrong, times and waivers to settle."""

from typing import Any

from django import forms

from stewardship.places.models import Unit
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.days import DayForm
from stewardship.workdays.clocks import practices_of
from stewardship.workdays.models import IncidentKind, PracticeKind

SPEEDS = (("mph", "miles per hour"), ("km_h", "km per hour"), ("m_s", "metres per second"))
DIRECTIONS = [
    ("", "not told"), ("calm", "calm"), ("variable", "variable"),
    *((each, each.upper()) for each in ("n", "ne", "e", "se", "s", "sw", "w", "nw")),
]  # fmt: skip
YES_NO = (("no", "No, nothing"), ("yes", "Yes"))


class AnswerDayForm(DayForm):
    """Whether anything went wrong on the day."""

    had_incident = base.choice("Did anything go wrong: a spill, an exposure, an injury, drift?", YES_NO)

    def sends(self) -> list[Sent]:
        """Return the answer."""
        answer = self.cleaned_data["had_incident"] == "yes"
        return [self.sent("work_day", "answer", id=self.day.id, had_incident=answer)]


class BriefingForm(DayForm):
    """A briefing that was held."""

    held_at = base.clock("Held at")
    topics = forms.MultipleChoiceField(label="What was spoken of", required=False, widget=forms.CheckboxSelectMultiple)
    emergency_plan_read = forms.BooleanField(label="The emergency sheet was read out", required=False)
    label_at_hand = forms.BooleanField(label="Label and safety data sheet were at hand", required=False)
    words = base.text("What else was said", rows=2)

    def fill(self) -> None:
        """Offer the topics that bear on the day."""
        topics = [each for each in practices_of(self.here.group.id) if each.what == PracticeKind.TOPIC]
        bearing = [each for each in topics if self.day.herbicide_planned or not each.with_herbicide]
        self.fields["topics"].choices = [(str(each.id), each.title) for each in bearing]
        self.initial["held_at"] = self.now()

    def sends(self) -> list[Sent]:
        """Return the briefing."""
        told = dict(self.cleaned_data)
        at = base.instant(self.day.on_date, told["held_at"], self.day.zone())
        said = {name: told[name] for name in ("topics", "emergency_plan_read", "words")}
        at_hand = told["label_at_hand"] or None
        return [self.sent("briefing", "create", work_day=self.day.id, held_at=at, label_at_hand=at_hand, **said)]


class SignForm(DayForm):
    """One's own line under a briefing."""

    briefing = forms.UUIDField(widget=forms.HiddenInput)

    def sends(self) -> list[Sent]:
        """Return the line, signed now."""
        told = self.cleaned_data
        at = self.here.at.isoformat()
        return [self.sent("briefing_signature", "create", briefing=told["briefing"], signed_at=at)]


class SheetForm(SignForm):
    """A line that somebody signed on a sheet."""

    member = base.choice("Who signed")
    signed_at = base.clock("Signed at")
    sheet = base.text("Which sheet, and where it is kept", required=True, max_length=200)

    def __init__(self, *args: Any, people: list[tuple[str, str]] = [], **kwargs: Any) -> None:  # noqa: B006
        """Offer ``people``: who came and has not signed."""
        self.people = people
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer who has not signed, and the present time."""
        self.fields["member"].choices = [("", "Choose"), *self.people]
        self.initial["signed_at"] = self.now()

    def sends(self) -> list[Sent]:
        """Return the line."""
        told = self.cleaned_data
        at = base.instant(self.day.on_date, told["signed_at"], self.day.zone())
        said = {name: told[name] for name in ("briefing", "member", "sheet")}
        return [self.sent("briefing_signature", "create", signed_at=at, **said)]


class WeatherForm(DayForm):
    """What somebody read of the weather."""

    read_at = base.clock("Read at")
    moment = base.choice("When", (("start", "at the start"), ("change", "when it changed"), ("end", "at the end")))
    wind_speed = base.number("Wind", required=False)
    wind_unit = base.choice("Unit of the wind", SPEEDS)
    wind_direction = base.choice("From", DIRECTIONS, required=False)
    temperature = base.number("Air temperature", required=False)
    temperature_unit = base.choice("Unit of the temperature", (("f", "°F"), ("c", "°C")))
    humidity_percent = base.count("Humidity in %", least=0)
    sky = base.text("Sky", max_length=200)
    rain_outlook = base.text("Rain to be expected, and who says so", max_length=200)
    read_from = base.text("Read off which instrument or station", max_length=200)

    def fill(self) -> None:
        """Offer the present time, and the units of the group's land."""
        self.initial["read_at"] = self.now()
        metric = self.here.group.area_unit in ("ha", "m2")
        self.initial |= {"wind_unit": "km_h" if metric else "mph", "temperature_unit": "c" if metric else "f"}

    def sends(self) -> list[Sent]:
        """Return the reading."""
        told = self.cleaned_data
        at = base.instant(self.day.on_date, told["read_at"], self.day.zone())
        wind = {"value": told["wind_speed"], "unit": told["wind_unit"]} if told["wind_speed"] else None
        heat = {"value": told["temperature"], "unit": told["temperature_unit"]} if told["temperature"] else None
        plain = {name: told[name] for name in ("moment", "wind_direction", "sky", "rain_outlook", "read_from")}
        return [
            self.sent(
                "weather_reading", "create", work_day=self.day.id, read_at=at, wind_speed=wind, temperature=heat,
                humidity_percent=told["humidity_percent"], **plain,
            )
        ]  # fmt: skip


class PostingForm(DayForm):
    """A sign that was put up."""

    text = base.text("What it says, and where it stands", required=True, rows=2)
    put_up_at = base.clock("Put up at")
    units = forms.MultipleChoiceField(label="About which units", required=False, widget=forms.CheckboxSelectMultiple)
    enter_again_note = base.text(
        "When people may enter again", max_length=200, help_text="As the label says it, such as: when dry"
    )
    due_on = base.calendar("To come down on", required=False)
    due_at = base.clock("at", required=False)

    def fill(self) -> None:
        """Offer the units of the day, and the present time."""
        units = Unit.objects.filter(group_id=self.here.group.id, id__in=self.day.units).order_by("name")
        self.fields["units"].choices = [(str(unit.id), unit.name) for unit in units]
        self.initial["put_up_at"] = self.now()

    def clean(self) -> dict[str, Any]:
        """Refuse a day without a time, and a time without a day."""
        told = super().clean() or self.cleaned_data
        if bool(told.get("due_on")) != bool(told.get("due_at")):
            self.add_error("due_on", "Say on which day and at what time it is to come down, or neither.")
        return told

    def sends(self) -> list[Sent]:
        """Return the sign."""
        told, zone = self.cleaned_data, self.day.zone()
        due = base.instant(told["due_on"], told["due_at"], zone) if told["due_on"] else None
        return [
            self.sent(
                "posting", "create", property=self.day.property_id, work_day=self.day.id, text=told["text"],
                put_up_at=base.instant(self.day.on_date, told["put_up_at"], zone), units=told["units"],
                enter_again_note=told["enter_again_note"], due_down_at=due,
            )
        ]  # fmt: skip


class TakeDownForm(DayForm):
    """A sign came down, now."""

    posting = forms.UUIDField(widget=forms.HiddenInput)

    def sends(self) -> list[Sent]:
        """Return the end of the sign."""
        return [
            self.sent("posting", "take_down", id=self.cleaned_data["posting"], taken_down_at=self.here.at.isoformat())
        ]


class IncidentForm(DayForm):
    """What went wrong, and apart from it who was hurt."""

    what = base.choice("What went wrong", [("", "Choose"), *IncidentKind.choices])
    happened_at = base.clock("When")
    words = base.text(
        "What happened", required=True, rows=3, help_text="The whole group reads this: nothing about anybody's health."
    )
    first_action = base.text("What was done at once", rows=2)
    whom = base.text("Who was told of it", max_length=200, help_text="Such as: the landowner, the poison centre")
    told_at = base.clock("Told at", required=False)
    how = base.text("How", max_length=200, help_text="Such as: by telephone")
    who = base.text("Who was hurt or exposed", rows=2, help_text="Only coordinators read this and the next.")
    health = base.text("What happened to them, and what was done for them", rows=2)
    places = {"notified": "told_at"}

    def fill(self) -> None:
        """Offer the present time."""
        self.initial["happened_at"] = self.now()

    def clean(self) -> dict[str, Any]:
        """Refuse half of a notice, and health without a person."""
        told = super().clean() or self.cleaned_data
        given = [bool(told.get(name)) for name in ("whom", "told_at", "how")]
        if any(given) and not all(given):
            self.add_error("whom", "Say who was told, when and how, or none of the three.")
        if told.get("health") and not told.get("who"):
            self.add_error("who", "Say who it was.")
        return told

    def sends(self) -> list[Sent]:
        """Return the incident, and who was hurt."""
        told, made = self.cleaned_data, self.made("incident")
        notified = [{"whom": told["whom"], "at": self._at("told_at"), "how": told["how"]}] if told["whom"] else []
        report = self.sent(
            "incident", "create", new=made, property=self.day.property_id, work_day=self.day.id, what=told["what"],
            happened_at=self._at("happened_at"), words=told["words"], first_action=told["first_action"],
            notified=notified,
        )  # fmt: skip
        if not told["who"]:
            return [report]
        hurt = self.sent(
            "incident_details", "create", part="who", incident=made, who=told["who"], health=told["health"]
        )
        return [report, hurt]

    def _at(self, name: str) -> str | None:
        return base.instant(self.day.on_date, self.cleaned_data[name], self.day.zone())


class AnswerIncidentForm(DayForm):
    """What came of an incident."""

    incident = forms.UUIDField(widget=forms.HiddenInput)
    answer = base.text("What came of it", required=True, rows=2)

    def sends(self) -> list[Sent]:
        """Return the answer, given now."""
        told = self.cleaned_data
        at = self.here.at.isoformat()
        return [self.sent("incident", "answer", id=told["incident"], answer=told["answer"], answered_at=at)]


class SettleForm(DayForm):
    """An estimate of when somebody left who cannot be asked."""

    attendance = forms.UUIDField(widget=forms.HiddenInput)
    out_at = base.clock("Left about")
    words = base.text("What that rests on", required=True, max_length=400, help_text="Such as: seen off at the gate")

    def sends(self) -> list[Sent]:
        """Return the estimate."""
        told = self.cleaned_data
        at = base.instant(self.day.on_date, told["out_at"], self.day.zone())
        return [self.sent("attendance", "settle", id=told["attendance"], out_at=at, words=told["words"])]


class GoOnForm(DayForm):
    """Why work went on although a reading was over a stored limit."""

    reading = forms.UUIDField(widget=forms.HiddenInput)
    went_on = base.text("Why work went on", required=True, rows=2, max_length=4000)

    def sends(self) -> list[Sent]:
        """Return the reason."""
        told = self.cleaned_data
        return [self.sent("weather_reading", "go_on", id=told["reading"], went_on=told["went_on"])]


class AdmitForm(DayForm):
    """Why somebody works whose waiver is not signed."""

    attendance = forms.UUIDField(widget=forms.HiddenInput)
    words = base.text("Why they work without a signed waiver", required=True, max_length=400)

    def sends(self) -> list[Sent]:
        """Return the words."""
        told = self.cleaned_data
        return [self.sent("attendance", "admit", id=told["attendance"], words=told["words"])]
