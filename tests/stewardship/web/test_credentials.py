"""Credentials on the pages: entered by their kind, corrected, voided, and read by who holds them."""

import re
from datetime import date

import pytest

from stewardship.credentials.models import Credential, CredentialType
from tests.credentials import enters, kind
from tests.stewardship.web.pages import body, send


def page_of(someone, path):
    answer = someone.signed_in().get(path)
    assert answer.status_code == 200, path
    return re.sub(r"\s+", " ", body(answer))


@pytest.fixture
def path(cast):
    return f"/people/{cast.volunteer.member.id}/credentials/"


def test_a_card_is_entered_by_its_kind_and_its_last_day_follows(cast, path):
    id = kind(cast.coordinator, validity={"kind": "fixed_day", "years": 2, "month": 6, "day": 30}, grace_days=60)
    form = f"{path}new/{id}/"
    assert "It ends on 30 June, 2 years after the year of its issue." in page_of(cast.coordinator, form)

    told = {"number": "W-208", "issued_on": "2026-09-01", "received_on": "2026-09-10"}
    assert send(cast.coordinator.signed_in(), form, **told).status_code == 302

    held = Credential.objects.get(number="W-208")
    assert (held.expires_on, held.grace_days, held.authority) == (date(2028, 6, 30), 60, "County Board of Weeds")
    assert "Counts today, up to and with Fri 30 Jun 2028." in page_of(cast.coordinator, path)


def test_a_wrong_last_day_is_refused_beside_its_field_and_nothing_is_lost(cast, path):
    form = f"{path}new/{kind(cast.coordinator)}/"

    told = {"number": "W-208", "issued_on": "2026-09-01", "received_on": "2026-09-10", "expires_on": "2028-08-31"}
    answer = send(cast.coordinator.signed_in(), form, **told)

    assert answer.status_code == 409
    assert "counts up to 2028-09-01, not 2028-08-31" in body(answer)
    assert 'value="W-208"' in answer.content.decode()
    assert not Credential.objects.exists()


def test_a_card_of_no_kind_says_what_it_is_for(cast, path):
    told = {"covers": "saw", "number": "S-1", "issued_on": "2026-09-01", "received_on": "2026-09-01"}

    send(cast.coordinator.signed_in(), f"{path}new/plain/", **(told | {"expires_on": "2027-04-30"}))

    assert Credential.objects.get(number="S-1").covers == "saw"
    assert "Does not count today. The saw certificate S-1 ended on 30 April 2027." in page_of(cast.coordinator, path)


def test_a_correction_says_why_and_a_mistaken_entry_counts_for_nothing(cast):
    held = enters(cast.coordinator, cast.volunteer, kind(cast.coordinator))
    lead = cast.coordinator.signed_in()
    told = {"number": "W-209", "authority": held.authority, "issued_on": "2026-09-01", "received_on": "2026-09-10"}

    assert send(lead, f"/people/credentials/{held.id}/", **told).status_code == 400
    assert send(lead, f"/people/credentials/{held.id}/", **(told | {"reason": "misread"})).status_code == 302
    assert Credential.objects.get(id=held.id).number == "W-209"
    send(lead, f"/people/credentials/{held.id}/void/", **({"reason": "of somebody else"}))

    assert Credential.objects.get(id=held.id).voided_at
    assert lead.get(f"/people/credentials/{held.id}/").status_code == 404


def test_one_reads_what_ones_own_let_one_do_and_what_not(cast):
    property_ = cast.coordinator.does("property", "create", name="Heron Bend").record.id
    categories = [{"code": "1D", "name": "cut stumps", "methods": ["cut_stump"]}]
    id = kind(cast.coordinator, categories=categories, names_properties=True)
    enters(cast.coordinator, cast.volunteer, id, categories=["1D"], properties=[str(property_)])
    enters(cast.coordinator, cast.volunteer, kind(cast.coordinator, covers="saw", needs=["first_aid"]), number="S-1")

    told = page_of(cast.volunteer, "/my/credentials/")

    assert "It counts for signing up as applicator" in told
    assert "Category 1D, cut stumps: only cut-stump." in told
    assert "Only on these lands: Heron Bend." in told
    assert "Not for restricted-use products." in told
    assert "Does not count today." in told
    assert "No first-aid certificate is on record" in told
    assert "would stand here" in page_of(cast.other_volunteer, "/my/credentials/")


def test_a_kind_is_entered_with_its_source(cast):
    told = {"name": "Saw card", "covers": "saw", "kind": "rolling", "years": "3", "needs": ["first_aid"]}
    lead = cast.coordinator.signed_in()
    assert send(lead, "/people/kinds/new/", **told).status_code == 400

    assert send(lead, "/people/kinds/new/", **(told | {"source": "An invented ordinance"})).status_code == 302

    assert CredentialType.objects.get(name="Saw card").validity == {
        "kind": "rolling", "years": 3, "months": 0, "month": None, "day": None,
    }  # fmt: skip
    assert "It counts for 3 years from its day of issue." in page_of(cast.coordinator, "/people/kinds/")


def test_nobody_elses_credentials_are_on_a_volunteers_pages(cast, path):
    held = enters(cast.coordinator, cast.volunteer, kind(cast.coordinator))

    for someone in (cast.volunteer, cast.reviewer, cast.stranger):
        for address in (path, f"{path}new/plain/", f"/people/credentials/{held.id}/"):
            assert someone.signed_in().get(address).status_code == 404
