"""What is asked about a work day: leading it through its day, coming and leaving."""

from typing import Any
from uuid import UUID

from stewardship.closeout.services import MAY_STAY_UNKNOWN
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm, ReasonForm
from stewardship.web.queries.days import present_members
from stewardship.workdays.models import Attendance, Duty, DutyName, SignUp, WorkDay
from stewardship.workdays.models import HowKnown as TimeKnown

DUTIES = [(code, str(label)) for code, label in DutyName.choices if code != DutyName.OTHER]


class DayForm(ActForm):
    """An act on a work day."""

    def __init__(self, *args: Any, day: WorkDay, **kwargs: Any) -> None:
        """Ask about ``day``."""
        self.day = day
        super().__init__(*args, **kwargs)

    def is_today(self) -> bool:
        """Tell whether the clock of the place shows the day's date."""
        return self.here.at.astimezone(self.day.zone()).date() == self.day.on_date

    def now(self) -> Any:
        """Return the time by the clock of the place on the day itself; on another day nothing is filled in."""
        return (
            self.here.at.astimezone(self.day.zone()).time().replace(second=0, microsecond=0)
            if self.is_today()
            else None
        )


class MoveForm(DayForm):
    """A move of a work day that needs no more words: open, confirm, finish, close."""

    op = ""

    def sends(self) -> list[Sent]:
        """Return the move."""
        return [self.sent("work_day", self.op, id=self.day.id)]


def move(op: str) -> type[MoveForm]:
    """Return the form of a move."""
    return type(f"{op.capitalize()}Form", (MoveForm,), {"op": op, "__doc__": f"The move: {op}."})


class CloseForm(DayForm):
    """The day is closed; what its records lack and nobody knows any more is said."""

    reason = base.text("What the records lack, and why nobody knows it any more", rows=2, max_length=1000)

    def may_say_why(self) -> bool:
        """Tell whether the day was refused for something that may stay unknown, with a reason."""
        return any(reason["code"] in MAY_STAY_UNKNOWN for reason in self.reasons)

    def sends(self) -> list[Sent]:
        """Return the move."""
        return [self.sent("work_day", "close", id=self.day.id, reason=self.cleaned_data["reason"])]


class WithoutHerbicideForm(DayForm):
    """The day is held without herbicide."""

    def sends(self) -> list[Sent]:
        """Return the change of plan."""
        return [self.sent("work_day", "amend", id=self.day.id, herbicide_planned=False)]


class CancelForm(ReasonForm, DayForm):
    """The day is cancelled, and why."""

    notice = base.text("What else to tell who signed up", rows=2, max_length=4000)

    def sends(self) -> list[Sent]:
        """Return the end of it."""
        told = self.cleaned_data
        return [self.sent("work_day", "cancel", id=self.day.id, reason=told["reason"], notice=told["notice"])]


class StopForm(ReasonForm, DayForm):
    """The day is stopped early: when, and why."""

    stopped_at = base.clock("Stopped at")
    field_order = ("stopped_at", "reason")

    def fill(self) -> None:
        """Offer the present time."""
        self.initial["stopped_at"] = self.now()

    def sends(self) -> list[Sent]:
        """Return the stop."""
        at = base.instant(self.day.on_date, self.cleaned_data["stopped_at"], self.day.zone())
        return [self.sent("work_day", "stop", id=self.day.id, reason=self.cleaned_data["reason"], stopped_at=at)]


class DutyForm(DayForm):
    """Another duty on a day that is planned already."""

    name = base.choice("Duty", [("", "Choose"), *((code, label) for code, label in DutyName.choices)])
    other_name = base.text("If it is another one: which", max_length=100)
    wanted = base.count("How many people", required=True)
    minimum_age = base.count("From how many years of age")

    def clean(self) -> dict[str, Any]:
        """Refuse another duty without words, and words for one that has a name."""
        told = super().clean() or self.cleaned_data
        if told.get("name") and (told["name"] == DutyName.OTHER) != bool(told.get("other_name")):
            self.add_error("other_name", "Choose other and say here which duty it is, or leave this empty.")
        return told

    def sends(self) -> list[Sent]:
        """Return the duty."""
        told = self.cleaned_data
        return [
            self.sent(
                "duty", "create", work_day=self.day.id, name=told["name"], wanted=told["wanted"],
                other_name=told["other_name"], minimum_age=told["minimum_age"],
            )
        ]  # fmt: skip


