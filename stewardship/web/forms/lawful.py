"""Permissions, permits and notices of a property; registrations of products; what the group asks before herbicide."""

from typing import Any

from django import forms

from stewardship.catalog.fields import Carrier
from stewardship.catalog.models import Product, ProductRegistration
from stewardship.places.models import LandPermission, NeighbourNotice, Permit, PermitFor, Property, Unit
from stewardship.places.models.papers import Paper
from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.sync.reading import Sent
from stewardship.web import words
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.mixes import BASES

METHODS = [(each, words.word(each, "method")) for each in HERBICIDE_METHODS]
CARRIERS: list[tuple[str, str]] = [(each, words.CARRIERS[each]) for each in Carrier.__args__]
YES_NO = [("", "Choose"), ("yes", "yes"), ("no", "no")]
LENGTHS = [("ft", "ft"), ("m", "m")]


def many(label: str, choices: list[tuple[str, str]], **more: Any) -> forms.MultipleChoiceField:
    """Return a field to tick any of a few."""
    widget = forms.CheckboxSelectMultiple()
    return forms.MultipleChoiceField(label=label, choices=choices, required=False, widget=widget, **more)


def named_apart(text: str) -> list[str]:
    """Return the names in a text that stand on lines of their own or between commas."""
    return [name.strip() for name in text.replace(",", "\n").splitlines() if name.strip()]


class WantsForm(ActForm):
    """What the group asks before a day with herbicide is confirmed."""

    wants_permissions = forms.BooleanField(label="The landowner's permission is on record", required=False)
    wants_registrations = forms.BooleanField(label="The registration of each product is on record", required=False)

    def fill(self) -> None:
        """Show what the group asks now."""
        group = self.here.group
        self.initial |= {name: getattr(group, name) for name in ("wants_permissions", "wants_registrations")}

    def sends(self) -> list[Sent]:
        """Return the settings."""
        told = {name: self.cleaned_data[name] for name in ("wants_permissions", "wants_registrations")}
        return [self.sent("group", "amend", id=self.here.group.id, **told)]


class OfPropertyForm(ActForm):
    """Something about one property."""

    def __init__(self, *args: Any, property: Property, **kwargs: Any) -> None:
        """Enter it for ``property``."""
        self.property = property
        super().__init__(*args, **kwargs)


class PermissionForm(OfPropertyForm):
    """The written permission of whoever has a right to the land."""

    places = {"notice": "hours_before"}

    given_by = base.text("Given by", required=True, max_length=200)
    relation = base.text("What they are to the land", required=True, max_length=200, help_text="Owner, tenant, agency.")
    given_on = base.calendar("Given on")
    valid_from = base.calendar("First day")
    valid_to = base.calendar("Last day", required=False, help_text="The last day counts. Empty: until it is withdrawn.")
    herbicide = base.choice("Does it cover herbicide?", YES_NO)
    excluded_actives = base.text(
        "Active ingredients that it leaves out", rows=2, help_text="By name, one on a line or between commas."
    )
    excluded_methods = many("Methods that it leaves out", METHODS)
    hours_before = base.count("Hours of notice that they want", help_text="Empty: they want none.")
    how = base.text("How they want to be told", max_length=200)
    to = base.text("Who is to be told", max_length=200, help_text="The whole group reads this: no private number here.")
    copy_wanted = forms.BooleanField(label="They want copies of the records", required=False)
    document = base.text("Where the paper is kept", max_length=4000)
    note = base.text("Note", rows=2, max_length=4000)

    def values(self) -> dict[str, Any]:
        """Return what is said of the permission."""
        told = {name: value for name, value in self.cleaned_data.items() if name != "mid"}
        notice = {"hours_before": told.pop("hours_before"), "how": told.pop("how"), "to": told.pop("to")}
        told |= {"herbicide": told["herbicide"] == "yes", "excluded_actives": named_apart(told["excluded_actives"])}
        return told | {"notice": notice if notice["hours_before"] else None}

    def sends(self) -> list[Sent]:
        """Return the permission."""
        return [self.sent("land_permission", "create", new=self.made(), property=self.property.id, **self.values())]


