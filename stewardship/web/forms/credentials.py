"""A coordinator enters and corrects credentials, and the kinds that they are of."""

from typing import Any
from uuid import UUID

from django import forms

from stewardship.catalog.models import Product
from stewardship.credentials.models import Covers, Credential, CredentialType
from stewardship.places.models import Property
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm

DAYS = ("issued_on", "received_on", "expires_on")
ENDS = (
    ("rolling", "so many years after its issue"),
    ("fixed_day", "always on the same day of a year"),
    ("end_of_year", "on 31 December"),
    ("stated", "on the day printed on it"),
    ("none", "never"),
)


def several(label: str, **more: Any) -> forms.MultipleChoiceField:
    """Return a field to tick several of a list."""
    return forms.MultipleChoiceField(label=label, required=False, widget=forms.CheckboxSelectMultiple, **more)


class CredentialForm(ActForm):
    """A card, licence or certificate as it is printed; what its kind says need not be typed."""

    places = {"type": "number", "never_expires": "expires_on", "grace_days": "number"}

    number = base.text("Number, as printed", max_length=100)
    authority = base.text("Who issued it", max_length=200, help_text="Leave it empty where the kind says it.")
    issued_on = base.calendar("Day of issue", required=False, help_text="Empty while it is not issued.")
    received_on = base.calendar(
        "Day on which it came to hand", required=False, help_text="Empty while it has not come: it does not count yet."
    )  # fmt: skip
    expires_on = base.calendar("Last day on which it counts", required=False)
    categories = several("Categories printed on it")
    products = several("Good for these products only")
    properties = several("Good on these lands only")
    note = base.text("Note", rows=2, max_length=4000)

    def __init__(self, *args: Any, kind: CredentialType | None, member_id: UUID, **kwargs: Any) -> None:
        """Ask about a credential of this kind."""
        self.kind, self.member_id = kind, member_id
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Ask only for what such a credential has."""
        kind, group = self.kind, {"group_id": self.here.group.id}
        if kind is None or not kind.categories:
            del self.fields["categories"]
        else:
            self.fields["categories"].required = True
            self.fields["categories"].choices = [  # type: ignore[attr-defined]
                (each["code"], f"{each['code']} {each['name']}".strip()) for each in kind.categories
            ]
        products = Product.objects.filter(**group, retired_at=None)
        lists: dict[str, Any] = {"products": products, "properties": Property.objects.filter(**group)}
        for name, rows in lists.items():
            if kind is None or getattr(kind, f"names_{name}") or self.initial.get(name):
                self.fields[name].required = kind is not None and getattr(kind, f"names_{name}")
                self.fields[name].choices = [(str(r.id), r.name) for r in rows.order_by("name")]  # type: ignore[attr-defined]
            else:
                del self.fields[name]
        if kind and kind.rule().kind in ("rolling", "fixed_day", "end_of_year"):
            self.fields["expires_on"].help_text = "Leave it empty: it follows from the day of issue."
        elif kind and kind.rule().kind == "none":
            del self.fields["expires_on"]
        elif kind:
            self.fields["expires_on"].required = True
        elif kind is None:
            self.fields["expires_on"].help_text = "Empty: it never expires."

    def told(self) -> dict[str, Any]:
        """Return what is sent: days that are empty are not told."""
        told = {name: value for name, value in self.cleaned_data.items() if name not in ("mid", "covers", "reason")}
        if self.kind is None:
            told["never_expires"] = not told["expires_on"]
        return told

    def sends(self) -> list[Sent]:
        """Return the new credential."""
        told = self.told()
        of = {"type": self.kind.id} if self.kind else {"covers": self.cleaned_data["covers"]}
        return [self.sent("credential", "create", new=self.made(), holder=self.member_id, **of, **told)]


class PlainCredentialForm(CredentialForm):
    """A credential of no kind on record: what it is for is told."""

    covers = base.choice("What it is for", Covers.choices)
    field_order = ("covers",)


class AmendCredentialForm(CredentialForm):
    """A correction of a credential; a renewal is a credential of its own."""

    reason = base.text("What was wrong", required=True, max_length=1000)
    field_order = ("reason",)

    def __init__(self, *args: Any, credential: Credential, **kwargs: Any) -> None:
        """Correct this credential."""
        self.credential = credential
        kept = ("number", "authority", *DAYS, "categories", "products", "properties", "note")
        kwargs["initial"] = {name: getattr(credential, name) for name in kept}
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return what was changed."""
        told = {name: value for name, value in self.told().items() if value != getattr(self.credential, name)}
        reason = self.cleaned_data["reason"]
        return [self.sent("credential", "amend", id=self.credential.id, reason=reason, **told)]


class VoidCredentialForm(ActForm):
    """Say that a credential was entered by mistake."""

    reason = base.text("Why it was a mistake", required=True, max_length=1000)

    def __init__(self, *args: Any, credential: Credential, **kwargs: Any) -> None:
        """Void this credential."""
        self.credential = credential
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the voiding."""
        return [self.sent("credential", "void", id=self.credential.id, reason=self.cleaned_data["reason"])]


class KindForm(ActForm):
    """A kind of credential with the rule by which it ends."""

    places = {"validity": "kind", "validity.kind": "kind"}

    name = base.text("Name", required=True, max_length=200)
    covers = base.choice("What it is for", Covers.choices)
    authority = base.text("Who issues it", max_length=200)
    kind = base.choice("It ends", ENDS)
    years = base.count("How many years", least=0, help_text="Only where it ends so many years after its issue.")
    month = base.count(
        "Month of the fixed day", least=1, help_text="1 to 12. Only where it ends on the same day of a year."
    )
    day = base.count("Day of the fixed day", least=1)
    grace_days = base.count(
        "Days of grace", least=0, help_text="After its end: it can be renewed in them, and does not count."
    )
    needs = several("It counts only beside", choices=Covers.choices)
    names_products = forms.BooleanField(label="It names the products it is good for", required=False)
    names_properties = forms.BooleanField(label="It names the lands it is good on", required=False)
    admits_restricted = forms.BooleanField(label="It is good for restricted-use products", required=False)
    source = base.text("Source of these rules", required=True, rows=2, help_text="Title, publisher, year, page.")

    def sends(self) -> list[Sent]:
        """Return the new kind."""
        told = dict(self.cleaned_data)
        numbers = {name: told.pop(name) for name in ("years", "month", "day")}
        validity = {"kind": told.pop("kind")} | {name: value for name, value in numbers.items() if value is not None}
        told |= {"validity": validity, "grace_days": told["grace_days"] or 0}
        del told["mid"]
        return [self.sent("credential_type", "create", new=self.made(), **told)]
