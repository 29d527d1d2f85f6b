"""What is asked about papers: a training of several people, a signature, a file of evidence, the days of a roster."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from stewardship.attachments.kinds import EXTENSIONS
from stewardship.catalog.models import Product
from stewardship.credentials.models import Covers, CredentialType
from stewardship.places.models import Property
from stewardship.rules.methods import WORDS as METHODS
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm, speak_plainly
from stewardship.web.queries.days import present_members

ANSWERS = {"yes": True, "no": False, "": None}
PLAIN = (
    "type", "on_date", "title", "topics", "minutes", "place", "sponsor", "trainer_name", "trainer_licence_number",
    "trainer_licence_ends_on", "products", "properties", "methods", "equipment",
)  # fmt: skip


def _several(label: str, **more: Any) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(label=label, required=False, widget=forms.CheckboxSelectMultiple, **more)


class TrainingForm(ActForm):
    """A training that several people had together; each gets a record of their own."""

    places = {"trainee": "trainees"}

    trainees = _several("Who was trained")
    type = base.choice("Under which rule", help_text="From it follows how long the training counts.")
    on_date = base.calendar("Date")
    minutes = base.count("How many minutes it took", required=True)
    title = base.text("What it is called", required=True, max_length=200, help_text="Such as: Basal bark, step by step")
    topics = base.text("What it was about", rows=4, max_length=4000, help_text="Labels, rates, protection, first aid.")
    place = base.text("Where it was given", max_length=400)
    trainer = base.choice("Trainer", required=False)
    trainer_name = base.text("Trainer's name", max_length=200, help_text="Only where the trainer is no member.")
    trainer_licence_number = base.text("Trainer's licence number", max_length=100)
    trainer_licence_ends_on = base.calendar("Last day of that licence", required=False)
    sponsor = base.text("Sponsor", max_length=200, help_text="The body for whose land they volunteer.")
    products = _several("Products whose labels were gone through")
    properties = _several("Lands that it was given for")
    methods = _several("Methods instructed on", choices=list(METHODS.items()))
    equipment = base.text("Equipment instructed on", max_length=400)
    label_copies = forms.ChoiceField(
        label="Were copies of the labels given?", required=False, widget=forms.RadioSelect,
        choices=[("yes", "yes"), ("no", "no"), ("", "not known")],
    )  # fmt: skip

    def fill(self) -> None:
        """Offer the group's people, rules, products and lands."""
        group_id = self.here.group.id
        people = [(str(m.id), m.display_name) for m in present_members(self.here)]
        self.fields["trainees"].choices = people
        self.fields["trainer"].choices = [("", "somebody else, named below"), *people]
        rules = CredentialType.objects.filter(group_id=group_id, covers=Covers.TRAINING, retired_at=None)
        self.rules = list(rules.order_by("name", "id"))
        self.fields["type"].choices = [("", "Choose"), *((str(rule.id), rule.name) for rule in self.rules)]
        products = Product.objects.filter(group_id=group_id, retired_at=None).order_by("name", "id")
        self.fields["products"].choices = [(str(each.id), each.name) for each in products]
        lands = Property.objects.filter(group_id=group_id).order_by("name", "id")
        self.fields["properties"].choices = [(str(each.id), each.name) for each in lands]

    def clean_trainees(self) -> list[str]:
        """Refuse a training of nobody."""
        chosen: list[str] = self.cleaned_data["trainees"]
        if not chosen:
            raise forms.ValidationError("Tick everybody who was trained.")
        return chosen

    def sends(self) -> list[Sent]:
        """Return a training for each person, all or none."""
        told = self.cleaned_data
        said = {name: told[name] for name in PLAIN}
        said |= {"trainer": told["trainer"] or None, "label_copies": ANSWERS[told["label_copies"]]}
        return [
            self.sent("training", "create", part=id, new=self.made(id), trainee=id, **said) for id in told["trainees"]
        ]


class SignForm(ActForm):
    """The signature of who was trained; a coordinator who enters one from paper names the sheet."""

    sheet = base.text("Signed sheet", max_length=4000, help_text="Which one, and where it is kept.")

    def __init__(self, *args: Any, training_id: UUID, **kwargs: Any) -> None:
        """Sign this training."""
        self.training_id = training_id
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the signature."""
        return [self.sent("training", "sign", id=self.training_id, sheet=self.cleaned_data["sheet"])]


class FileForm(ActForm):
    """A file of evidence for a credential."""

    file = forms.FileField(
        label="File", help_text="A PDF or a picture: JPEG, PNG, HEIC or WebP.",
        widget=forms.ClearableFileInput(attrs={"accept": ",".join(EXTENSIONS)}),
        error_messages={"required": "Choose a file.", "empty": "This file is empty. Choose it again."},
    )  # fmt: skip
    name = base.text("What it shows", required=True, max_length=200, help_text="Such as: card, both sides")


class PhotoForm(FileForm):
    """A picture of a tag or of a paper sheet."""

    name = base.text("What it shows", required=True, max_length=200, help_text="Such as: day sheet, front")


class RosterForm(forms.Form):
    """The days of a roster."""

    from_date = base.calendar("Trained from")
    to_date = base.calendar("Up to")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Refuse in our words."""
        super().__init__(*args, **kwargs)
        speak_plainly(self)

    @classmethod
    def of_year(cls, today: date) -> dict[str, str]:
        """Return the days of the present year up to today."""
        return {"from_date": f"{today.year}-01-01", "to_date": today.isoformat()}
