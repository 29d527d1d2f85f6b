"""A herbicide is entered as its label states it, and corrected when the label has a new edition."""

from typing import Any

from django import forms

from stewardship.catalog.models import ActiveIngredient, Product
from stewardship.sync.reading import Sent
from stewardship.web import words
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm

UNITS = [("lb_gal", "lb in a gallon"), ("g_l", "g in a litre")]
NOT_LISTED = "new"
FORMULATIONS = [(each, each) for each in ("amine", "salt", "ester", "acid")] + [("other", "another")]
PARTS = ("first", "second")
LABEL = (
    "name", "registration_no", "formulation", "carriers", "signal_word", "restricted_use", "aquatic", "undiluted_only",
    "is_dry", "ppe_mixing", "ppe_applying", "reentry", "label_version", "source", "note",
)  # fmt: skip
"""Fields of the form that are sent as they are."""


class ProductForm(ActForm):
    """What the label in the hand states; what it does not state stays empty and unknown."""

    places = {"ingredients": "first_active"}

    name = base.text(
        "Plain description", required=True, max_length=200, help_text="Ingredient, form and strength; no brand."
    )
    registration_no = base.text("Registration number", max_length=40, help_text="As it stands on the label.")
    formulation = base.choice("Formulation", [("", "Choose"), *FORMULATIONS])
    carriers = forms.MultipleChoiceField(
        label="Used in, as the label has it", choices=list(words.CARRIERS.items()), required=False,
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    first_active = base.choice("Active ingredient")
    new_name = base.text("Its name, if it is not listed", max_length=200, help_text="Without the form: triclopyr.")
    new_form = base.text("Its form, if it is not listed", max_length=200, help_text="Acid, or the salt or ester.")
    first_percent = base.number("Active ingredient, % by weight", required=False)
    first_ai = base.number("Active ingredient in a volume", required=False)
    first_ai_unit = base.choice("Unit", UNITS)
    first_ae = base.number("Acid equivalent in a volume", required=False)
    first_ae_unit = base.choice("Unit", UNITS)
    second_active = base.choice("Second active ingredient", required=False)
    second_percent = base.number("Active ingredient, % by weight", required=False)
    second_ai = base.number("Active ingredient in a volume", required=False)
    second_ai_unit = base.choice("Unit", UNITS)
    second_ae = base.number("Acid equivalent in a volume", required=False)
    second_ae_unit = base.choice("Unit", UNITS)
    signal_word = base.choice("Signal word", [("", "not stated"), *words.SIGNAL_WORDS.items()], required=False)
    restricted_use = forms.BooleanField(label="Its label says: restricted use", required=False)
    aquatic = forms.BooleanField(label="It is labelled for use over or beside water", required=False)
    undiluted_only = forms.BooleanField(label="Its label has it used undiluted only", required=False)
    is_dry = forms.BooleanField(label="It is dry: kept and poured by weight", required=False)
    ppe_mixing = base.text("What to wear for mixing, as the label has it", rows=2, max_length=4000)
    ppe_applying = base.text("What to wear for applying, as the label has it", rows=2, max_length=4000)
    reentry = base.text("When people may enter again, as the label has it", rows=2, max_length=4000)
    label_version = base.text("Edition of the label", max_length=100)
    source = base.text("Where these facts stand", rows=2, max_length=4000, help_text="The label itself, or a page.")
    note = base.text("Note", rows=2, max_length=4000)

    def __init__(self, *args: Any, product: Product | None = None, **kwargs: Any) -> None:
        """Correct ``product``, or enter a new one."""
        self.product = product
        kwargs["initial"] = _told(product) if product else {}
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Offer the active ingredients of the catalogue; one with more than two is told, and corrected elsewhere."""
        found = ActiveIngredient.objects.filter(group_id=self.here.group.id, retired_at=None).order_by("name", "form")
        known = [(str(each.id), str(each)) for each in found]
        self.fields["first_active"].choices = [("", "Choose"), *known, (NOT_LISTED, "not listed: I name it below")]
        self.fields["second_active"].choices = [("", "none"), *known]
        self.has_many = self.product is not None and len(self.product.ingredients) > len(PARTS)
        for name in [name for name in self.fields if self.has_many and _is_of_ingredient(name)]:
            del self.fields[name]

    def clean(self) -> dict[str, Any]:
        """Ask for the name of an ingredient that is not listed."""
        told = super().clean() or self.cleaned_data
        for name in ("new_name", "new_form"):
            if told.get("first_active") == NOT_LISTED and not told.get(name):
                self.add_error(name, base.REQUIRED["required"])
        return told

    def sends(self) -> list[Sent]:
        """Return the product, and before it the active ingredient that is not listed."""
        told = self.cleaned_data
        set = {name: told[name] for name in LABEL}
        if not self.has_many:
            set["ingredients"] = [self._ingredient(part) for part in PARTS if told[f"{part}_active"]]
        made = {"id": self.product.id} if self.product else {"new": self.made()}
        sent = self.sent("product", "amend" if self.product else "create", **made, **set)
        return [*self._new_active(), sent]

    def _new_active(self) -> list[Sent]:
        told = self.cleaned_data
        if told.get("first_active") != NOT_LISTED:
            return []
        values = {"name": told["new_name"], "form": told["new_form"]}
        return [self.sent("active_ingredient", "create", new=self.made("active"), part="active", **values)]

    def _ingredient(self, part: str) -> dict[str, Any]:
        """Return what the label states of one; what the form does not ask stays as it was."""
        told = self.cleaned_data
        active = told[f"{part}_active"]
        active = str(self.made("active")) if active == NOT_LISTED else active
        before = self.product.ingredients if self.product else []
        kept = [each.get("ae_percent_w_w") for each in before if each["active_ingredient"] == active]
        volumes = {
            name: {"value": told[f"{part}_{name}"], "unit": told[f"{part}_{name}_unit"]}
            if told[f"{part}_{name}"]
            else None
            for name in ("ai", "ae")
        }
        percent = told[f"{part}_percent"] or None
        return {
            "active_ingredient": active,
            "ai_percent_w_w": percent,
            "ae_percent_w_w": next(iter(kept), None),
        } | volumes


def _is_of_ingredient(name: str) -> bool:
    return name.split("_")[0] in (*PARTS, "new")


def _told(product: Product) -> dict[str, Any]:
    """Return what the form shows of a product."""
    told: dict[str, Any] = {name: getattr(product, name) for name in LABEL}
    for part, each in zip(PARTS, product.ingredients, strict=False):
        told |= {f"{part}_active": each["active_ingredient"], f"{part}_percent": each["ai_percent_w_w"]}
        for name in ("ai", "ae"):
            stated = each[name] or {"value": "", "unit": "lb_gal"}
            told |= {f"{part}_{name}": stated["value"], f"{part}_{name}_unit": stated["unit"]}
    return told


class OfProductForm(ActForm):
    """A product is taken out of use or back."""

    def __init__(self, *args: Any, product: Product, act: str, **kwargs: Any) -> None:
        """Do ``act`` with ``product``."""
        self.product, self.act = product, act
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the act."""
        return [self.sent("product", self.act, id=self.product.id)]
