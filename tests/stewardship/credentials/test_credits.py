"""Credits of members, and what they come to in the cycle of their licence."""

import pytest

from tests.api.asking import get
from tests.credentials import enters, kind

PENNSYLVANIA = {
    "name": "Applicator", "validity": {"kind": "rolling", "years": 3}, "credit_cycle_years": 3,
    "categories": [{"code": "05"}, {"code": "10"}],
    "credits": [{"wanted": "6"}, {"category": "05", "wanted": "8"}, {"category": "10", "wanted": "8"}],
}  # fmt: skip
"""Recertification, Pennsylvania Department of Agriculture (5 May 2025)."""
MONTANA = {
    "name": "Commercial applicator", "validity": {"kind": "stated"}, "credit_cycle_years": 4,
    "credits": [{"wanted": "12", "caps": {"online": "6"}}],
}  # fmt: skip
"""Montana renewal summary, a training provider: 12 credits in four years, at most 6 online."""


def earns(cast, type, amount, *, mode="online", on="2027-03-01", **values):
    told = {"member": cast.volunteer.member.id, "type": type, "mode": mode, "amount": amount, "on_date": on}
    return cast.coordinator.does("credit", "create", **told, title="Woody plants", **values).record


def ledger(someone, type, **asked):
    return get(someone, "credits/ledger", type=str(type), on="2027-05-01", **asked).json()


def test_ten_online_credits_with_a_cap_of_six_count_as_six_and_the_shortfall_is_shown(cast):
    montana = kind(cast.coordinator, **MONTANA)
    enters(cast.coordinator, cast.volunteer, montana, expires_on="2027-12-31")
    earns(cast, montana, "4")
    earns(cast, montana, "6")

    told = ledger(cast.volunteer, montana, since="2025-01-01")

    (line,) = told["lines"]
    assert (line["earned"], line["beyond_caps"], line["counted"], line["lacking"]) == ("10", {"online": "4"}, "6", "6")
    assert told["cycle"] == {"first_on": "2025-01-01", "last_on": "2029-01-01"}
    assert told["lacking"] == "6"


def test_a_cycle_that_does_not_follow_from_the_licence_is_said_and_no_shortfall_is_made_up(cast):
    montana = kind(cast.coordinator, **MONTANA)
    enters(cast.coordinator, cast.volunteer, montana, expires_on="2027-12-31")
    earns(cast, montana, "4.5")

    told = ledger(cast.volunteer, montana)

    assert (told["cycle"], told["lacking"], told["lines"][0]["lacking"]) == (None, None, None)
    assert told["lines"][0]["counted"] == "4.5"
    assert "say from which day the cycle runs" in told["unclear"]


def test_core_and_category_are_summed_apart_within_the_cycle_of_the_licence(cast):
    pennsylvania = kind(cast.coordinator, **PENNSYLVANIA)
    enters(cast.coordinator, cast.volunteer, pennsylvania, categories=["05"], issued_on="2026-09-01")
    earns(cast, pennsylvania, "5.5")
    earns(cast, pennsylvania, "9", category="05", mode="in_person")
    earns(cast, pennsylvania, "6", on="2026-08-31")

    told = ledger(cast.volunteer, pennsylvania)

    assert told["cycle"] == {"first_on": "2026-09-01", "last_on": "2029-09-01"}
    assert [(line["category"], line["counted"], line["lacking"]) for line in told["lines"]] == [
        ("", "5.5", "0.5"), ("05", "9", "0"),
    ]  # fmt: skip


def test_a_licence_that_is_not_on_record_is_said(cast):
    pennsylvania = kind(cast.coordinator, **PENNSYLVANIA)

    assert "No Applicator is on record" in ledger(cast.volunteer, pennsylvania)["unclear"]
    no_credits = kind(cast.coordinator)
    assert "asks for no credits" in ledger(cast.volunteer, no_credits)["unclear"]


def test_a_voided_credit_counts_no_more_and_again_when_it_is_reinstated(cast):
    pennsylvania = kind(cast.coordinator, **PENNSYLVANIA)
    enters(cast.coordinator, cast.volunteer, pennsylvania, categories=["10"])
    credit = earns(cast, pennsylvania, "2")
    cast.coordinator.does("credit", "amend", id=credit.id, amount="2.5", reason="misread")

    found = []
    for op in ("", "void", "reinstate"):
        if op:
            cast.coordinator.does("credit", op, id=credit.id, reason="entered twice, or not")
        found.append(ledger(cast.volunteer, pennsylvania)["lines"][0]["counted"])

    assert found == ["2.5", "0", "2.5"]


def test_credits_are_a_persons_own_and_a_coordinators_to_see(cast):
    pennsylvania = kind(cast.coordinator, **PENNSYLVANIA)
    earns(cast, pennsylvania, "2")
    member = str(cast.volunteer.member.id)

    assert ledger(cast.coordinator, pennsylvania, member=member)["lines"][0]["counted"] == "2"
    assert ledger(cast.other_volunteer, pennsylvania, member=member)["code"] == "not_permitted"
    assert get(cast.other_volunteer, "credits").json()["results"] == []


@pytest.mark.parametrize("whose", ["member", "type"])
def test_another_groups_member_or_kind_is_answered_like_one_that_nobody_has(cast, whose):
    own, theirs = kind(cast.coordinator), kind(cast.stranger)
    foreign = str(cast.stranger.member.id) if whose == "member" else str(theirs)
    asked = {"member": str(cast.volunteer.member.id), "type": str(own)}

    answers = [get(cast.coordinator, "credits/ledger", **asked | {whose: id}) for id in (foreign, str(cast.group.id))]

    assert {(each.status_code, each.content) for each in answers} == {(404, answers[0].content)}