class EditPermissionForm(PermissionForm):
    """A correction of a permission."""

    def __init__(self, *args: Any, paper: LandPermission, **kwargs: Any) -> None:
        """Correct ``paper``."""
        self.paper = paper
        kept = {name: getattr(paper, name) for name in self.base_fields if hasattr(paper, name)}
        kept |= (paper.notice or {}) | {"herbicide": "yes" if paper.herbicide else "no"}
        kept["excluded_actives"] = "\n".join(paper.excluded_actives)
        super().__init__(*args, property=paper.property, initial=kept, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the correction."""
        return [self.sent("land_permission", "amend", id=self.paper.id, **self.values())]


class PermitForm(ActForm):
    """An authority's permit at a property."""

    authority = base.text("Authority", required=True, max_length=200)
    number = base.text("Number", required=True, max_length=100)
    what = base.choice("What for", PermitFor.choices)
    valid_from = base.calendar("First day")
    valid_to = base.calendar("Last day", required=False)
    units = many("Only in these units", [], help_text="None ticked: in the whole property.")
    actives = base.text("Only these active ingredients", rows=2, help_text="By name. Empty: it names none.")
    methods = many("Only by these methods", METHODS, help_text="None ticked: it names none.")
    conditions = base.text("Conditions", rows=3, max_length=4000)
    document = base.text("Where the paper is kept", max_length=4000)

    def __init__(self, *args: Any, property: Property | None, **kwargs: Any) -> None:
        """Enter it for ``property``; a permit without one holds wherever the group works."""
        self.property = property
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer the units of the property."""
        found = Unit.objects.filter(group_id=self.here.group.id, property=self.property).order_by("name", "id")
        self.fields["units"].choices = [(str(each.id), each.name) for each in found]

    def values(self) -> dict[str, Any]:
        """Return what is said of the permit."""
        told = {name: value for name, value in self.cleaned_data.items() if name != "mid"}
        return told | {"actives": named_apart(told["actives"])}

    def sends(self) -> list[Sent]:
        """Return the permit."""
        of = {"property": self.property.id} if self.property else {}
        return [self.sent("permit", "create", new=self.made(), **of, **self.values())]


class EditPermitForm(PermitForm):
    """A correction of a permit; it stays with its property."""

    def __init__(self, *args: Any, paper: Permit, **kwargs: Any) -> None:
        """Correct ``paper``."""
        self.paper = paper
        kept = {name: getattr(paper, name) for name in self.base_fields if hasattr(paper, name)}
        super().__init__(*args, property=paper.property, initial=kept | {"actives": "\n".join(paper.actives)}, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the correction."""
        return [self.sent("permit", "amend", id=self.paper.id, **self.values())]


class NoticeForm(OfPropertyForm):
    """Somebody who is to be told before work."""

    places = {"distance": "far"}

    name = base.text("Name", required=True, max_length=200, help_text="Only coordinators read this page.")
    permission = base.choice("Who they are", required=False)
    address = base.text("Where they live, in words", rows=2, max_length=4000)
    far = base.number("Distance from the work", required=False)
    unit = base.choice("Unit", LENGTHS)
    registered = base.choice("In the state's register of people who must be told?", [("", "not known"), *YES_NO[1:]],
                             required=False)  # fmt: skip
    first_on = base.calendar("First day of the work")
    last_on = base.calendar("Last day of the work")
    note = base.text("Note", rows=2, max_length=4000)

    def fill(self) -> None:
        """Offer the permissions of the property: who gave one may be told as well."""
        found = LandPermission.objects.filter(group_id=self.here.group.id, property=self.property).order_by("given_on")
        told = [(str(each.id), f"gave the permission of {words.day(each.given_on)}") for each in found]
        self.fields["permission"].choices = [("", "a neighbour"), *told]

    def sends(self) -> list[Sent]:
        """Return who is to be told."""
        told = self.cleaned_data
        plain = {name: told[name] for name in ("name", "address", "first_on", "last_on", "note")}
        return [
            self.sent(
                "neighbour_notice", "create", new=self.made(), property=self.property.id,
                permission=told["permission"] or None, registered={"yes": True, "no": False}.get(told["registered"]),
                distance={"value": told["far"], "unit": told["unit"]} if told["far"] else None, **plain,
            )
        ]  # fmt: skip


class AttemptForm(ActForm):
    """An attempt to tell somebody."""

    on = base.calendar("On")
    at = base.clock("At")
    how = base.text("How", required=True, max_length=200, help_text="By telephone, at the door, by mail.")
    told = base.choice("Does it count as told?", YES_NO)
    outcome = base.text("What came of it", rows=2, max_length=4000)

    def __init__(self, *args: Any, notice: NeighbourNotice, **kwargs: Any) -> None:
        """Record an attempt for ``notice``."""
        self.notice = notice
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer the present time."""
        now = self.here.at.astimezone(self.here.zone)
        self.initial |= {"on": now.date(), "at": now.time().replace(second=0, microsecond=0)}

    def sends(self) -> list[Sent]:
        """Return the attempt."""
        told = self.cleaned_data
        at = base.instant(told["on"], told["at"], self.here.zone)
        said = {"how": told["how"], "told": told["told"] == "yes", "outcome": told["outcome"]}
        return [self.sent("neighbour_notice", "attempt", id=self.notice.id, at=at, **said)]


class PaperForm(ActForm):
    """Something about one permission or permit."""

    def __init__(self, *args: Any, paper: Paper, **kwargs: Any) -> None:
        """Tell it of ``paper``."""
        self.paper = paper
        super().__init__(*args, auto_id=f"id_{type(self).__name__}_%s", **kwargs)


class WithdrawForm(PaperForm):
    """A permission or permit ends before its time."""

    withdrawn_on = base.calendar("First day on which it holds no more")
    reason = base.text("Reason", required=True, rows=2, max_length=1000)

    def sends(self) -> list[Sent]:
        """Return the withdrawal."""
        told = self.cleaned_data
        on = {"withdrawn_on": told["withdrawn_on"]}
        return [self.sent(self.paper.kind, "withdraw", id=self.paper.id, reason=told["reason"], **on)]


class ReinstateForm(PaperForm):
    """A withdrawal was entered by mistake."""

    reason = base.text("Reason", required=True, rows=2, max_length=1000)

    def sends(self) -> list[Sent]:
        """Return that the paper holds as if it had not been withdrawn."""
        return [self.sent(self.paper.kind, "reinstate", id=self.paper.id, reason=self.cleaned_data["reason"])]


class CopyForm(PaperForm):
    """A copy of a record was given to whoever permitted the work."""

    what = base.text("Which record", required=True, max_length=200)
    on = base.calendar("Given on")
    how = base.text("How", required=True, max_length=200)

    def sends(self) -> list[Sent]:
        """Return the copy."""
        told = {name: self.cleaned_data[name] for name in ("what", "on", "how")}
        return [self.sent("land_permission", "give_copy", id=self.paper.id, **told)]


class RegistrationForm(ActForm):
    """A product's registration in a state, with what the label edition on site says there."""

    places = {"max_strength": "strength", "uses": "methods", "jurisdiction": "jurisdiction"}

    product = base.choice("Product")
    jurisdiction = base.text("Where", required=True, max_length=6, help_text="The code of the state, such as US-IL.")
    number = base.text("Registration number", max_length=40, help_text="As on the label, with its hyphens.")
    valid_from = base.calendar("First day", required=False)
    valid_to = base.calendar("Last day", required=False, help_text="The last day counts.")
    label_edition = base.text("Edition of the label on site", max_length=100)
    sites = base.text("Sites that it names", rows=2, help_text="One on a line or between commas. Empty: not on record.")
    methods = many("Methods that it names", METHODS)
    carriers = many("Carriers that it names", CARRIERS)
    strength = base.number("Most strength", required=False)
    basis = base.choice("Per cent of what", BASES)
    retreat_days = base.count("Days between two treatments of one place")
    entry = base.text("When people may enter again, as the label words it", rows=2, max_length=4000)
    rainfast_hours = base.number("Hours until it is rainfast", required=False)
    source = base.text("Who says so", required=True, max_length=4000, help_text="The register or label, and its date.")

    def fill(self) -> None:
        """Offer the products in use, and the group's state."""
        found = Product.objects.filter(group_id=self.here.group.id, retired_at=None).order_by("name", "id")
        self.fields["product"].choices = [("", "Choose"), *((str(each.id), each.name) for each in found)]
        self.initial = {"jurisdiction": self.here.group.jurisdiction} | self.initial

    def values(self) -> dict[str, Any]:
        """Return what is said of the registration; what is not given is unknown."""
        told = {name: value for name, value in self.cleaned_data.items() if name != "mid"}
        most = {"value": told.pop("strength"), "basis": told.pop("basis")}
        told["max_strength"] = most if most["value"] else None
        if "sites" not in told:
            return told
        use = {"sites": named_apart(told.pop("sites"))} | {name: told.pop(name) for name in ("methods", "carriers")}
        return told | {"uses": [use] if any(use.values()) else []}

    def sends(self) -> list[Sent]:
        """Return the registration."""
        return [self.sent("product_registration", "create", new=self.made(), **self.values())]


class EditRegistrationForm(RegistrationForm):
    """A correction of a registration; it stays with its product and state."""

    def __init__(self, *args: Any, registration: ProductRegistration, **kwargs: Any) -> None:
        """Correct ``registration``."""
        self.registration = registration
        kept = {name: getattr(registration, name) for name in self.base_fields if hasattr(registration, name)}
        use = registration.uses[0] if registration.uses else {"sites": [], "methods": [], "carriers": []}
        kept |= use | {"sites": "\n".join(use["sites"])}
        if most := registration.max_strength:
            kept |= {"strength": most["value"], "basis": most["basis"]}
        super().__init__(*args, initial=kept, **kwargs)

    def fill(self) -> None:
        """Leave out what stays, and uses that one form cannot show: they stay as they are."""
        several = ("sites", "methods", "carriers") if len(self.registration.uses) > 1 else ()
        for name in ("product", "jurisdiction", *several):
            del self.fields[name]

    def sends(self) -> list[Sent]:
        """Return the correction."""
        return [self.sent("product_registration", "amend", id=self.registration.id, **self.values())]
