"""What a new group is asked on the way to its first record, a page for each step."""

from collections.abc import Callable
from typing import Any

from django import forms

from stewardship.catalog.models import Product
from stewardship.journal.fields import Jurisdiction
from stewardship.places.models import Property
from stewardship.places.proposed import UNITS, units_for, zone_for
from stewardship.rules.refusals import RuleViolation
from stewardship.sync.reading import Sent
from stewardship.web import words
from stewardship.web.access import Here
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.mixes import BASES, VOLUMES
from stewardship.web.forms.people import address
from stewardship.web.forms.places import PropertyForm, UnitForm
from stewardship.web.queries.beginning import states

ANOTHER = "another"
PEOPLE = 4


def in_reading_order(state: tuple[str, str]) -> tuple[bool, str]:
    """Return by what a code and its words are put in order: by name, what holds in a whole country after the rest."""
    code, name = state
    return "-" not in code, name


class StateForm(ActForm):
    """By whose rules the group's records are judged."""

    places = {"jurisdiction": "other"}

    state = base.choice("Which state?")
    other = base.text(
        "Another one",
        max_length=6,
        help_text="Its ISO 3166 code, such as US-OH for Ohio. Only if it is not in the list.",
    )

    def fill(self) -> None:
        """Offer the states whose rules are on record."""
        known = sorted(((code, words.jurisdiction(code)) for code in states(self.here)), key=in_reading_order)
        self.fields["state"].choices = [("", "Choose"), *known, (ANOTHER, "another: write it below")]

    def clean(self) -> dict[str, Any]:
        """Ask for the code of a state that is not in the list."""
        told = super().clean() or self.cleaned_data
        if told.get("state") == ANOTHER:
            try:
                told["other"] = Jurisdiction.read(told.get("other", "").strip().upper())
            except (ValueError, RuleViolation) as refusal:
                self.add_error("other", str(refusal))
            if not told.get("other") and "other" not in self.errors:
                self.add_error("other", "Write the code of your state or country, such as US-OH.")
        return told

    def sends(self) -> list[Sent]:
        """Return the group's jurisdiction, with the clock and units that go with it: the next page shows them."""
        told = self.cleaned_data
        code = str(told["other"] if told["state"] == ANOTHER else told["state"])
        zone = zone_for(code)
        values = {"jurisdiction": code} | UNITS[units_for(code)] | ({"time_zone": zone} if zone else {})
        return [self.sent("group", "amend", id=self.here.group.id, **values)]


class ClockForm(ActForm):
    """By which clock days are told, and in which units amounts are shown."""

    time_zone = base.text("Time zone", required=True, max_length=60, help_text="Some states lie in two: look at it.")
    units = base.choice("Units", [("us", "fluid ounces, pounds, acres"), ("metric", "mL, kg, hectares")])

    def fill(self) -> None:
        """Offer what the group has now."""
        unit = self.here.group.volume_unit
        metric = unit == UNITS["metric"]["volume_unit"]
        self.initial |= {"time_zone": self.here.group.time_zone, "units": "metric" if metric else "us"}

    def sends(self) -> list[Sent]:
        """Return the settings of the group."""
        told = self.cleaned_data
        values = {"time_zone": told["time_zone"]} | UNITS[told["units"]]
        return [self.sent("group", "amend", id=self.here.group.id, **values)]


class FirstUnitForm(UnitForm):
    """The first unit, of the first property."""

    def __init__(self, *args: Any, here: Here, **kwargs: Any) -> None:
        """Ask about a unit of the property that was taken in first."""
        super().__init__(*args, here=here, property_id=first_property(here).id, **kwargs)


class FirstPermissionForm(ActForm):
    """The landowner's permission, and whether days with herbicide wait for one."""

    given_by = base.text("Who gave it?", required=True, max_length=200, help_text="The owner or whoever may give it.")
    relation = base.choice(
        "What are they to the land?", [(each, each) for each in ("owner", "tenant", "agency", "manager")]
    )
    given_on = base.calendar("Given on")
    valid_to = base.calendar("Last day on which it holds", required=False)
    herbicide = base.choice("Does it cover herbicide?", [("", "Choose"), ("yes", "yes"), ("no", "no")])
    wanted = forms.BooleanField(
        label="From now on a day with herbicide is confirmed only with a permission on record",
        required=False,
        initial=True,
    )

    def sends(self) -> list[Sent]:
        """Return the permission and the setting."""
        told = self.cleaned_data
        given = self.sent(
            "land_permission", "create", new=self.made(), property=first_property(self.here).id,
            given_by=told["given_by"], relation=told["relation"], given_on=told["given_on"],
            valid_from=told["given_on"], valid_to=told["valid_to"], herbicide=told["herbicide"] == "yes",
        )  # fmt: skip
        setting = self.sent("group", "amend", id=self.here.group.id, part="setting", wants_permissions=told["wanted"])
        return [given, setting]


