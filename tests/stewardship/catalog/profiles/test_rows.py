"""The rule profiles that are shipped: read as the rules judge by them, and judged against what they were taken from."""

import re
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import msgspec
import pytest

from stewardship.catalog.models import RuleProfile
from stewardship.catalog.profiles.fields import NewRuleProfile
from stewardship.catalog.profiles.rows import profile_of, read_profile
from stewardship.journal.fields import read_checked
from stewardship.rules.deadlines import Clock
from stewardship.rules.profiles import applying, judge, kept_until, missing
from stewardship.rules.units import Dimension, to_base
from stewardship.sync.reference import load_reference, reference_rows
from tests.cast import AT
from tests.published import published

ROWS = {row["reference_key"]: row for row in reference_rows("rule_profile")}
FEDERAL, COMMERCIAL = "us-7-cfr-110", "us-40-cfr-171"
EVERYTHING = {
    "location": {"address": "12 Mill Road, Fenton", "lat_long": "44.98, -93.27", "county_section": "Polk 12N 3W 7"},
    "applied_on": "2026-05-02", "started_at": "09:00", "ended_at": "11:00", "product_name": "triclopyr ester",
    "registration_no": "99990-101", "product_amount": "8 fl oz", "mix_strength": "20 %", "mix_amount": "40 fl oz",
    "carrier": "oil", "adjuvants": "none", "rate_per_area": "4 fl oz/acre", "target_species": ["Rhamnus cathartica"],
    "area_mm2": to_base("2", "acre", Dimension.AREA), "plants": 160, "site_type": "woodland", "method": "basal bark",
    "equipment": "hand sprayer", "wind_speed": "3 mph", "wind_direction": "W", "temperature": "12 C",
    "applicators": ["Maren Oduya"], "applicator_credentials": ["C-1042"], "mixing_place": "trailhead",
    "recorded_by": "Maren Oduya", "recorded_at": "11:20", "recommended_by": "Maren Oduya",
    "restricted_use": True, "has_reentry": False, "was_supervised": False, "had_helpers": False, "was_sprayed": False,
    "weather_changed": False, "label_names_weather": False, "had_incident": False, "was_disposed_of": False,
    "mixed_elsewhere": False, "for_a_customer": False, "mixer_is_licensed": True, "youngest_age_years": 18,
}  # fmt: skip


def shipped(key):
    wish = msgspec.convert(ROWS[key], NewRuleProfile, dec_hook=read_checked)
    values = {name: getattr(wish, name) for name in wish.__struct_fields__}
    return read_profile(msgspec.to_builtins(values, enc_hook=str) | _dates(wish), key=key)


def _dates(wish):
    return {"effective_from": wish.effective_from, "effective_to": wish.effective_to}


PROFILES = {key: shipped(key) for key in ROWS}


def without(*names):
    return {name: value for name, value in EVERYTHING.items() if name not in names}


def fields(facts, key):
    return [each.field for each in missing(facts, PROFILES[key])]


def keys(code, on, **facts):
    return {profile.key for profile in applying(PROFILES.values(), code, on, facts)}


# -- the file --------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ROWS)
def test_a_full_record_is_complete_under_every_profile(key):
    assert fields(EVERYTHING, key) == []


@pytest.mark.parametrize("key", ROWS)
def test_each_profile_misses_each_fact_that_it_always_asks_for(key):
    for name in PROFILES[key].required:
        assert name in fields(without(name), key), name


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_a_profile_that_does_not_know_its_first_day_says_so(row):
    undated = "effective_from" not in row and row["jurisdiction"]

    assert not undated or re.search(r"not verified", row["note"])


def test_there_is_one_general_default_and_it_is_said_to_be_ours():
    [general] = [row for row in ROWS.values() if not row["jurisdiction"]]

    assert general["source"].startswith("Ours, no authority's")
    assert "not the law of any place" in general["note"]


def test_the_versions_of_one_rule_do_not_overlap():
    for old, new in (("us-pa-1995", "us-pa"), ("us-id-until-2024", "us-id"), ("au-nsw-until-2017", "au-nsw")):
        assert PROFILES[old].effective_to + timedelta(days=1) == PROFILES[new].effective_from


# -- what they were taken from ---------------------------------------------------------------------

CLOCK_OF = {"WI": "us-wi", "WA": "us-wa", "PA": "us-pa", "NSW": "au-nsw", "US": FEDERAL, "MN": "us-mn", "FL": "us-fl"}
REPORT_OF = {"CA": "us-ca", "NY": "us-ny"}


@pytest.mark.parametrize("row", [row for row in published("recording_clocks") if row["id"] != "BC"], ids=str)
def test_the_clocks_of_the_profiles_are_the_published_ones(row):
    place = row["id"].partition("-")[0]
    told = {name: int(row[name]) for name in ("count", "month", "day") if row[name]}
    held = PROFILES[REPORT_OF[place]].reports[0].clock if place in REPORT_OF else PROFILES[CLOCK_OF[place]].clock

    assert held == Clock(kind=row["kind"], **told)


def test_a_report_is_due_also_for_nothing_where_the_rule_says_so():
    assert PROFILES["us-ny"].reports[0].nil_due is True
    assert PROFILES["us-ca"].reports[0].nil_due is None


@pytest.mark.parametrize(
    ("acre", "lacking"), [("0.09", []), ("0.10", ["area_mm2"]), ("0.11", ["area_mm2"]), (None, [])]
)
def test_the_federal_spot_rule_spares_size_and_site_below_a_tenth_of_an_acre(acre, lacking):
    """Private Applicator Pesticide Recordkeeping, Minnesota Dept of Agriculture."""
    spot = without("site_type", "area_mm2") | {"spot_words": True}
    facts = spot | ({"area_mm2": to_base(acre, "acre", Dimension.AREA)} if acre else {})

    assert ("site_type" in fields(facts, FEDERAL)) is bool(lacking)


