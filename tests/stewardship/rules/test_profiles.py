"""A record judged by what was in force on its own local date."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from stewardship.rules.dates import DateOutOfRange
from stewardship.rules.deadlines import Clock
from stewardship.rules.profiles import (
    PEOPLE,
    Finding,
    Profile,
    ProfileEndsBeforeItBegins,
    SpotRule,
    applying,
    findings,
    in_force,
    judge,
    kept_until,
    missing,
)
from stewardship.rules.requirements import Missing, Requirement, RequirementUnclear
from stewardship.rules.units import Dimension, to_base

CHICAGO = ZoneInfo("America/Chicago")
FACTS = {
    "location": {"address": "12 Mill Road, Fenton"}, "applied_on": "2026-05-02", "product_name": "triclopyr ester",
    "registration_no": "99990-101", "product_amount": {"value": "8", "unit": "fl_oz"}, "site_type": "woodland",
    "area_mm2": to_base("1", "acre", Dimension.AREA), "applicators": ["Maren Oduya"],
    "applicator_credentials": ["C-1042"], "restricted_use": True,
}  # fmt: skip

# 7 CFR 110.3 (CFR rev. 1 Jan 2006); its spot treatment: Private Applicator Pesticide Recordkeeping, Minnesota
# Department of Agriculture.
FEDERAL = Profile(
    key="federal",
    name="federal",
    source="7 CFR 110.3",
    jurisdiction="US",
    restricted_only=True,
    effective_to=date(2025, 7, 10),
    required=("product_name", "registration_no", "product_amount", "location", "area_mm2", "site_type", "applied_on"),
    spot=SpotRule(
        below_mm2=to_base("0.1", "acre", Dimension.AREA),
        required=("product_name", "registration_no", "product_amount", "location", "applied_on", "spot_words"),
    ),
    clock=Clock(kind="days", count=14),
    retention_years=2,
)
STATE = Profile(
    key="state",
    name="state",
    source="ours",
    jurisdiction="US-WA",
    required=("location", "applied_on", "started_at"),
    clock=Clock(kind="same_day"),
    retention_years=7,
)
GENERAL = Profile(key="general", name="general", source="ours", required=("location",), retention_years=5)
ALL = (FEDERAL, STATE, GENERAL)


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=CHICAGO)


def without(*names):
    return {name: value for name, value in FACTS.items() if name not in names}


def acres(text):
    return to_base(text, "acre", Dimension.AREA)


def judged(facts, profile, completed_at="2026-05-02T17:00", now="2026-05-02T18:00"):
    return judge(facts, profile, at("2026-05-02T11:00"), CHICAGO, completed_at and at(completed_at), at(now))


# -- which profiles --------------------------------------------------------------------------------


def test_the_last_day_is_in_force_and_the_next_is_not():
    assert in_force(ALL, date(2025, 7, 10)) == [FEDERAL, STATE, GENERAL]
    assert in_force(ALL, date(2025, 7, 11)) == [STATE, GENERAL]


def test_the_first_day_is_in_force_and_the_one_before_is_not():
    new = Profile(key="new", name="new", source="ours", effective_from=date(2024, 7, 1))

    assert (new.holds(date(2024, 6, 30)), new.holds(date(2024, 7, 1))) == (False, True)


@pytest.mark.parametrize(
    ("jurisdiction", "on", "restricted", "keys"),
    [
        ("US-WA", date(2024, 5, 1), True, ["federal", "state"]),
        ("US-WA", date(2024, 5, 1), None, ["federal", "state"]),
        ("US-WA", date(2024, 5, 1), False, ["state"]),
        ("US-WA", date(2026, 5, 1), True, ["state"]),
        ("US-OR", date(2024, 5, 1), True, ["federal"]),
        ("US-OR", date(2024, 5, 1), False, ["general"]),
        ("US-OR", date(2026, 5, 1), True, ["general"]),
        ("US", date(2024, 5, 1), True, ["federal"]),
        ("", date(2024, 5, 1), True, ["general"]),
        ("AU-NSW", date(2026, 5, 1), False, ["general"]),
    ],
)
def test_a_place_has_its_own_rules_and_its_countrys_else_the_general_ones(jurisdiction, on, restricted, keys):
    found = applying(ALL, jurisdiction, on, {"restricted_use": restricted})

    assert [profile.key for profile in found] == keys


# -- what is missing -------------------------------------------------------------------------------


def test_a_record_that_says_everything_misses_nothing():
    assert missing(FACTS, FEDERAL) == []


@pytest.mark.parametrize("name", FEDERAL.required)
def test_each_fact_that_is_required_is_missed_by_itself(name):
    assert [each.field for each in missing(without(name), FEDERAL)] == [name]


def test_what_is_missing_is_told_in_plain_words():
    assert missing(without("registration_no"), FEDERAL) == [
        Missing("registration_no", "the registration number on the label")
    ]


def test_the_hour_of_completion_is_wanted_where_people_may_not_enter_at_once():
    """7 Pa. Code 128.35(a)(1)."""
    profile = Profile(
        key="pa", name="pa", source="-", conditional=(Requirement(any_of=(("ended_at",),), when=("has_reentry",)),)
    )

    assert [each.field for each in missing({"has_reentry": True}, profile)] == ["ended_at"]
    assert missing({"has_reentry": False}, profile) == []
    assert missing({}, profile) == [
        Missing("has_reentry", "whether the label sets a time before people may enter again")
    ]


def test_a_question_that_two_requirements_turn_on_is_asked_once():
    wanted = tuple(Requirement(any_of=((name,),), when=("was_sprayed",)) for name in ("wind_speed", "wind_direction"))

    found = missing({}, Profile(key="k", name="n", source="-", conditional=wanted))

    assert [each.field for each in found] == ["was_sprayed"]


def test_a_helper_who_applies_needs_a_supervisor_named():
    """40 CFR 171.303(b)(7), NSW Pesticides Regulation 2017 cl. 36(1)(g), IDAPA 02.03.03.101."""
    wanted = Requirement(any_of=(("supervisor", "supervisor_credential"),), when=("was_supervised",))
    profile = Profile(key="k", name="n", source="-", conditional=(wanted,))

    assert [each.field for each in missing({"was_supervised": True}, profile)] == ["supervisor"]
    assert missing(
        {"was_supervised": True, "supervisor": "Maren Oduya", "supervisor_credential": "C-1042"}, profile
    ) == []  # fmt: skip


def test_a_countersign_is_wanted_only_of_supervised_work():
    profile = Profile(key="k", name="n", source="-", countersign=True)

    assert [each.field for each in missing({"was_supervised": True}, profile)] == ["countersigned_by"]
    assert missing({"was_supervised": True, "countersigned_by": "Maren Oduya"}, profile) == []
    assert missing({"was_supervised": False}, profile) == []


# -- spot treatments -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("acre", "fields"),
    [
        ("0.09", []),
        ("0.0999999", []),
        ("0.10", ["site_type"]),
        ("0.1", ["site_type"]),
        ("0.11", ["site_type"]),
    ],
)
def test_below_a_tenth_of_an_acre_the_shorter_list_is_enough(acre, fields):
    facts = without("site_type") | {"area_mm2": acres(acre), "spot_words": True}

    assert [each.field for each in missing(facts, FEDERAL)] == fields


def test_a_tenth_of_an_acre_by_square_feet_is_no_spot_either():
    tenth = to_base("4356", "sq_ft", Dimension.AREA)

    assert [e.field for e in missing(without("site_type") | {"area_mm2": tenth, "spot_words": True}, FEDERAL)] == [
        "site_type"
    ]


@pytest.mark.parametrize("words", [None, False])
def test_a_spot_treatment_says_so(words):
    facts = FACTS | {"area_mm2": acres("0.09"), "spot_words": words}

    assert [each.field for each in missing(facts, FEDERAL)] == ["spot_words"]


def test_the_size_of_a_spot_treatment_may_be_left_out():
    assert missing(without("area_mm2", "site_type") | {"spot_words": True}, FEDERAL) == []
    assert [each.field for each in missing(without("area_mm2"), FEDERAL)] == ["area_mm2"]


def test_without_a_spot_rule_a_small_area_changes_nothing():
    facts = {"area_mm2": acres("0.01"), "spot_words": True}

    assert [each.field for each in missing(facts, STATE)] == ["location", "applied_on", "started_at"]


# -- people ----------------------------------------------------------------------------------------

STRICT = Profile(
    key="strict",
    name="strict",
    source="Illinois Section 250.22 FAQ; IDAPA 02.03.03.010.07",
    only_licensed_mix=True,
    minimum_age_years=18,
    supervised_per_licensed=2,
)
FIT = {"mixer_is_licensed": True, "youngest_age_years": 18, "licensed_people": 1, "supervised_people": 2}


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({}, []),
        ({"mixer_is_licensed": False}, ["mixed_without_licence"]),
        ({"youngest_age_years": 17}, ["below_minimum_age"]),
        ({"supervised_people": 3}, ["too_many_supervised"]),
        ({"licensed_people": 2, "supervised_people": 4}, []),
        ({"licensed_people": 0, "supervised_people": 1}, ["too_many_supervised"]),
    ],
)
def test_what_lies_outside_a_rule_on_people_is_found_at_both_edges(changes, codes):
    assert [found.code for found in findings(FIT | changes, STRICT)] == codes
    assert missing(FIT | changes, STRICT) == []


def test_a_finding_is_a_sentence():
    assert findings(FIT | {"youngest_age_years": 17}, STRICT) == [
        Finding("below_minimum_age", "Under this rule nobody younger than 18 applies herbicide.")
    ]


@pytest.mark.parametrize("name", PEOPLE)
def test_an_unknown_fact_on_people_is_missing_and_no_finding(name):
    facts = FIT | {name: None}

    assert missing(facts, STRICT) == [Missing(name, PEOPLE[name])]
    assert findings(facts, STRICT) == []


def test_nobody_is_counted_where_nobody_was_supervised():
    facts = {"mixer_is_licensed": True, "youngest_age_years": 30, "was_supervised": False}

    assert missing(facts, STRICT) == []


def test_a_profile_that_says_nothing_on_people_asks_nothing():
    assert missing(FACTS | {"mixer_is_licensed": False, "youngest_age_years": 12}, FEDERAL) == []
    assert findings({"mixer_is_licensed": False, "youngest_age_years": 12, "supervised_people": 9}, FEDERAL) == []


# -- the verdict -----------------------------------------------------------------------------------


def test_a_record_that_lacks_something_is_not_complete_however_early_it_was_written():
    verdict = judged(without("started_at"), STATE)

    assert (verdict.is_complete, verdict.standing.state) == (False, "open")
    assert [each.field for each in verdict.missing] == ["started_at"]
    assert verdict.standing.left == timedelta(hours=6) - timedelta(microseconds=1)


@pytest.mark.parametrize(
    ("completed_at", "now", "state"),
    [
        ("2026-05-02T23:59", "2026-05-04T08:00", "in_time"),
        ("2026-05-03T00:10", "2026-05-04T08:00", "late"),
        (None, "2026-05-02T23:40", "open"),
        (None, "2026-05-03T00:10", "overdue"),
    ],
)
def test_a_complete_record_stands_by_when_it_was_completed_and_a_draft_by_now(completed_at, now, state):
    verdict = judged(FACTS | {"started_at": "09:00"}, STATE, completed_at, now)

    assert verdict.is_complete
    assert verdict.standing.state == state
    assert verdict.due == datetime(2026, 5, 3, 4, 59, 59, 999999, tzinfo=UTC)


def test_the_same_record_under_the_rules_of_2024_and_of_2026_has_different_verdicts():
    """7 CFR 110 was rescinded with effect from 11 July 2025."""
    facts = without("site_type")
    verdicts = {}
    for year in (2024, 2026):
        done = at(f"{year}-05-02T11:00")
        profiles = applying((FEDERAL, GENERAL), "US-OR", done.date(), facts)
        verdicts[year] = [judge(facts, each, done, CHICAGO, done + timedelta(days=20), done) for each in profiles]

    [of_2024], [of_2026] = verdicts.values()
    assert (of_2024.profile, of_2024.is_complete, of_2024.standing.state) == (FEDERAL, False, "open")
    assert (of_2026.profile, of_2026.is_complete, of_2026.standing.state) == (GENERAL, True, "no_clock")
    assert (of_2024.keep_until, of_2026.keep_until) == (date(2026, 5, 2), date(2031, 5, 2))


def test_a_verdict_by_a_rule_that_was_not_in_force_says_so():
    assert judged(FACTS, FEDERAL).was_in_force is False
    assert judged(FACTS, STATE).was_in_force is True


def test_the_local_date_of_the_place_decides_which_rule_was_in_force():
    """23:30 on 10 July in Chicago is 11 July in UTC."""
    done = datetime(2025, 7, 11, 4, 30, tzinfo=UTC)

    assert judge(FACTS, FEDERAL, done, CHICAGO, done, done).was_in_force
    assert not judge(FACTS, FEDERAL, done, ZoneInfo("UTC"), done, done).was_in_force


def test_a_verdict_says_when_the_shorter_list_was_used():
    facts = FACTS | {"area_mm2": acres("0.05"), "spot_words": True}

    assert judged(facts, FEDERAL).used_spot_list
    assert not judged(FACTS, FEDERAL).used_spot_list


# -- keeping ---------------------------------------------------------------------------------------


def test_the_longest_rule_wins():
    assert kept_until(ALL, date(2024, 5, 2)) == date(2031, 5, 2)
    assert kept_until([FEDERAL], date(2024, 5, 2)) == date(2026, 5, 2)


def test_after_six_years_and_nine_tenths_seven_years_are_not_over():
    done_on = date(2020, 1, 1)

    assert done_on + timedelta(days=round(6.9 * 365.25)) < kept_until([FEDERAL, STATE], done_on)


def test_a_record_of_a_leap_day_is_kept_to_the_end_of_february():
    assert kept_until([STATE], date(2028, 2, 29)) == date(2035, 2, 28)


def test_without_a_rule_that_states_years_none_are_told():
    assert kept_until([], date(2024, 5, 2)) is None
    assert kept_until([Profile(key="k", name="n", source="-")], date(2024, 5, 2)) is None


# -- refusals --------------------------------------------------------------------------------------


def test_a_profile_that_ends_before_it_begins_is_refused():
    with pytest.raises(ProfileEndsBeforeItBegins) as refused:
        Profile(key="k", name="n", source="-", effective_from=date(2024, 7, 1), effective_to=date(2024, 6, 30))

    assert (refused.value.code, refused.value.where) == ("profile_ends_before_it_begins", "effective_to")


def test_a_profile_of_one_day_is_taken():
    one = Profile(key="k", name="n", source="-", effective_from=date(2024, 7, 1), effective_to=date(2024, 7, 1))

    assert one.holds(date(2024, 7, 1))


def test_a_fact_that_is_not_in_the_list_cannot_be_required():
    with pytest.raises(RequirementUnclear):
        Profile(key="k", name="n", source="-", required=("shoe_size",))
    with pytest.raises(RequirementUnclear):
        SpotRule(below_mm2=1, required=("shoe_size",))


def test_keeping_beyond_the_end_of_the_calendar_is_refused():
    with pytest.raises(DateOutOfRange):
        kept_until([STATE], date(9999, 1, 1))