class AmendDutyForm(DayForm):
    """More or fewer people are wanted for a duty, or older ones; what is left empty stays."""

    duty = base.choice("Which duty")
    wanted = base.count("How many people are wanted", least=0, help_text="0: the duty is dropped; who signed up stays.")
    minimum_age = base.count("From how many years of age")

    def fill(self) -> None:
        """Offer the day's duties."""
        self.fields["duty"].choices = [("", "Choose"), *_duties(self)]

    def sends(self) -> list[Sent]:
        """Return the change."""
        told = {name: self.cleaned_data[name] for name in ("wanted", "minimum_age")}
        said = {name: value for name, value in told.items() if value is not None}
        return [self.sent("duty", "amend", id=UUID(self.cleaned_data["duty"]), **said)]


class SignUpForm(DayForm):
    """A member's word to do a duty: one's own, or somebody's whom a coordinator or the day's leader names."""

    places = {"work_day": "", "duty": "", "member": ""}  # told at the top: a volunteer's form is a button
    duty = base.choice("Duty")
    member = base.choice("Who", required=False)
    drop_in = base.text(
        "Or somebody who is no member", max_length=200, help_text="Their name. They become a member who cannot sign in."
    )

    def fill(self) -> None:
        """Offer the day's duties and the group's members."""
        self.fields["duty"].choices = _duties(self)
        self.fields["member"].choices = [("", "Myself"), *_members(self)]

    def sends(self) -> list[Sent]:
        """Return the sign-up."""
        told = self.cleaned_data
        who = {"member": told["member"] or None, "drop_in": told["drop_in"] or None}
        return [self.sent("sign_up", "create", work_day=self.day.id, duty=told["duty"], **who)]


class WithdrawForm(ActForm):
    """A sign-up is taken back."""

    def __init__(self, *args: Any, sign_up: SignUp, **kwargs: Any) -> None:
        """Take ``sign_up`` back."""
        self.sign_up = sign_up
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the withdrawal."""
        return [self.sent("sign_up", "withdraw", id=self.sign_up.id)]


class CheckInForm(DayForm):
    """Somebody came."""

    member = base.choice("Who", required=False)
    in_at = base.clock("Came at")
    age_class = base.choice("Counted as", (("adult", "an adult"), ("youth", "under 18"), ("staff", "paid staff")))

    def fill(self) -> None:
        """Offer the group's members and the present time."""
        self.fields["member"].choices = [("", "Myself"), *_members(self)]
        self.initial["in_at"] = self.now()

    def sends(self) -> list[Sent]:
        """Return the check-in."""
        told = self.cleaned_data
        at = base.instant(self.day.on_date, told["in_at"], self.day.zone())
        return [
            self.sent(
                "attendance", "create", work_day=self.day.id, in_at=at, age_class=told["age_class"],
                member=told["member"] or None,
            )
        ]  # fmt: skip


class CheckOutForm(DayForm):
    """Somebody left, and how the time is known."""

    out_at = base.clock("Left at")
    how_known = base.choice(
        "How the time is known", [(TimeKnown.MEASURED, "seen on a clock"), (TimeKnown.ESTIMATED, "estimated")]
    )

    def __init__(self, *args: Any, attendance: Attendance, **kwargs: Any) -> None:
        """End ``attendance``, the check-in."""
        self.attendance = attendance
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer the present time."""
        self.initial["out_at"] = self.now()

    def sends(self) -> list[Sent]:
        """Return the check-out."""
        told = self.cleaned_data
        at = base.instant(self.day.on_date, told["out_at"], self.day.zone())
        return [self.sent("attendance", "check_out", id=self.attendance.id, out_at=at, how_known=told["how_known"])]


def _duties(form: DayForm) -> list[tuple[str, str]]:
    duties = Duty.objects.filter(group_id=form.here.group.id, work_day=form.day).order_by("id")
    return [(str(d.id), str(d).capitalize()) for d in duties]


def _members(form: ActForm) -> list[tuple[str, str]]:
    return [(str(m.id), m.display_name) for m in present_members(form.here) if m.id != form.here.member.id]