@pytest.mark.parametrize("key", sorted(ROWS.keys() - {FEDERAL}))
def test_no_other_profile_has_a_spot_rule(key):
    assert PROFILES[key].spot is None


def test_wisconsin_takes_strength_and_total_or_rate_and_area():
    """Wis. Admin. Code ATCP 29.21(2)(g)."""
    assert fields(without("rate_per_area", "area_mm2"), "us-wi") == []
    assert fields(without("mix_strength", "product_amount"), "us-wi") == []
    assert fields(without("mix_strength", "area_mm2"), "us-wi") == ["mix_strength"]


def test_maryland_takes_an_area_or_a_number_of_plants():
    """COMAR 15.05.01.12 D."""
    for key in ("us-md-private", "us-md-licensees"):
        assert fields(without("area_mm2"), key) == fields(without("plants"), key) == []
        assert fields(without("area_mm2", "plants"), key) == ["area_mm2"]


def test_pennsylvania_wants_the_hour_of_completion_where_a_reentry_time_is_set():
    """7 Pa. Code 128.35(a)(1)."""
    facts = without("ended_at")

    assert fields(facts | {"has_reentry": True}, "us-pa") == ["ended_at"]
    assert fields(facts, "us-pa") == []


def test_georgia_wants_what_happened_unexpectedly_and_what_was_disposed_of():
    """Georgia Rule 40-21-5-.02(j), (k)."""
    facts = EVERYTHING | {"had_incident": True, "was_disposed_of": True}

    assert fields(facts, "us-ga") == ["incident", "disposal"]


def test_new_south_wales_wants_wind_again_after_a_significant_change_of_a_spray():
    """NSW Pesticides Regulation 2017 cl. 36(1)(h)."""
    assert fields(EVERYTHING | {"was_sprayed": True, "weather_changed": True}, "au-nsw") == ["wind_changes"]
    assert fields(without("wind_speed", "wind_direction"), "au-nsw") == []


def test_a_post_office_box_is_no_location_in_new_york():
    """Common problems, guidance on the New York Pesticide Reporting Law."""
    assert fields(EVERYTHING | {"location": {"address": "P.O. Box 12, Fenton"}}, "us-ny") == ["location"]


def test_in_illinois_only_licence_holders_mix_and_nobody_under_18_applies():
    """Special licensing, pbooks.org (Illinois extension texts)."""
    verdict = judged(EVERYTHING | {"mixer_is_licensed": False, "youngest_age_years": 17}, "us-il-volunteers")

    assert [found.code for found in verdict.findings] == ["mixed_without_licence", "below_minimum_age"]


# -- by date ---------------------------------------------------------------------------------------


def judged(facts, key, done="2026-05-02T11:00"):
    zone = ZoneInfo("America/Boise")
    at = datetime.fromisoformat(done).replace(tzinfo=zone)
    return judge(facts, PROFILES[key], at, zone, at, at)


def test_the_same_record_of_spring_2024_and_of_spring_2026_is_judged_differently_in_idaho():
    """IDAPA 02.03.03.100.05 and, from 1 July 2024, 02.03.03.101: three years and two, dilution asked for and not."""
    facts = without("mix_strength", "rate_per_area", "recommended_by") | {"restricted_use": False}
    found = {}
    for year in (2024, 2026):
        [key] = keys("US-ID", date(year, 5, 2), restricted_use=False)
        found[year] = judged(facts, key, f"{year}-05-02T11:00")

    assert [each.field for each in found[2024].missing] == ["recommended_by", "mix_strength"]
    assert found[2026].is_complete
    assert (found[2024].keep_until, found[2026].keep_until) == (date(2027, 5, 2), date(2028, 5, 2))


@pytest.mark.parametrize(
    ("code", "on", "restricted", "expected"),
    [
        ("US-WA", date(2025, 7, 10), True, {"us-wa", FEDERAL, COMMERCIAL}),
        ("US-WA", date(2025, 7, 11), True, {"us-wa", COMMERCIAL}),
        ("US-WA", date(2025, 7, 11), False, {"us-wa"}),
        ("US-TX", date(2026, 5, 2), True, {COMMERCIAL}),
        ("US-TX", date(2026, 5, 2), False, {"general-default"}),
        ("US-PA", date(2010, 12, 10), False, {"us-pa-1995"}),
        ("US-PA", date(2010, 12, 11), False, {"us-pa"}),
        ("AU-NSW", date(2017, 8, 31), False, {"au-nsw-until-2017"}),
        ("AU-NSW", date(2017, 9, 1), False, {"au-nsw"}),
        ("US-MD", date(2026, 5, 2), False, {"us-md-private", "us-md-licensees"}),
        ("", date(2026, 5, 2), True, {"general-default"}),
    ],
)
def test_a_place_and_a_date_have_their_profiles(code, on, restricted, expected):
    assert keys(code, on, restricted_use=restricted) == expected


def test_the_longest_of_the_years_is_kept():
    on = date(2025, 5, 2)

    assert kept_until(applying(PROFILES.values(), "US-WA", on, {}), on) == date(2032, 5, 2)


# -- the record ------------------------------------------------------------------------------------


@pytest.mark.django_db
def test_what_is_kept_of_a_shipped_profile_is_what_the_file_says(cast):
    load_reference(cast.group.id, at=AT)

    kept = {row.reference_key: profile_of(row) for row in RuleProfile.objects.all()}

    assert kept == PROFILES
