"""Whether a credential is good for a piece of work: category, product, land, what must stand beside it, suspensions."""

from datetime import date
from uuid import UUID

import pytest

from stewardship.credentials.models import Credential, CredentialType
from stewardship.credentials.needs import Named, Need
from stewardship.credentials.standing import best_of, marks_for, standing

ON = date(2027, 7, 1)
P, Q = Named("p", "ester in oil"), Named("q", "amine in water")
X, Y = Named("x", "Heron Bend"), Named("y", "Otter Flats")
STUMPS = {
    "code": "1D", "name": "", "methods": ["cut_stump"], "site_types": ["pasture", "rangeland", "conservation reserve"],
}  # fmt: skip
ANYTHING = {"code": "1A", "name": "", "methods": [], "site_types": []}
PLAIN = {"categories": [], "needs": [], "needs_types": [], "names_products": False, "names_properties": False}


def kind(number=1, covers="herbicide_application", **told):
    values = {"admits_restricted": True} | PLAIN | told
    return CredentialType(id=UUID(int=number), name="State licence", covers=covers, **values)


def held(number="W-208", covers="herbicide_application", of=None, **told):
    dates = {"issued_on": date(2026, 1, 1), "received_on": date(2026, 1, 1), "expires_on": date(2027, 12, 31)}
    id = UUID(int=sum(map(ord, number)))
    return Credential(id=id, number=number, covers=covers, authority="State", type=of, **dates | told)


def stands(credentials, *kinds, covers="herbicide_application", **need):
    return standing(credentials, Need(covers, **need), ON, {each.id: each for each in kinds})


def lacks(found):
    return [lack.code for lack in found.lacks]


KANSAS = kind(categories=[ANYTHING, STUMPS])


def test_a_holder_of_1d_is_flagged_on_basal_bark_and_not_on_cut_stumps():
    """Kansas: sub-category 1D covers cut stumps only; foliar and basal bark take 1A. Source: K-State eUpdate 104."""
    stumps_only = [held(of=KANSAS, categories=["1D"])]

    assert stands(stumps_only, KANSAS, methods=("cut_stump",)).counts
    found = stands(stumps_only, KANSAS, methods=("basal_bark",))

    assert (found.status, found.counts, lacks(found)) == ("valid", False, ["credential_wrong_category"])
    [mark] = marks_for(found, "applicator", ON)
    assert mark["detail"] == ("The herbicide credential W-208 is for category 1D, which does not take in basal bark.")
    assert stands([held(of=KANSAS, categories=["1A"])], KANSAS, methods=("basal_bark",)).counts


@pytest.mark.parametrize(
    ("site", "counts"), [("Pasture", True), ("old rangeland, east slope", True), ("roadside", False), ("", True)]
)
def test_a_category_for_some_kinds_of_sites_is_good_on_these_only(site, counts):
    """Kansas: cut stumps in pasture, rangeland or conservation reserve only. Source: as above."""
    sites = (site,) if site else ()

    found = stands([held(of=KANSAS, categories=["1D"])], KANSAS, methods=("cut_stump",), site_types=sites)

    assert found.counts is counts


def test_two_credentials_may_share_the_work():
    one, other = held("A", of=KANSAS, categories=["1D"]), held("B", of=KANSAS, categories=["1A"])

    both = stands([one, other], KANSAS, methods=("cut_stump", "foliar"))

    assert both.counts
    assert {each.number for each in both.shared} == {"A", "B"}
    assert not stands([one], KANSAS, methods=("cut_stump", "foliar")).counts


def test_a_credential_that_names_no_category_is_good_for_none():
    assert lacks(stands([held(of=KANSAS)], KANSAS, methods=("foliar",))) == ["credential_wrong_category"]


NAMED = kind(names_products=True, names_properties=True)


@pytest.mark.parametrize(
    ("product", "land", "codes"),
    [
        (P, X, []),
        (Q, X, ["credential_wrong_product"]),
        (P, Y, ["credential_wrong_land"]),
        (Q, Y, ["credential_wrong_product", "credential_wrong_land"]),
    ],
)
def test_a_certificate_for_a_product_on_a_land_is_good_for_no_other(product, land, codes):
    """Illinois: only the trained products, only on named lands. Source: Illinois Section 250.22 FAQ."""
    certificate = [held(of=NAMED, products=["p"], properties=["x"])]

    assert lacks(stands(certificate, NAMED, products=(product,), property=land)) == codes


