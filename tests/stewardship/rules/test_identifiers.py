"""The form of identifiers."""

import pytest

from stewardship.rules.identifiers import IdentifierMalformed, check_identifier

# CAS, "Check Digit Verification of CAS Registry Numbers", works 107-07-3 out; 7732-18-5 is water, 58-08-2 caffeine,
# 1071-83-6 glyphosate (the last three from memory).
WELL_FORMED = [
    ("usda_symbol", "ELUM"),
    ("usda_symbol", "RHCA3"),
    ("usda_symbol", "EUAL13"),
    ("eppo_code", "AILAL"),
    ("cas", "107-07-3"),
    ("cas", "7732-18-5"),
    ("cas", "58-08-2"),
    ("cas", "1071-83-6"),
    ("jurisdiction", "US"),
    ("jurisdiction", "US-WA"),
    ("jurisdiction", "AU-NSW"),
    ("jurisdiction", "FR-2A"),
]


@pytest.mark.parametrize(("kind", "text"), WELL_FORMED)
def test_a_well_formed_identifier_is_taken_as_it_stands(kind, text):
    assert check_identifier(kind, text) == text


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("usda_symbol", "RHC"),
        ("usda_symbol", "rhca3"),
        ("usda_symbol", "RHCA3000"),
        ("eppo_code", "AILA"),
        ("eppo_code", "AILAL1"),
        ("eppo_code", "ailal"),
        ("cas", "107-07-4"),
        ("cas", "1071836"),
        ("cas", "0107-07-3"),
        ("jurisdiction", "us-wa"),
        ("jurisdiction", "USA"),
        ("jurisdiction", "US-"),
        ("jurisdiction", "US-WASH"),
    ],
)
def test_what_cannot_be_one_is_refused_with_the_form_it_has(kind, text):
    with pytest.raises(IdentifierMalformed) as refused:
        check_identifier(kind, text, where="here")

    assert refused.value.where == "here"
    assert "such as" in str(refused.value)


def test_a_number_is_no_identifier():
    with pytest.raises(TypeError):
        check_identifier("cas", 107073)
