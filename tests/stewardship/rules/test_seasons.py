from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.dates import DateOutOfRange, NoSuchDay
from stewardship.rules.seasons import (
    Gap,
    Recurring,
    Season,
    SeasonEndsBeforeItBegins,
    SeasonsOverlap,
    check_seasons,
    recurring,
    same_season_last_year,
    season_name,
    season_of,
)

DORMANT = Recurring("Dormant {years}", (11, 1), (3, 31))
GROWING = Recurring("Growing {years}", (4, 1), (10, 31))
WINTER = recurring(DORMANT, 2025)
SUMMER = recurring(GROWING, 2026)
A_DAY = timedelta(days=1)


def test_the_dormant_season_crosses_the_year_end_as_one_season():
    assert (WINTER.name, WINTER.first_on, WINTER.last_on) == ("Dormant 2025/26", date(2025, 11, 1), date(2026, 3, 31))
    assert season_of(date(2025, 12, 31), [SUMMER, WINTER]) is WINTER
    assert season_of(date(2026, 1, 1), [SUMMER, WINTER]) is WINTER


@pytest.mark.parametrize(
    ("on", "expected"),
    [
        (date(2025, 10, 31), None),
        (date(2025, 11, 1), WINTER),
        (date(2026, 3, 31), WINTER),
        (date(2026, 4, 1), SUMMER),
        (date(2026, 10, 31), SUMMER),
        (date(2026, 11, 1), None),
    ],
)
def test_the_first_and_the_last_day_belong_to_the_season(on, expected):
    assert season_of(on, [WINTER, SUMMER]) == expected


def test_a_season_of_one_day_holds_that_day_only():
    season = Season("A day", date(2026, 5, 9), date(2026, 5, 9))

    assert [season.holds(date(2026, 5, day)) for day in (8, 9, 10)] == [False, True, False]


def test_a_season_that_ends_before_it_begins_is_refused():
    with pytest.raises(SeasonEndsBeforeItBegins, match="Winter ends on 2025-03-31, before it begins") as refusal:
        Season("Winter", date(2025, 11, 1), date(2025, 3, 31))

    assert (refusal.value.code, refusal.value.where) == ("season_ends_before_it_begins", "last_on")


def test_two_seasons_that_share_one_day_are_refused_with_both_names():
    late = Season("Late", WINTER.last_on, date(2026, 6, 1))

    with pytest.raises(SeasonsOverlap, match="2026-03-31 would belong to both Dormant 2025/26 and Late") as refusal:
        check_seasons([late, WINTER])

    assert refusal.value.code == "seasons_overlap"


def test_a_season_within_a_longer_one_is_refused():
    with pytest.raises(SeasonsOverlap):
        check_seasons([Season("Year", date(2026, 1, 1), date(2026, 12, 31)), SUMMER])


def test_the_same_season_twice_is_refused():
    with pytest.raises(SeasonsOverlap):
        check_seasons([SUMMER, SUMMER])


def test_seasons_that_meet_leave_no_gap():
    assert check_seasons([SUMMER, WINTER]) == ()
    assert check_seasons([]) == ()


def test_gaps_are_told_with_their_first_and_last_day():
    spring = Season("Spring", date(2026, 4, 2), date(2026, 5, 31))
    autumn = Season("Autumn", date(2026, 9, 1), date(2026, 10, 31))

    gaps = check_seasons([autumn, WINTER, spring])

    assert gaps == (
        Gap(date(2026, 4, 1), date(2026, 4, 1)),
        Gap(date(2026, 6, 1), date(2026, 8, 31)),
    )


@st.composite
def stretches(draw):
    start, seasons = date(2020, 1, 1) + timedelta(days=draw(st.integers(0, 400))), []
    for number in range(draw(st.integers(1, 6))):
        last_on = start + timedelta(days=draw(st.integers(0, 200)))
        seasons.append(Season(f"S{number}", start, last_on))
        start = last_on + timedelta(days=draw(st.integers(-2, 30)))
    return draw(st.permutations(seasons))


@given(stretches())
def test_overlaps_and_gaps_agree_with_a_count_of_days(seasons):
    first = min(season.first_on for season in seasons)
    days = [first + timedelta(days=n) for n in range((max(s.last_on for s in seasons) - first).days + 1)]
    holders = [sum(s.first_on <= day <= s.last_on for s in seasons) for day in days]

    if max(holders) > 1:
        with pytest.raises(SeasonsOverlap):
            check_seasons(seasons)
        return
    gaps = check_seasons(seasons)

    uncovered = [day for day, count in zip(days, holders, strict=True) if count == 0]
    assert uncovered == [g.first_on + timedelta(days=n) for g in gaps for n in range((g.last_on - g.first_on).days + 1)]


@pytest.mark.parametrize(
    ("first_on", "last_on", "expected"),
    [
        (date(2025, 11, 1), date(2026, 3, 31), "Dormant 2025/26"),
        (date(2025, 4, 1), date(2025, 10, 31), "Dormant 2025"),
        (date(1999, 11, 1), date(2000, 3, 31), "Dormant 1999/00"),
    ],
)
def test_a_season_is_named_by_its_year_or_both_of_its_years(first_on, last_on, expected):
    assert season_name("Dormant {years}", first_on, last_on) == expected


def test_a_name_with_other_braces_is_left_as_it_was_typed():
    assert season_name("Plot {3} {years.__class__}", SUMMER.first_on, SUMMER.last_on) == "Plot {3} {years.__class__}"


