"""Ages on a date, and whether they are old enough, as far as is known."""

from datetime import date, timedelta

import pytest

from stewardship.rules.ages import KnownAge, NotBornYet, age_on, birthday, is_minor, old_enough

EIGHTEENTH = date(2027, 7, 1)


@pytest.mark.parametrize(
    ("born_on", "on", "age"),
    [
        (date(2009, 7, 1), date(2027, 6, 30), 17),
        (date(2009, 7, 1), date(2027, 7, 1), 18),
        (date(2009, 7, 1), date(2009, 7, 1), 0),
        # The cautious one of the two days in law (both from memory: Hong Kong Cap. 410 s. 5(2) says 1 March).
        (date(2008, 2, 29), date(2026, 2, 28), 17),
        (date(2008, 2, 29), date(2026, 3, 1), 18),
        (date(2008, 2, 29), date(2028, 2, 28), 19),
        (date(2008, 2, 29), date(2028, 2, 29), 20),
        (date(1896, 2, 29), date(1900, 3, 1), 4),
        (date(1896, 2, 29), date(1900, 2, 28), 3),
    ],
)
def test_an_age_counts_whole_years_on_a_local_date(born_on, on, age):
    assert age_on(born_on, on) == age


def test_an_age_rises_by_one_on_each_birthday_and_on_no_other_day():
    for born_on in (date(2004, 2, 29), date(2004, 3, 1), date(2003, 12, 31)):
        days = [date(2004, 3, 1) + timedelta(n) for n in range(9000)]
        rises = [b for a, b in zip(days, days[1:], strict=False) if age_on(born_on, b) != age_on(born_on, a)]
        assert rises == [d for d in days[1:] if d == birthday(born_on, d.year - born_on.year)]


def test_nobody_has_an_age_before_they_are_born():
    with pytest.raises(NotBornYet):
        age_on(date(2027, 1, 2), date(2027, 1, 1))


@pytest.mark.parametrize(
    ("known", "minimum", "on", "expected"),
    [
        (KnownAge(), 18, EIGHTEENTH, "unknown"),
        (KnownAge(born_on=date(2009, 7, 1)), 18, EIGHTEENTH, "yes"),
        (KnownAge(born_on=date(2009, 7, 2)), 18, EIGHTEENTH, "no"),
        (KnownAge(born_on=date(2027, 7, 2)), 18, EIGHTEENTH, "no"),
        (KnownAge(adult_from=EIGHTEENTH), 18, EIGHTEENTH, "yes"),
        (KnownAge(adult_from=EIGHTEENTH), 16, EIGHTEENTH, "yes"),
        (KnownAge(adult_from=EIGHTEENTH), 21, EIGHTEENTH, "unknown"),
        (KnownAge(adult_from=EIGHTEENTH), 18, date(2027, 6, 30), "unknown"),
        (KnownAge(adult_from=EIGHTEENTH, is_under_18=True), 18, date(2027, 6, 30), "no"),
        (KnownAge(adult_from=EIGHTEENTH, is_under_18=True), 18, EIGHTEENTH, "yes"),
        (KnownAge(is_under_18=True), 18, EIGHTEENTH, "no"),
        (KnownAge(is_under_18=True), 16, EIGHTEENTH, "unknown"),
    ],
)
def test_somebody_is_old_enough_only_as_far_as_that_is_known(known, minimum, on, expected):
    assert old_enough(known, minimum, on) == expected


def test_an_unknown_age_is_neither_that_of_a_minor_nor_of_an_adult():
    assert is_minor(KnownAge(), EIGHTEENTH) is None
    assert is_minor(KnownAge(is_under_18=True), EIGHTEENTH) is True
    assert is_minor(KnownAge(adult_from=EIGHTEENTH), EIGHTEENTH) is False