def test_a_kind_for_named_things_that_names_none_is_good_for_none():
    found = stands([held(of=NAMED)], NAMED, products=(P,), property=X)

    assert lacks(found) == ["credential_wrong_product", "credential_wrong_land"]


def test_a_credential_without_a_kind_that_names_lands_is_good_on_these():
    assert stands([held(properties=["x"])], property=X).counts
    assert lacks(stands([held(properties=["x"])], property=Y)) == ["credential_wrong_land"]


def test_a_refusal_names_the_product_and_the_land():
    found = stands([held(of=NAMED, products=["p"], properties=["x"])], NAMED, products=(Q,), property=Y)

    details = [mark["detail"] for mark in marks_for(found, "member", ON)]
    assert "amine in water is not one of them" in details[0]
    assert "Otter Flats is not one of them" in details[1]


SAW, FIRST_AID = kind(2, "saw", needs=["first_aid"]), kind(3, "first_aid")


@pytest.mark.parametrize(("last_on", "counts"), [(date(2027, 7, 1), True), (date(2027, 6, 30), False), (None, False)])
def test_a_saw_card_counts_only_beside_current_first_aid(last_on, counts):
    """USFS saw certificates need current first aid and CPR.

    Source: USFS volunteer certifications, Sam Houston Trails.
    """
    cards = [held("S", "saw", SAW)]
    cards += [held("F", "first_aid", FIRST_AID, expires_on=last_on)] if last_on else []

    found = stands(cards, SAW, FIRST_AID, covers="saw")

    assert found.counts is counts
    assert lacks(found) == ([] if counts else ["credential_needs_lapsed"])


def test_what_must_stand_beside_it_can_be_a_kind():
    needing = kind(2, "saw", needs_types=[str(FIRST_AID.id)])
    other = kind(4, "first_aid")

    assert stands(
        [held("S", "saw", needing), held("F", "first_aid", FIRST_AID)], needing, FIRST_AID, covers="saw"
    ).counts
    beside_another = [held("S", "saw", needing), held("F", "first_aid", other)]
    assert not stands(beside_another, needing, FIRST_AID, other, covers="saw").counts


def test_a_lapsed_first_aid_card_is_told_with_its_day():
    cards = [held("S", "saw", SAW), held("F", "first_aid", FIRST_AID, expires_on=date(2027, 6, 30))]

    [mark] = marks_for(stands(cards, SAW, FIRST_AID, covers="saw"), "member", ON)

    assert "The first-aid certificate F ended on 30 June 2027" in mark["detail"]


@pytest.mark.parametrize(("admits", "counts"), [(True, True), (False, False)])
def test_a_restricted_product_takes_a_credential_that_admits_it(admits, counts):
    of = kind(admits_restricted=admits)

    found = stands([held(of=of)], of, restricted=True)

    assert found.counts is counts
    assert lacks(found) == ([] if counts else ["credential_not_for_restricted"])
    assert stands([held(of=of)], of).counts


@pytest.mark.parametrize(
    ("first_on", "last_on", "status"),
    [
        ("2027-06-01", "2027-07-01", "suspended"),
        ("2027-07-01", None, "suspended"),
        ("2027-06-01", "2027-06-30", "valid"),
        ("2027-07-02", None, "valid"),
    ],
)
def test_a_suspension_counts_from_its_first_day_to_its_last(first_on, last_on, status):
    suspended = [{"first_on": first_on, "last_on": last_on, "reason": "drift complaint"}]

    found = stands([held(suspensions=suspended)])

    assert found.status == status
    for mark in marks_for(found, "applicator", ON):
        assert mark["code"] == "credential_suspended"
        assert "suspended on 1 July 2027" in mark["detail"]
        assert "drift" not in mark["detail"]


def test_a_duty_may_ask_for_a_kind():
    one, other = kind(5, "training"), kind(6, "training")

    assert stands([held("T", "training", one)], one, other, covers="training", type=one.id).counts
    assert stands([held("T", "training", one)], one, other, covers="training", type=other.id).status == "missing"


def test_the_best_of_several_needs_is_the_one_that_counts():
    expired = standing([held(expires_on=date(2027, 6, 30))], Need("herbicide_application"), ON, {})
    valid = standing([held()], Need("herbicide_application"), ON, {})

    assert best_of([expired, valid]) is valid
    assert best_of([stands([]), expired]) is expired