@pytest.mark.parametrize("year", [2023, 2024, 2025, 2096, 2100])
def test_seasons_that_meet_at_29_february_meet_in_every_year(year):
    winter = Recurring("Winter", (11, 1), (2, 29))
    spring = Recurring("Spring", (3, 1), (10, 31))
    early_winter = Recurring("Winter", (11, 1), (2, 28))
    leap_spring = Recurring("Spring", (2, 29), (10, 31))

    assert check_seasons([recurring(winter, year - 1), recurring(spring, year)]) == ()
    assert check_seasons([recurring(early_winter, year - 1), recurring(leap_spring, year)]) == ()


def test_a_season_that_begins_or_ends_on_29_february_moves_in_common_years():
    assert recurring(Recurring("S", (2, 29), (5, 1)), 2025).first_on == date(2025, 3, 1)
    assert recurring(Recurring("S", (2, 29), (5, 1)), 2024).first_on == date(2024, 2, 29)
    assert recurring(Recurring("S", (11, 1), (2, 29)), 2024).last_on == date(2025, 2, 28)
    assert recurring(Recurring("S", (11, 1), (2, 29)), 2023).last_on == date(2024, 2, 29)


def test_29_february_alone_is_no_season_in_a_common_year():
    leap_day = Recurring("Leap day", (2, 29), (2, 29))

    assert recurring(leap_day, 2024).first_on == recurring(leap_day, 2024).last_on == date(2024, 2, 29)
    with pytest.raises(SeasonEndsBeforeItBegins):
        recurring(leap_day, 2025)


def test_a_recurring_season_on_a_day_that_no_year_has_is_refused():
    with pytest.raises(NoSuchDay):
        Recurring("S", (2, 30), (5, 1))
    with pytest.raises(NoSuchDay):
        Recurring("S", (2, 1), (13, 1))


def test_a_season_beyond_the_calendar_is_refused():
    assert recurring(GROWING, 9999).last_on == date(9999, 10, 31)
    with pytest.raises(DateOutOfRange):
        recurring(DORMANT, 9999)


MONTH_DAYS = st.dates(date(2024, 1, 1), date(2024, 12, 31)).map(lambda day: (day.month, day.day))


@given(first=MONTH_DAYS, year=st.integers(1900, 2200))
def test_a_season_that_lasts_a_year_follows_itself_without_gap_or_overlap(first, year):
    day_before = date(2024, *first) - A_DAY
    template = Recurring("{years}", first, (day_before.month, day_before.day))

    assert check_seasons([recurring(template, year), recurring(template, year + 1)]) == ()


@given(first=MONTH_DAYS, last=MONTH_DAYS, year=st.integers(1900, 2200))
def test_a_recurring_season_begins_in_its_year_and_ends_within_a_year(first, last, year):
    try:
        season = recurring(Recurring("{years}", first, last), year)
    except SeasonEndsBeforeItBegins:
        assert first == last == (2, 29)
        return

    assert season.first_on.year == year
    assert season.last_on.year - year == (last < first)
    assert (season.last_on - season.first_on).days < 366


def test_the_same_season_last_year_is_found_across_the_year_end():
    seasons = [recurring(template, year) for year in (2024, 2025, 2026) for template in (DORMANT, GROWING)]

    assert same_season_last_year(WINTER, seasons) == recurring(DORMANT, 2024)
    assert same_season_last_year(SUMMER, seasons) == recurring(GROWING, 2025)


def test_the_first_season_has_none_a_year_earlier():
    assert same_season_last_year(WINTER, [WINTER, SUMMER]) is None


def test_a_season_whose_dates_moved_is_still_the_same_season():
    moved = Season("Dormant 2024/25", date(2024, 11, 20), date(2025, 4, 10))

    assert same_season_last_year(WINTER, [moved, WINTER]) == moved


@pytest.mark.parametrize("season", [WINTER, SUMMER, Season("Half", date(2025, 7, 1), date(2025, 12, 31))], ids=str)
def test_a_season_is_not_compared_with_a_calendar_year(season):
    calendar_year = Season("Last year", date(season.first_on.year - 1, 1, 1), date(season.first_on.year - 1, 12, 31))

    assert same_season_last_year(season, [calendar_year, season]) is None


def test_a_season_that_kept_two_thirds_of_the_days_is_the_same_and_one_that_kept_fewer_is_not():
    season = Season("This", date(2026, 5, 1), date(2026, 5, 21))
    two_thirds = Season("Last", date(2025, 5, 1), date(2025, 5, 14))
    fewer = Season("Last", date(2025, 5, 1), date(2025, 5, 13))

    assert same_season_last_year(season, [two_thirds, season]) == two_thirds
    assert same_season_last_year(season, [fewer, season]) is None


def test_a_season_longer_than_a_year_is_not_compared_with_itself():
    grant = Season("Grant", date(2024, 1, 1), date(2026, 12, 31))

    assert same_season_last_year(grant, [grant]) is None


def test_a_season_of_the_first_year_of_the_calendar_has_none_before_it():
    assert same_season_last_year(Season("S", date(1, 1, 1), date(1, 5, 1)), []) is None


@given(year=st.integers(1900, 2200), template=st.sampled_from([DORMANT, GROWING]))
def test_every_recurring_season_finds_itself_a_year_earlier(year, template):
    seasons = [recurring(each, when) for when in (year - 1, year) for each in (DORMANT, GROWING)]

    assert same_season_last_year(recurring(template, year), seasons) == recurring(template, year - 1)
