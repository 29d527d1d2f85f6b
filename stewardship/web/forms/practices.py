"""What is published about a day's work, on pages: entered, gone by or not, taken out of use."""

from typing import Any

from django import forms

from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.days import DUTIES
from stewardship.workdays.models import Practice, PracticeKind

KINDS = [(each.value, str(each.label)) for each in PracticeKind if each != PracticeKind.CLOCK]


class PracticeForm(ActForm):
    """A topic, a number or a least age that the group goes by."""

    what = base.choice("What it is", KINDS)
    title = base.text("In short", required=True, max_length=200, help_text="As lists show it.")
    value = base.text("The number to call, or the age in years", max_length=60, help_text="Empty for a topic.")
    subject = base.choice("The duty that the age is for", [("", "none"), *DUTIES], required=False)
    with_herbicide = forms.BooleanField(label="It bears on days with herbicide only", required=False)
    wording = base.text("What the source says", rows=2, max_length=4000)
    source = base.text("Source", required=True, rows=2, max_length=4000, help_text="Title, publisher, year, page.")

    def clean(self) -> dict[str, Any]:
        """Ask for the age with its duty, and for the number."""
        told = super().clean() or self.cleaned_data
        what, value = told.get("what"), told.get("value", "")
        if what == PracticeKind.MINIMUM_AGE and not value.isdigit():
            self.add_error("value", "Write the least age in whole years, such as 18.")
        if what == PracticeKind.MINIMUM_AGE and not told.get("subject"):
            self.add_error("subject", "Choose the duty that the age is for.")
        if what == PracticeKind.NUMBER and not any(each.isdigit() for each in value):
            self.add_error("value", "Write the number to call.")
        return told

    def sends(self) -> list[Sent]:
        """Return the new practice."""
        told = {name: value for name, value in self.cleaned_data.items() if name != "mid"}
        return [self.sent("practice", "create", new=self.made(), **told)]


class OfPracticeForm(ActForm):
    """An act on a practice that needs no words."""

    def __init__(self, *args: Any, practice: Practice, act: str, **kwargs: Any) -> None:
        """Do ``act`` with ``practice``."""
        self.practice, self.act = practice, act
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return whether the group goes by it, or whether it is in use."""
        if self.act in ("retire", "reinstate"):
            return [self.sent("practice", self.act, id=self.practice.id)]
        return [self.sent("practice", "amend", id=self.practice.id, is_followed=self.act == "follow")]
