"""What is asked about work days that come back."""

from datetime import date, datetime, timedelta
from typing import Any, ClassVar
from uuid import UUID

from django import forms

from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ReasonForm
from stewardship.web.forms.plans import NewDayForm, PlanForm
from stewardship.workdays.models import WorkDaySeries

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
HOW_OFTEN = (
    ("weekly", "Every week, on the weekday of the first day"),
    ("fortnightly", "Every two weeks, on the weekday of the first day"),
    ("nth", "Every month, on the same weekday of the month as the first day, such as the second Saturday"),
    ("last", "Every month, on its last such weekday"),
    ("rule", "By a rule of my own, below"),
)
MONTHS = tuple((str(month), f"{date(2000, month, 1):%B}") for month in range(1, 13))


def rule_of(how: str, first_on: date, months: list[str], until: date | None) -> str:
    """Return the rule of RFC 5545 that an answer stands for."""
    day = WEEKDAYS[first_on.weekday()]
    freq = {
        "weekly": "FREQ=WEEKLY",
        "fortnightly": "FREQ=WEEKLY;INTERVAL=2",
        "nth": f"FREQ=MONTHLY;BYDAY={(first_on.day - 1) // 7 + 1}{day}",
        "last": f"FREQ=MONTHLY;BYDAY=-1{day}",
    }[how]
    in_months = [f"BYMONTH={','.join(months)}"] if months else []
    ends = [f"UNTIL={until:%Y%m%d}T235959"] if until else []
    return ";".join([freq, *in_months, *ends])


class SeriesForm(NewDayForm):
    """A series of work days: how often, from which day on, and what each day looks like."""

    places: ClassVar[dict[str, str]] = {"rule": "rule", "first_on": "on_date", "starts": "starts_at"}
    pairs: ClassVar[dict[str, str]] = {}

    how_often = base.choice("How often", HOW_OFTEN)
    rule = base.text("A rule of my own", max_length=500, help_text="As RFC 5545 writes it: FREQ=MONTHLY;BYDAY=2SA")
    months = forms.MultipleChoiceField(
        label="Only in these months", choices=MONTHS, required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Tick none, and it comes all year.",
    )  # fmt: skip
    until = base.calendar("Last day at the latest", required=False)
    closes_h = base.count("Sign-up closes so many hours before", least=0)
    weather_h = base.count("The weather is decided on so many hours before", least=0)
    opens = forms.BooleanField(
        label="Open each day for sign-up at once", required=False,
        help_text="Else each begins as a draft. A day whose task is not approved for its date stays a draft.",
    )  # fmt: skip

    def fill(self) -> None:
        """Ask for hours before a day instead of dates."""
        super().fill()
        for name in ("weather_on", "weather_at", "closes_on", "closes_at"):
            del self.fields[name]
        self.fields["on_date"].label = "First day"
        for name in ("starts_at", "ends_at"):
            self.fields[name].required = True

    def clean(self) -> dict[str, Any]:
        """Refuse a rule of one's own that is not there."""
        told = super().clean()
        if told.get("how_often") == "rule" and not told.get("rule"):
            self.add_error("rule", "Write the rule here, or choose another answer above.")
        return told

    def sends(self) -> list[Sent]:
        """Return the series."""
        told = self.cleaned_data
        how, own = told["how_often"], told["rule"]
        rule = own if how == "rule" else rule_of(how, told["on_date"], told["months"], told["until"])
        plan = self.planned() | {"sign_up_closes_h": told["closes_h"], "weather_decision_h": told["weather_h"]}
        duties = [{"name": name, "wanted": wanted, "other_name": other} for name, wanted, other in self.duties()]
        return [
            self.sent(
                "work_day_series", "create", new=self.made(), property=told["property"], title=told["title"], rule=rule,
                first_on=told["on_date"], starts=f"{told['starts_at']:%H:%M}", minutes=minutes_of(told), plan=plan,
                duties=duties, opens=told["opens"],
            )
        ]  # fmt: skip


def minutes_of(told: dict[str, Any]) -> int:
    """Return how long a day lasts; one that ends at an earlier reading of the clock ends after midnight."""
    begins, ends = (datetime.combine(date.min, told[name]) for name in ("starts_at", "ends_at"))
    return int((ends - begins) % timedelta(days=1) / timedelta(minutes=1)) or 24 * 60


class AmendSeriesForm(PlanForm):
    """A change of what each day of a series looks like."""

    starts_at = base.clock("Begins")
    ends_at = base.clock("Ends")
    without = base.text(
        "Dates that are left out", rows=2, help_text="Written like 2027-07-03, with a comma or a new line between them."
    )
    opens = forms.BooleanField(label="Open each new day for sign-up at once", required=False)

    def __init__(self, *args: Any, series: WorkDaySeries, **kwargs: Any) -> None:
        """Change ``series``."""
        self.series = series
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer what belongs to its property, and fill in what it says."""
        super().fill()
        plan, starts = self.series.plan, datetime.strptime(self.series.starts, "%H:%M")  # noqa: DTZ007
        kept = {name: plan.get(name) for name in self.fields if name in plan}
        others = [each["note"] for each in plan["hazards"] if each["what"] == "other"]
        self.initial = kept | {
            "title": self.series.title, "starts_at": starts.time(),
            "ends_at": (starts + timedelta(minutes=self.series.minutes)).time(),
            "hazards": [each["what"] for each in plan["hazards"]], "other_hazard": "; ".join(others),
            "without": ", ".join(self.series.without), "opens": self.series.opens,
        } | self.initial  # fmt: skip

    def kept(self) -> list[str]:
        """Return the ids of the task, leader and species of its days."""
        plan = self.series.plan
        return [*plan["species"], *(id for id in (plan["task"], plan["leader"]) if id)]

    def is_on(self, of: Any) -> bool:
        """Tell whether something belongs to the property of the series."""
        return bool(of.property_id == self.series.property_id)

    def named(self, property_id: UUID, name: str) -> str:
        """Return the bare name: everything is of one property."""
        return name

    def clean_without(self) -> list[str]:
        """Return the dates that are left out. Refuses what is no date."""
        written = self.cleaned_data["without"].replace(",", " ").split()
        try:
            return [date.fromisoformat(each).isoformat() for each in written]
        except ValueError as wrong:
            raise forms.ValidationError("Write each date like 2027-07-03.") from wrong

    def sends(self) -> list[Sent]:
        """Return the change."""
        told = self.cleaned_data
        kept = {name: self.series.plan[name] for name in ("sign_up_closes_h", "weather_decision_h", "products")}
        plan = kept | self.planned(self.series.plan["hazards"])
        return [
            self.sent(
                "work_day_series", "amend", id=self.series.id, title=told["title"], starts=f"{told['starts_at']:%H:%M}",
                minutes=minutes_of(told), without=told["without"], plan=plan, opens=told["opens"],
            )
        ]  # fmt: skip


class EndSeriesForm(ReasonForm):
    """A series ends, and why."""

    last_on = base.calendar("Last day", help_text="Later days that nobody changed by themselves are cancelled.")
    field_order = ("last_on", "reason")

    def __init__(self, *args: Any, series: WorkDaySeries, **kwargs: Any) -> None:
        """End ``series``."""
        self.series = series
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the end."""
        told = self.cleaned_data
        return [self.sent("work_day_series", "end", id=self.series.id, last_on=told["last_on"], reason=told["reason"])]
