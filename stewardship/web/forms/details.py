"""What a member says of themselves: age, address, whom to call, what they agree to."""

from typing import Any

from django import forms

from stewardship.accounts.models import Member, PersonalDetails
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm

AGES = (
    ("", "not told"),
    ("adult", "18 or over"),
    ("under_18", "under 18"),
    ("born_on", "as the date of birth below says"),
)


class OfMemberForm(ActForm):
    """A form about one member: oneself, or whom a coordinator looks at."""

    def __init__(self, *args: Any, member: Member, **kwargs: Any) -> None:
        """Ask about ``member``."""
        self.member = member
        super().__init__(*args, **kwargs)


class DetailsForm(OfMemberForm):
    """Age, as exact as is needed, and where to reach the member."""

    age = base.choice("Age", AGES, required=False, help_text="Some duties take an age: applying herbicide, power saws.")
    born_on = base.calendar("Date of birth", required=False, help_text="Only where a roster has to name it.")
    phone = base.text("Telephone", max_length=60)
    address = base.text("Address", rows=2, max_length=1000, help_text="Only where a roster has to name it.")

    def fill(self) -> None:
        """Fill in what is on record."""
        mine = PersonalDetails.objects.filter(group_id=self.here.group.id, member=self.member)
        self.known = mine.first()
        if self.known:
            age = "born_on" if self.known.born_on else "under_18" if self.known.under_18 else ""
            age = age or ("adult" if self.known.adult_from else "")
            self.initial |= {"age": age, "born_on": self.known.born_on}
            self.initial |= {"phone": self.known.phone, "address": self.known.address}

    def clean(self) -> dict[str, Any]:
        """Refuse a date without its choice, and the choice without a date."""
        told = super().clean() or self.cleaned_data
        if (told.get("age") == "born_on") != bool(told.get("born_on")):
            self.add_error("born_on", "Give the date and choose it above, or leave it empty and choose another answer.")
        return told

    def sends(self) -> list[Sent]:
        """Return the details, entered or corrected."""
        told = self.cleaned_data
        known_from = self.known.adult_from if self.known else None
        since = min(known_from or self.here.today, self.here.today)
        ahead = known_from if self.known and self.known.under_18 else None
        adult_from = {"adult": since, "under_18": ahead}.get(told["age"])
        said = {
            "born_on": told["born_on"] if told["age"] == "born_on" else None,
            "adult_from": adult_from,
            "under_18": told["age"] == "under_18",
            "phone": told["phone"],
            "address": told["address"],
        }
        if self.known:
            return [self.sent("personal_details", "amend", id=self.known.id, **said)]
        return [self.sent("personal_details", "create", member=self.member.id, **said)]


class ContactForm(OfMemberForm):
    """Somebody to call."""

    name = base.text("Name", required=True, max_length=200)
    phone = base.text("Telephone", required=True, max_length=60)
    relation = base.text("What they are to this person", max_length=100, help_text="Such as: sister, neighbour")
    place = base.count("Called first, second, …", required=True)

    def fill(self) -> None:
        """Put the next one last."""
        self.initial["place"] = 1

    def sends(self) -> list[Sent]:
        """Return who is to be called."""
        told = self.cleaned_data
        said = {name: told[name] for name in ("name", "phone", "relation", "place")}
        return [self.sent("emergency_contact", "create", member=self.member.id, **said)]


class RemoveContactForm(OfMemberForm):
    """Somebody is not to be called any more."""

    contact = forms.UUIDField(widget=forms.HiddenInput)

    def sends(self) -> list[Sent]:
        """Return the end of it."""
        return [self.sent("emergency_contact", "remove", id=self.cleaned_data["contact"])]


class AgreeForm(OfMemberForm):
    """One's own yes to a text, signed in."""

    text = forms.UUIDField(widget=forms.HiddenInput)

    def sends(self) -> list[Sent]:
        """Return the consent, given today."""
        text = self.cleaned_data["text"]
        return [self.sent("consent", "create", text=text, given_on=self.here.today, how="signed_in")]


class SheetForm(OfMemberForm):
    """A text that was signed on a sheet, by the member or a guardian."""

    text = forms.UUIDField(widget=forms.HiddenInput)
    given_on = base.calendar("Signed on")
    given_by = base.text("Guardian who signed", max_length=200, help_text="For somebody under 18.")
    relation = base.text("What the guardian is to this person", max_length=100)
    sheet = base.text("Which sheet, and where it is kept", required=True, max_length=200)

    def sends(self) -> list[Sent]:
        """Return the consent."""
        told = self.cleaned_data
        said = {name: told[name] for name in ("text", "given_on", "given_by", "relation", "sheet")}
        return [self.sent("consent", "create", member=self.member.id, how="signed_sheet", **said)]


class WithdrawForm(OfMemberForm):
    """A consent is taken back."""

    consent = forms.UUIDField(widget=forms.HiddenInput)

    def sends(self) -> list[Sent]:
        """Return the end of it."""
        return [self.sent("consent", "withdraw", id=self.cleaned_data["consent"])]


class NewTextForm(ActForm):
    """A text that people are asked to agree to."""

    what = base.choice(
        "What for", (("waiver", "a waiver"), ("guardian_consent", "a guardian's consent"), ("photo", "photographs"))
    )
    title = base.text("Title", required=True, max_length=200)
    text = base.text("The text, word for word", required=True, rows=6, max_length=20000)
    renewal = base.choice(
        "A consent lasts", (("never", "until it is withdrawn"), ("calendar_year", "to the end of the calendar year"))
    )
    only_under_18 = forms.BooleanField(label="Asked of those under 18 only", required=False)

    def sends(self) -> list[Sent]:
        """Return the text, asked for from today."""
        told = self.cleaned_data
        said = {name: told[name] for name in ("what", "title", "text", "renewal", "only_under_18")}
        return [self.sent("consent_text", "create", from_on=self.here.today, **said)]


class WishesForm(ActForm):
    """What the group asks of whoever comes to a work day."""

    wants_waivers = forms.BooleanField(label="Whoever comes has signed the waiver", required=False)
    wants_briefings = forms.BooleanField(label="Whoever comes signs a briefing", required=False)

    def fill(self) -> None:
        """Fill in what the group asks now."""
        group = self.here.group
        self.initial |= {"wants_waivers": group.wants_waivers, "wants_briefings": group.wants_briefings}

    def sends(self) -> list[Sent]:
        """Return the group's wishes."""
        told = self.cleaned_data
        said = {name: told[name] for name in ("wants_waivers", "wants_briefings")}
        return [self.sent("group", "amend", id=self.here.group.id, **said)]