class PeopleForm(ActForm):
    """The founder's own name, and who comes along."""

    own = base.text("Your own name, as rosters show it", required=True, max_length=200)

    def fill(self) -> None:
        """Ask for a few names; the rest come later."""
        self.initial |= {"own": self.here.member.display_name}
        for n in range(1, PEOPLE + 1):
            self.fields[f"name_{n}"] = base.text(f"Name {n}", max_length=200)
            self.fields[f"email_{n}"] = address(label=f"E-mail address {n}", required=False, help_text="")

    def clean(self) -> dict[str, Any]:
        """Ask for at least one name beside the founder's, and for a name with each address."""
        told = super().clean() or self.cleaned_data
        if not any(told.get(f"name_{n}") for n in range(1, PEOPLE + 1)):
            self.add_error("name_1", "Write at least one name, or skip this step.")
        for n in range(1, PEOPLE + 1):
            if told.get(f"email_{n}") and not told.get(f"name_{n}"):
                self.add_error(f"name_{n}", "Whose address is it? Write the name.")
        return told

    def sends(self) -> list[Sent]:
        """Return the founder's name, the members, and an invitation for each whose address is given."""
        told = self.cleaned_data
        own = self.sent("member", "amend", id=self.here.member.id, part="own", display_name=told["own"])
        named = [n for n in range(1, PEOPLE + 1) if told[f"name_{n}"]]
        return [own, *map(self._member, named), *(self._invitation(n) for n in named if told[f"email_{n}"])]

    def _member(self, n: int) -> Sent:
        who = {"display_name": self.cleaned_data[f"name_{n}"], "role": "volunteer"}
        return self.sent("member", "create", new=self.made(f"member {n}"), part=f"member {n}", **who)

    def _invitation(self, n: int) -> Sent:
        who = {"display_name": self.cleaned_data[f"name_{n}"], "role": "volunteer", "member": self.made(f"member {n}")}
        new, part = self.made(f"invitation {n}"), f"invitation {n}"
        return self.sent("invitation", "create", new=new, part=part, email=self.cleaned_data[f"email_{n}"], **who)


class LicenceForm(ActForm):
    """The founder's own licence to apply herbicide."""

    places = {"issued_on": "issued_on", "expires_on": "expires_on"}

    number = base.text("Its number, as printed", required=True, max_length=100)
    authority = base.text("Who issued it", max_length=200)
    issued_on = base.calendar("Issued on")
    expires_on = base.calendar("Last day on which it counts")

    def sends(self) -> list[Sent]:
        """Return the credential, in hand since it was issued."""
        told = self.cleaned_data
        return [
            self.sent(
                "credential", "create", new=self.made(), holder=self.here.member.id, covers="herbicide_application",
                received_on=told["issued_on"], **{name: told[name] for name in self.fields if name != "mid"},
            )
        ]  # fmt: skip


class FirstMixForm(forms.Form):
    """What the group wants to end with for the first time; the mix card says what to pour."""

    make = base.number("How much mix", help_text="The product included.")
    make_unit = base.choice("Unit", VOLUMES)
    product = base.choice("Product", help_text="The one whose ingredient and strength are on the label in your hand.")
    strength = base.number("Strength")
    basis = base.choice("Per cent of what", BASES)
    carrier = base.choice(
        "Mixed into", [("", "the only carrier on its label"), *words.CARRIERS.items()], required=False
    )

    def __init__(self, *args: Any, here: Here, **kwargs: Any) -> None:
        """Ask for ``here``, whose catalogue came with the state."""
        self.status = 200
        super().__init__(*args, initial={"make_unit": here.group.volume_unit, "basis": "product_v_v"}, **kwargs)
        base.speak_plainly(self)
        found = Product.objects.filter(group_id=here.group.id, retired_at=None).order_by("name", "id")
        told = [(str(each.id), f"{each.name}, {each.registration_no}".rstrip(", ")) for each in found]
        self.fields["product"].choices = [("", "Choose"), *told]


FORMS: dict[str, Callable[..., Any]] = {
    "state": StateForm,
    "clock": ClockForm,
    "property": PropertyForm,
    "unit": FirstUnitForm,
    "permission": FirstPermissionForm,
    "people": PeopleForm,
    "licence": LicenceForm,
    "mix": FirstMixForm,
}
"""Step -> its form; the last step, the first use, has the page on which use is always recorded."""


def first_property(here: Here) -> Property:
    """Return the property that was taken in first."""
    return Property.objects.filter(group_id=here.group.id).order_by("entered_at", "id")[0]
