"""What is asked about a task that was approved for a property."""

from typing import Any

from django import forms

from stewardship.catalog.models import Species
from stewardship.places.models import Property, Unit
from stewardship.rules.methods import WORDS as METHODS
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm, ReasonForm
from stewardship.web.forms.plans import ticks
from stewardship.web.queries.days import present_members
from stewardship.workdays.models import ApprovedTask

PLAIN = ("title", "approved_by", "approved_on", "from_on", "to_on", "units", "species", "methods", "herbicide")
NONE_MEANS_ALL = "Tick none, and it is approved for all of them."


class TaskForm(ActForm):
    """A task that somebody approved."""

    title = base.text("What was approved", required=True, max_length=200, help_text="Such as: Buckthorn, north side")
    approved_by = base.text("Who approved it, in words", max_length=200, help_text="Such as: the land committee")
    approver = base.choice("Or which member", required=False)
    approved_on = base.calendar("Approved on")
    from_on = base.calendar("It may be done from")
    to_on = base.calendar("Until", required=False)
    units = ticks("Units", help_text=NONE_MEANS_ALL)
    species = ticks("Species", help_text=NONE_MEANS_ALL)
    methods = ticks("Methods", choices=list(METHODS.items()), help_text=NONE_MEANS_ALL)
    herbicide = forms.BooleanField(label="With herbicide, too", required=False)
    document = base.text("Where the paper is that says so", rows=2, max_length=4000)
    note = base.text("Note", rows=2, max_length=4000)

    def __init__(self, *args: Any, property_: Property, **kwargs: Any) -> None:
        """Ask about a task for this property."""
        self.property_ = property_
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer the property's units, the species and who could have approved it."""
        group = {"group_id": self.here.group.id}
        units = Unit.objects.filter(**group, property=self.property_).order_by("name", "id")
        species = Species.objects.filter(**group, retired_at=None).order_by("common_name", "scientific_name", "id")
        members = present_members(self.here)
        self.fields["units"].choices = [(str(u.id), u.name) for u in units]
        self.fields["species"].choices = [(str(s.id), str(s)) for s in species]
        self.fields["approver"].choices = [("", "No member"), *((str(m.id), m.display_name) for m in members)]

    def sends(self) -> list[Sent]:
        """Return the task."""
        told = {name: self.cleaned_data[name] for name in (*PLAIN, "document", "note")}
        approver = self.cleaned_data["approver"] or None
        return [
            self.sent("approved_task", "create", new=self.made(), property=self.property_.id, approver=approver, **told)
        ]


class WantTasksForm(ActForm):
    """The group wants an approved task for every day, or wants none any more."""

    def sends(self) -> list[Sent]:
        """Return the other setting."""
        wants = not self.here.group.wants_approved_tasks
        return [self.sent("group", "amend", id=self.here.group.id, wants_approved_tasks=wants)]


class WithdrawTaskForm(ReasonForm):
    """An approval is withdrawn, and why."""

    def __init__(self, *args: Any, task: ApprovedTask, **kwargs: Any) -> None:
        """Withdraw the approval of ``task``."""
        self.task = task
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the end of it."""
        reason = self.cleaned_data["reason"]
        return [self.sent("approved_task", "withdraw", id=self.task.id, reason=reason)]
