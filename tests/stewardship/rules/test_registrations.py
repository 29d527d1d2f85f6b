"""The form of registration numbers, and the mistakes that a regulator publishes."""

import re
from pathlib import Path

import pytest

from stewardship.rules.registrations import (
    EstablishmentNo,
    HyphensMissing,
    LeadingZeros,
    RegistrationNoMalformed,
    check_registration_no,
    without_leading_zeros,
)

# California DPR, "What's in a Registration Number?": firm of one to seven digits, product of at most five, distributor.
WELL_FORMED = ["99990-101", "99990-101-12345", "1-1", "9999999-99999-9999999", "PCP 99990", "MAPP 10001"]

# New York Pesticide Reporting Law guidance, common problems tables, "Incorrect or Invalid EPA Registration Numbers":
# the kinds of mistake are theirs, the digits invented. 99999-NY-002 is EPA's own example of an establishment number
# (Pesticide Establishment Registration and Reporting, General Information), which has three letters for a country.
MISTAKES = [
    ("99990101", HyphensMissing),
    ("09999000101", HyphensMissing),
    ("099990-00101", LeadingZeros),
    ("099990-00101-012345", LeadingZeros),
    ("99990-101-012345", LeadingZeros),
    ("12345-NY-1", EstablishmentNo),
    ("99999-NY-002", EstablishmentNo),
    ("99990-CHN-1", EstablishmentNo),
    ("12345-ny-1", EstablishmentNo),
    ("99990-", RegistrationNoMalformed),
    ("-101", RegistrationNoMalformed),
    ("", RegistrationNoMalformed),
    ("99990_101", RegistrationNoMalformed),
    ("99990-101-1-1", RegistrationNoMalformed),
    ("99990-100001", RegistrationNoMalformed),
    ("12345678-1", RegistrationNoMalformed),
    ("00000-101", RegistrationNoMalformed),
    ("99990 - 101", RegistrationNoMalformed),
    ("EPA Reg. No. 99990-101", RegistrationNoMalformed),
    ("pcp 99990", RegistrationNoMalformed),
    ("PCP 099990", RegistrationNoMalformed),
    ("٩٩٩٩٠-١٠١", RegistrationNoMalformed),
    ("99990-101\n", RegistrationNoMalformed),
    ("9" * 500, HyphensMissing),
]


@pytest.mark.parametrize("text", WELL_FORMED)
def test_a_registration_number_is_taken_as_it_stands(text):
    assert check_registration_no(text) == text


@pytest.mark.parametrize(("text", "refusal"), MISTAKES, ids=[text[:24] for text, _ in MISTAKES])
def test_each_published_mistake_is_told_apart(text, refusal):
    with pytest.raises(RegistrationNoMalformed) as refused:
        check_registration_no(text, where="registration_no")

    assert type(refused.value) is refusal
    assert refused.value.where == "registration_no"
    assert refused.value.code == refusal.code


def test_each_mistake_has_a_code_of_its_own():
    kinds = (RegistrationNoMalformed, HyphensMissing, LeadingZeros, EstablishmentNo)

    assert len({kind.code for kind in kinds}) == 4


def test_the_hint_of_a_number_without_hyphens_is_to_put_them():
    with pytest.raises(HyphensMissing, match="put them where the label has them"):
        check_registration_no("99990101")


def test_a_number_with_leading_zeros_is_offered_without_them():
    with pytest.raises(LeadingZeros, match="write 99990-101\\.") as refused:
        check_registration_no("099990-00101")

    assert refused.value.normalised == "99990-101"


def test_an_establishment_number_is_said_to_name_a_place():
    with pytest.raises(EstablishmentNo, match="the place where a product was made"):
        check_registration_no("12345-NY-1")


@pytest.mark.parametrize(
    ("text", "stripped"),
    [("099990-00101", "99990-101"), ("99990-101", "99990-101"), ("000-1", None), ("99990101", None), ("1-2-3-4", None)],
)
def test_zeros_are_taken_off_where_a_number_is_left(text, stripped):
    assert without_leading_zeros(text) == stripped


def test_what_is_no_text_is_a_fault_of_the_caller():
    with pytest.raises(TypeError):
        check_registration_no(99990101)


def test_the_invented_numbers_of_the_reference_products_have_the_form():
    text = (Path(__file__).parents[3] / "fixtures/reference/products.json").read_text()
    numbers = re.findall(r'"registration_no": "([^"]+)"', text)

    assert len(numbers) >= 10
    assert [check_registration_no(number) for number in numbers] == numbers
