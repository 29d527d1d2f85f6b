"""Records judged by the rules of their place and date."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.cast import AT
from tests.planning import licence
from tests.stewardship.treatments.records import tank_mix
from tests.stewardship.treatments.verdicts.records import (
    EVERYTHING,
    at_home_in,
    judged,
    lacking,
    own_rule,
    rule,
    whole,
)  # fmt: skip

pytestmark = pytest.mark.django_db


# -- what is asked for -----------------------------------------------------------------------------

PLACES = {
    "us-wa": "US-WA", "us-pa": "US-PA", "us-wi": "US-WI", "us-ga": "US-GA", "us-md-private": "US-MD",
    "us-md-licensees": "US-MD", "us-id": "US-ID", "general-default": "",
}  # fmt: skip


@pytest.mark.parametrize("key", PLACES)
def test_a_record_that_says_everything_is_complete_under_each_shipped_rule(ground, coordinator, licensed, key):
    at_home_in(ground, PLACES[key])
    rule(coordinator, key)

    [one] = judged(whole(ground))

    assert lacking(one) == []
    assert one.verdict.is_complete
    assert one.verdict.standing.state in ("in_time", "no_clock")
    assert not one.wants_attention


@pytest.mark.parametrize(
    ("silent", "field"),
    [
        ({"site_type": ""}, "site_type"),
        ({"weather": []}, "wind_speed"),
        ({"ended_at": None}, "ended_at"),
        ({"for_a_customer": None}, "for_a_customer"),
        ({"for_a_customer": True}, "customer"),
    ],
)
def test_what_washington_wants_and_was_not_told_is_named(ground, coordinator, licensed, silent, field):
    at_home_in(ground, "US-WA")
    rule(coordinator, "us-wa")

    [one] = judged(whole(ground, **silent))

    assert field in lacking(one)
    assert all(each.words for each in one.verdict.missing)
    assert one.wants_attention


@pytest.mark.parametrize(
    ("silent", "field"),
    [
        ({"had_incident": None}, "had_incident"),
        ({"had_incident": True}, "incident"),
        ({"helpers": None}, "had_helpers"),
        ({"all_adults": None}, "youngest_age_years"),
    ],
)
def test_a_question_that_nobody_answered_is_missing_and_never_no(ground, coordinator, licensed, silent, field):
    rule(coordinator, "general-default")

    [one] = judged(whole(ground, **silent))

    assert lacking(one) == [field]


def test_a_tank_mix_of_two_products_is_judged_as_two_lines(ground, coordinator, licensed):
    """One product, one date, one place to a line."""
    own_rule(coordinator, required=["product_name", "registration_no", "product_amount", "applied_on", "location"])
    line = ground.line(ground.session(**EVERYTHING), ground.batch(**tank_mix(ground)), "5")

    found = judged(line.id)

    assert sorted((each.product.registration_no, each.line.on_date.isoformat()) for each in found) == [
        ("99990-101", "2027-05-01"), ("99990-102", "2027-05-01"),
    ]  # fmt: skip
    assert all(each.verdict.is_complete for each in found)


# -- dated rules -----------------------------------------------------------------------------------


def test_the_same_record_under_the_rule_before_and_after_a_change_gets_different_verdicts(ground, coordinator):
    """By the two texts of Idaho: until 30 June 2024 and from 1 July 2024."""
    at_home_in(ground, "US-ID")
    licence(coordinator, coordinator, "2027-12-31", issued_on="2020-01-01", received_on="2020-01-01")
    for key in ("us-id-until-2024", "us-id"):
        rule(coordinator, key)
    before, after = (
        whole(ground, **{name: f"{on}T{hour}:30:00-05:00" for name, hour in (("started_at", "09"), ("ended_at", "10"))})
        for on in ("2024-06-30", "2024-07-01")
    )

    old, new = judged(before, after)

    assert (old.verdict.profile.key, lacking(old)) == ("us-id-until-2024", ["recommended_by"])
    assert (new.verdict.profile.key, lacking(new)) == ("us-id", [])
    assert (old.verdict.keep_until.isoformat(), new.verdict.keep_until.isoformat()) == ("2027-06-30", "2026-07-01")


def test_where_no_rule_of_the_place_is_in_force_the_general_one_is(ground, coordinator, licensed):
    at_home_in(ground, "US-WA")
    rule(coordinator, "us-wa", effective_from="2028-01-01")
    rule(coordinator, "general-default")

    [one] = judged(whole(ground))

    assert one.verdict.profile.key == "general-default"


def test_a_rule_that_was_retired_judges_nothing(ground, coordinator):
    id = own_rule(coordinator)
    line = whole(ground)
    assert len(judged(line)) == 1

    coordinator.does("rule_profile", "retire", id=id, reason="it does not concern us")

    assert judged(line) == []


# -- clocks ----------------------------------------------------------------------------------------

NIGHT = {"started_at": "2027-05-01T23:20:00-05:00", "ended_at": "2027-05-01T23:50:00-05:00"}


@pytest.mark.parametrize(
    ("entered", "state", "left"),
    [("2027-05-02T04:55:00", "in_time", timedelta(minutes=5)), ("2027-05-02T05:10:00", "late", -timedelta(minutes=10))],
)
def test_ten_to_midnight_entered_at_ten_past_is_late_under_a_same_day_rule(ground, coordinator, entered, state, left):
    """Chicago is five hours behind UTC in May."""
    own_rule(coordinator)
    at_home_in(ground, "")
    at = datetime.fromisoformat(entered).replace(tzinfo=UTC)

    [one] = judged(whole(ground, at, **NIGHT), now=at + timedelta(days=9))

    assert one.verdict.standing.state == state
    assert abs(one.verdict.standing.left - left) <= timedelta(microseconds=1)


def test_48_hours_across_the_change_to_summer_time_are_48_hours(ground, coordinator):
    """New South Wales, 48 h; its clocks go forward at 2:00 on 3 October 2027."""
    at_home_in(ground, "AU-NSW", time_zone="Australia/Sydney")
    rule(coordinator, "au-nsw")
    times = {"started_at": "2027-10-02T09:00:00+10:00", "ended_at": "2027-10-02T10:00:00+10:00"}

    [one] = judged(whole(ground, **times))

    assert one.verdict.due.isoformat() == "2027-10-04T00:00:00+00:00"  # 11:00 there, by the new clock


def test_a_record_that_gained_its_last_fact_too_late_is_late(ground, coordinator):
    own_rule(coordinator, required=["site_type"])
    line = whole(ground, site_type="")
    [one] = judged(line)
    assert (one.verdict.standing.state, lacking(one)) == ("open", ["site_type"])

    session, later = one.line.session_id, AT + timedelta(days=3)
    coordinator.does("session", "amend", id=session, at=later, reason="left out", site_type="floodplain forest")

    [one] = judged(line, now=later)
    assert one.verdict.standing.state == "late"
    assert one.verdict.standing.left < -timedelta(days=2)


def test_a_correction_after_the_time_makes_no_record_late_that_was_complete_in_time(ground, coordinator):
    own_rule(coordinator, required=["site_type", "equipment"])
    line = whole(ground)

    later = AT + timedelta(days=3)
    [one] = judged(line)
    coordinator.does("session", "amend", id=one.line.session_id, at=later, reason="misread", equipment="sponge")
    coordinator.does("application", "amend", id=line, at=later, reason="counted", stems=41)

    [one] = judged(line, now=later)
    assert one.verdict.standing.state == "in_time"


def test_what_was_taken_out_and_put_back_counts_from_then(ground, coordinator):
    own_rule(coordinator, required=["site_type"])
    line = whole(ground)
    [one] = judged(line)
    for days, site in ((1, ""), (2, "floodplain forest")):
        at = AT + timedelta(days=days)
        coordinator.does("session", "amend", id=one.line.session_id, at=at, reason="read again", site_type=site)

    [one] = judged(line)

    assert one.verdict.standing.state == "late"


def test_a_signature_counts_where_a_rule_asks_for_it(ground, coordinator):
    own_rule(coordinator, required=["signature"])
    line = whole(ground)
    [one] = judged(line)
    assert lacking(one) == ["signature"]

    coordinator.does("session", "attest", id=one.line.session_id)

    [one] = judged(line)
    assert (lacking(one), one.verdict.standing.state) == ([], "in_time")


# -- spots -----------------------------------------------------------------------------------------

OLD = {"started_at": "2025-07-10T09:00:00-05:00", "ended_at": "2025-07-10T10:00:00-05:00", "site_type": ""}


def spot(ground, acre, at=AT):
    return whole(ground, at, line={"area": {"value": acre, "unit": "acre"}, "is_spot": True}, **OLD)


@pytest.fixture
def federal(ground, coordinator):
    """Give a restricted-use product under the federal rule, on its last day."""
    at_home_in(ground, "US")
    coordinator.does("product", "amend", id=ground.product, restricted_use=True)
    rule(coordinator, "us-7-cfr-110")


@pytest.mark.parametrize(("acre", "passes"), [("0.09", True), ("0.10", False)])
def test_a_spot_below_a_tenth_of_an_acre_passes_the_shorter_list(ground, federal, acre, passes):
    """0.09 acre passes the reduced list, 0.10 acre does not."""
    [one] = judged(spot(ground, acre))

    assert one.verdict.used_spot_list is passes
    assert ("site_type" in lacking(one)) is not passes


def test_the_area_of_a_spot_is_that_of_the_whole_day_on_the_property(ground, federal):
    """The area is that of the day: Private Applicator Pesticide Recordkeeping, Minnesota Dept of Agriculture."""
    first, second = spot(ground, "0.05"), spot(ground, "0.05")

    assert [one.verdict.used_spot_list for one in judged(first, second)] == [False, False]

    ground.coordinator.does("application", "void", id=second, reason="typed twice")
    assert [one.verdict.used_spot_list for one in judged(first)] == [True]


# -- places ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "place", "told", "form"),
    [
        ("us-md-licensees", "US-MD", {}, "address"),
        ("us-md-licensees", "US-MD", {"address": ""}, None),
        ("us-md-licensees", "US-MD", {"address": "P.O. Box 12, Fenton"}, None),
        ("us-id", "US-ID", {"address": ""}, "lat_long"),
        ("us-id", "US-ID", {"address": "", "legal_description": "Lot 4, Block 2"}, "legal_description"),
        ("us-7-cfr-110", "US", {"county_section": "Polk 12N 3W 7"}, "county_section"),
        ("us-wa", "US-WA", {"address": ""}, "description"),
    ],
)
def test_the_place_is_told_in_the_form_that_the_rule_takes(ground, coordinator, licensed, key, place, told, form):
    """Unit, geometry, text, legal and county description, latitude and longitude."""
    at_home_in(ground, place, **told)
    coordinator.does("product", "amend", id=ground.product, restricted_use=True)
    rule(coordinator, key, effective_to="2030-01-01")

    [one] = judged(whole(ground))

    assert (one.place[0] if one.place else None) == form
    assert ("location" in lacking(one)) is (form is None)
