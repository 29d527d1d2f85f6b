"""Personal details and consents: whose they are, who sees them, from which day until which they count."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.accounts.models import Consent, EmergencyContact, PersonalDetails
from stewardship.errors import Unavailable
from tests.cast import sent
from tests.signing import agrees, guardian_signs, waiver

pytestmark = pytest.mark.django_db


def consent(id):
    return Consent.objects.get(id=id)


def test_details_are_the_persons_own_and_the_coordinators(cast):
    cast.volunteer.does("personal_details", "create", adult_from="2027-01-01", phone="555 0100")

    seen = {
        who.member.display_name: PersonalDetails.objects.filter(PersonalDetails.visible_to(who.actor)).count()
        for who in (cast.volunteer, cast.other_volunteer, cast.reviewer, cast.coordinator)
    }

    assert seen == {"Tobias Quill": 1, "Ines Carrowby": 0, "Halvard Pim": 0, "Maren Oduya": 1}


def test_nobody_else_changes_details_or_learns_that_they_exist(cast):
    id = cast.volunteer.does("personal_details", "create", phone="555 0100").record.id

    with pytest.raises(Unavailable):
        cast.other_volunteer.does("personal_details", "amend", id=id, phone="555 0199")


def test_a_coordinator_enters_the_details_of_who_does_not_sign_in(cast):
    member = cast.coordinator.does("member", "create", display_name="Rosalind Fenn", role="volunteer").record

    found = cast.coordinator.does("personal_details", "create", member=member.id, under_18=True).record

    assert (found.person_id, found.known_age().is_under_18) == (member.person_id, True)


def test_contacts_are_called_in_their_order_and_taken_off(cast):
    second = cast.volunteer.does("emergency_contact", "create", name="Ansel Quill", phone="555 0104", place=2)
    cast.volunteer.does("emergency_contact", "create", name="Odile Fenn", phone="555 0102")
    cast.volunteer.does("emergency_contact", "remove", id=second.record.id)
    cast.volunteer.does("emergency_contact", "remove", id=second.record.id)

    found = EmergencyContact.objects.order_by("place")
    assert [(each.name, each.removed_at is None) for each in found] == [("Odile Fenn", True), ("Ansel Quill", False)]


@pytest.mark.parametrize(
    ("renewal", "ends_on"),
    [
        ({}, None),
        ({"renewal": "calendar_year"}, date(2027, 12, 31)),
        ({"renewal": "months", "renew_months": 12}, date(2028, 5, 1)),
        ({"renewal": "months", "renew_months": 10}, date(2028, 3, 1)),
    ],
)
def test_a_consent_lasts_as_long_as_its_text_says_and_its_last_day_counts(cast, renewal, ends_on):
    found = consent(agrees(cast.volunteer, waiver(cast.coordinator, **renewal)))

    assert found.ends_on == ends_on
    assert not found.counts_on(date(2027, 4, 30))
    assert found.counts_on(date(2027, 5, 1))
    if ends_on:
        assert found.counts_on(ends_on)
        assert not found.counts_on(date.fromordinal(ends_on.toordinal() + 1))


def test_a_withdrawn_consent_counted_until_the_day_before_and_a_mistaken_one_never(cast):
    text = waiver(cast.coordinator)
    withdrawn = agrees(cast.volunteer, text, given_on="2027-04-01")
    mistaken = agrees(cast.other_volunteer, text)
    cast.volunteer.does("consent", "withdraw", id=withdrawn)
    cast.coordinator.does("consent", "void", id=mistaken, reason="meant for somebody else")

    assert consent(withdrawn).counts_on(date(2027, 4, 30))
    assert not consent(withdrawn).counts_on(date(2027, 5, 1))
    assert not consent(mistaken).counts_on(date(2027, 5, 1))


def test_a_guardian_signs_a_sheet_that_the_coordinator_names(cast):
    text = waiver(cast.coordinator, what="guardian_consent", only_under_18=True)

    found = consent(guardian_signs(cast.coordinator, cast.volunteer, text))

    assert (found.given_by, found.relation, found.how) == ("Odile Fenn", "mother", "signed_sheet")
    assert found.audience() == str(cast.volunteer.person.id)


def test_details_and_consents_pushed_together_cost_no_more_statements_than_one(cast):
    text = waiver(cast.coordinator)
    names = [f"Walker {n}" for n in range(12)]
    members = [cast.coordinator.does("member", "create", display_name=n, role="volunteer").record.id for n in names]

    def signed(some):
        sheet = {"text": str(text), "given_on": "2027-05-01", "how": "signed_sheet", "sheet": "Binder 2"}
        return [
            each
            for member in some
            for each in (
                sent("personal_details", "create", {"member": str(member), "adult_from": "2027-05-01"}),
                sent("consent", "create", sheet | {"member": str(member)}),
            )
        ]

    cast.coordinator.pushes(*signed(members[:1]))
    few, many = statements(cast, signed(members[1:2])), statements(cast, signed(members[2:]))

    assert few == many


def statements(cast, mutations):
    with CaptureQueriesContext(connection) as asked:
        taken = cast.coordinator.pushes(*mutations)
    assert {result["outcome"] for result in taken.results} == {"applied"}
    return len(asked)
