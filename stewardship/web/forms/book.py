"""A head of the record book that somebody kept is held against the book."""

import re
from typing import Any

from django import forms

from stewardship.sync.rewinding import Head

_HEAD = re.compile(r"([0-9]{1,15}) *: *([0-9a-f]{64})")


class HeadForm(forms.Form):
    """The head, if there is one."""

    head = forms.CharField(
        label="A head that you kept", required=False, max_length=100,
        help_text="From a report, a letter or this page: its number, a colon and 64 letters and digits.",
    )  # fmt: skip

    def clean_head(self) -> Any:
        """Refuse what is no head."""
        text = self.cleaned_data["head"].strip().lower()
        found = _HEAD.fullmatch(text)
        if text and not found:
            raise forms.ValidationError("This is no head. It is a number, a colon and 64 letters and digits.")
        return Head(int(found[1]), found[2]) if found else None

    def remembered(self) -> Head | None:
        """Return the head, if one was written."""
        head: Head | None = self.cleaned_data["head"]
        return head
