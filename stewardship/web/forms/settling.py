"""How an entry that was held is settled on its page."""

from typing import Any

from django import forms

from stewardship.sync.models import ToSettle
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ReasonForm
from stewardship.web.queries.settling import Said


class SettlingForm(ReasonForm):
    """An act on an entry that waits."""

    op = ""

    def __init__(self, *args: Any, item: ToSettle, said: list[Said], **kwargs: Any) -> None:
        """Ask about this entry."""
        self.item, self.said = item, said
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the act."""
        return [self.sent("to_settle", self.op, id=self.item.id, reason=self.cleaned_data["reason"])]


class ReleaseForm(SettlingForm):
    """Record it in its author's name."""

    op = "release"


class VoidForm(SettlingForm):
    """It was a mistake."""

    op = "void"


class DecideForm(SettlingForm):
    """Decide for each disputed field whose value is to stand."""

    def fill(self) -> None:
        """Ask about each disputed field."""
        for each in self.said:
            if each.is_disputed:
                sides = [("theirs", f"what was sent: {each.value}"), ("ours", f"what stands: {each.stands}")]
                field = base.choice(each.label.capitalize(), sides, widget=forms.RadioSelect)
                self.fields[f"side_{each.name}"] = field
        self.order_fields([name for name in self.fields if name != "reason"])

    def sends(self) -> list[Sent]:
        """Return the decision."""
        told = self.cleaned_data
        sides = {name.removeprefix("side_"): side for name, side in told.items() if name.startswith("side_")}
        return [self.sent("to_settle", "settle", id=self.item.id, reason=told["reason"], fields=sides)]
