"""A form that becomes mutations: it carries their id, and keeps what was typed when it is refused."""

from collections.abc import Iterable
from datetime import date, datetime, time, tzinfo
from http import HTTPStatus
from typing import Any, ClassVar
from uuid import UUID, uuid5

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from stewardship.errors import RuleViolation
from stewardship.journal.ids import new_id
from stewardship.sync.reading import Sent
from stewardship.web.access import OF_GROUP, Here
from stewardship.workdays.reasons import Reason, ReasonsStand

Choices = Iterable[tuple[str, str]]
REQUIRED = {"required": "Please fill this in.", "invalid_choice": "Choose one from the list."}


class Mid(forms.HiddenInput):
    """The hidden id of a form, and beside it the group that the form was opened in."""

    group_id: UUID | None = None

    def render(self, *args: Any, **kwargs: Any) -> SafeString:
        """Return both."""
        return super().render(*args, **kwargs) + of_group(self.group_id)


def of_group(group_id: UUID | None) -> SafeString:
    """Return the hidden field that says in which group a form was opened."""
    if group_id is None:
        return SafeString("")
    return format_html('<input type="hidden" name="{}" value="{}">', OF_GROUP, group_id)


class ActForm(forms.Form):
    """A form of a page. A refusal's ``where`` that is no field of it is looked up in ``places``."""

    required_css_class = "required"
    places: ClassVar[dict[str, str]] = {}

    mid = forms.UUIDField(widget=Mid)

    def __init__(self, *args: Any, here: Here, **kwargs: Any) -> None:
        """Fill it in for ``here``: who, in which group, when."""
        self.here = here
        self.reasons: list[Reason] = []
        self.status = HTTPStatus.OK
        kwargs["initial"] = {"mid": new_id()} | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.fields["mid"].widget.group_id = here.group.id
        self.fill()
        speak_plainly(self)

    def fill(self) -> None:
        """Fill in what there is to choose from."""

    def sends(self) -> list[Sent]:
        """Return the mutations that the answers stand for."""
        raise TypeError(f"{type(self).__name__} does not say what it sends")

    def sent(
        self, type: str, op: str, /, *, id: UUID | None = None, new: UUID | None = None, part: str = "",
        reason: str = "", **set: Any,
    ) -> Sent:  # fmt: skip
        """Return one mutation, on ``id`` or making ``new``; ``part`` names it where the form sends several."""
        mid = self.cleaned_data["mid"]
        plain = {name: _plain(value) for name, value in set.items()} | ({"id": str(new)} if new else {})
        return Sent(mid=uuid5(mid, part) if part else mid, type=type, op=op, id=id, reason=reason, set=plain)

    def made(self, part: str = "record") -> UUID:
        """Return the id of a record that the form makes: the same however often it is sent."""
        return uuid5(self.cleaned_data["mid"], f"id of {part}")

    def refuse(self, rule: RuleViolation) -> None:
        """Keep a refusal: beside its field, or at the top with every reason."""
        self.status = HTTPStatus.CONFLICT
        if isinstance(rule, ReasonsStand):
            self.reasons += rule.facts["reasons"]
            self.add_error(None, rule.lead)
            return
        where = rule.where.split(".")[0]
        name = self.places.get(rule.where, self.places.get(where, where))
        self.add_error(name if name in self.fields and name != "mid" else None, str(rule))

    def send_as_new(self) -> None:
        """Give the form another id, so that sending it again is something new."""
        self.data = self.data.copy()
        self.data["mid"] = str(new_id())


def _plain(value: Any) -> Any:
    return str(value) if isinstance(value, UUID) else value.isoformat() if isinstance(value, date) else value


def speak_plainly(form: forms.Form) -> None:
    """Let the form's fields refuse in our words."""
    for field in form.fields.values():
        field.error_messages |= {key: text for key, text in REQUIRED.items() if key in field.error_messages}


class ReasonForm(ActForm):
    """An act that says why."""

    reason = forms.CharField(label="Reason", max_length=1000, widget=forms.Textarea(attrs={"rows": 2}))


def text(label: str, *, required: bool = False, rows: int = 0, **more: Any) -> forms.CharField:
    """Return a field for words."""
    widget = forms.Textarea(attrs={"rows": rows}) if rows else forms.TextInput()
    return forms.CharField(label=label, required=required, widget=widget, **more)


def number(label: str, *, required: bool = True, **more: Any) -> forms.CharField:
    """Return a field for a decimal number: kept as typed, read by the rules, refused in their words."""
    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "number"})
    return forms.CharField(label=label, required=required, max_length=40, widget=widget, **more)


def count(label: str, *, required: bool = False, least: int = 1, **more: Any) -> forms.IntegerField:
    """Return a field for a whole number."""
    widget = forms.NumberInput(attrs={"inputmode": "numeric", "class": "number"})
    return forms.IntegerField(label=label, required=required, min_value=least, max_value=10**6, widget=widget, **more)


def choice(label: str, choices: Choices = (), *, required: bool = True, **more: Any) -> forms.ChoiceField:
    """Return a field to choose from a list."""
    return forms.ChoiceField(label=label, choices=list(choices), required=required, **more)


def clock(label: str, *, required: bool = True, **more: Any) -> forms.TimeField:
    """Return a field for a time of day."""
    widget = forms.TimeInput(format="%H:%M", attrs={"type": "time"})
    return forms.TimeField(label=label, required=required, widget=widget, **more)


def calendar(label: str, *, required: bool = True, **more: Any) -> forms.DateField:
    """Return a field for a date."""
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    return forms.DateField(label=label, required=required, widget=widget, **more)


def instant(on: date, at: time | None, zone: tzinfo) -> str | None:
    """Return the moment when the zone's clock shows this date and time, as it is sent."""
    return None if at is None else datetime.combine(on, at, tzinfo=zone).isoformat()
