"""How a person wishes to be told, and when and whom a group reminds."""

from typing import Any

from django import forms

from stewardship.accounts.models import Member
from stewardship.accounts.models.groups import LEADS
from stewardship.notices.kinds import KINDS
from stewardship.notices.models import Digest, NotificationSettings
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm

DAYS = [(str(lead), f"{lead} days before" if lead else "on the last day") for lead in LEADS]
GROUPS_OR_OWN = [("group", "as the group does"), ("own", "on the days I tick below")]
HOURS = [(str(hour), f"{hour:02}:00") for hour in range(24)]


def _checks(label: str, choices: list[tuple[str, str]], **more: Any) -> forms.MultipleChoiceField:
    widget = forms.CheckboxSelectMultiple
    return forms.MultipleChoiceField(label=label, choices=choices, required=False, widget=widget, **more)


class HowToldForm(ActForm):
    """What comes to somebody by mail, and when."""

    places = {"page_only": "by_mail"}  # noqa: RUF012

    by_mail = _checks("This comes by mail", [(kind, told.label) for kind, told in KINDS.items() if not told.always])
    digest = base.choice("Mails come", Digest.choices, widget=forms.RadioSelect)
    digest_hour = base.choice(
        "At this hour", HOURS, help_text="By the clock of the group; for mails that come once a day."
    )
    whose_days = base.choice("Before something of mine ends I am reminded", GROUPS_OR_OWN, widget=forms.RadioSelect)
    lead_days = _checks("My days", DAYS, help_text="They hold if I chose to be reminded on the days I tick.")

    def __init__(self, *args: Any, settings: NotificationSettings | None, **kwargs: Any) -> None:
        """Show what the person said, or what holds for who said nothing."""
        self.settings = settings
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Fill in what holds now."""
        group, said = self.here.group, self.settings or NotificationSettings()
        days = ", ".join(f"{lead} days before" if lead else "on the day" for lead in group.lead_days) or "never"
        self.fields["whose_days"].choices = [("group", f"as the group does: {days}"), GROUPS_OR_OWN[1]]
        own = said.lead_days if said.lead_days is not None else group.lead_days
        self.initial |= {
            "by_mail": [kind for kind in KINDS if kind not in said.page_only],
            "digest": said.digest,
            "digest_hour": str(said.digest_hour),
            "whose_days": "group" if said.lead_days is None else "own",
            "lead_days": [str(lead) for lead in own],
        }

    def sends(self) -> list[Sent]:
        """Return what the person wishes, said for the first time or changed."""
        told = self.cleaned_data
        kept = [kind for kind, each in KINDS.items() if not each.always and kind not in told["by_mail"]]
        days = [int(lead) for lead in told["lead_days"]] if told["whose_days"] == "own" else None
        wish = {
            "page_only": kept, "digest": told["digest"], "digest_hour": int(told["digest_hour"]), "lead_days": days,
        }  # fmt: skip
        if self.settings:
            return [self.sent("notification_settings", "amend", id=self.settings.id, **wish)]
        return [self.sent("notification_settings", "create", new=self.made(), **wish)]


class RemindingForm(ActForm):
    """When a group reminds of what ends, and to whom it comes that nobody acted."""

    lead_days = _checks("Remind of what ends", DAYS, help_text="Whoever chose days of their own keeps them.")
    second_coordinator = base.choice("If nobody has acted, tell", required=False)
    escalate_after_days = base.count("Days after the end", required=True)

    def fill(self) -> None:
        """Fill in the coordinators, and what holds now."""
        group = self.here.group
        found = Member.objects.present().filter(group_id=group.id, role="coordinator").order_by("display_name")
        longest = [("", "the longest-serving coordinator after the first")]
        self.fields["second_coordinator"].choices = longest + [(str(m.id), m.display_name) for m in found]
        self.initial |= {
            "lead_days": [str(lead) for lead in group.lead_days],
            "second_coordinator": str(group.second_coordinator_id or ""),
            "escalate_after_days": group.escalate_after_days,
        }

    def sends(self) -> list[Sent]:
        """Return the group's settings."""
        told = self.cleaned_data
        wish = {
            "lead_days": [int(lead) for lead in told["lead_days"]],
            "second_coordinator": told["second_coordinator"] or None,
            "escalate_after_days": told["escalate_after_days"],
        }
        return [self.sent("group", "amend", id=self.here.group.id, **wish)]
