"""Who does what, who came and for how long, each in a constant number of statements."""

from datetime import date, timedelta

import pytest

from stewardship.places.models import Property
from stewardship.workdays.queries import people_and_hours, roster
from tests.planning import Plan, at, licence


@pytest.fixture
def staffed(plan, cast):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan.does("open")
    plan.takes(cast.volunteer, plan.duty())
    cutters = plan.duty("cutter", 3)
    for someone in (cast.other_volunteer, cast.coordinator):
        plan.takes(someone, cutters)
    return plan


def test_a_roster_tells_each_duty_with_its_people_and_their_standing(staffed):
    applicators, cutters = roster(staffed.day, with_standing=True)

    [one] = applicators.people
    assert (one.member.display_name, one.standing.status, applicators.lacking) == ("Tobias Quill", "valid", 0)
    assert {(p.member.display_name, p.standing) for p in cutters.people} == {
        ("Ines Carrowby", None),
        ("Maren Oduya", None),
    }
    assert cutters.lacking == 1


def test_a_roster_without_standing_says_nothing_of_credentials(staffed):
    assert {p.standing for line in roster(staffed.day, with_standing=False) for p in line.people} == {None}


def test_who_withdrew_is_on_no_roster(staffed, volunteer):
    [sign_up] = [p.sign_up for p in roster(staffed.day, with_standing=False)[0].people]

    volunteer.does("sign_up", "withdraw", id=sign_up.id)

    assert roster(staffed.day, with_standing=False)[0].lacking == 1


@pytest.mark.parametrize(("with_standing", "statements"), [(True, 4), (False, 2)])
def test_a_roster_takes_the_same_statements_however_long_it_is(
    staffed, with_standing, statements, django_assert_num_queries
):
    day = staffed.day

    with django_assert_num_queries(statements):
        roster(day, with_standing=with_standing)


def test_hours_are_summed_by_age_class_and_never_guessed(plan, cast):
    plan.does("open")
    plan.comes(cast.volunteer, out_at=at("11:30"), how_known="measured")
    plan.comes(cast.volunteer, "12:00", out_at=at("12:45"), how_known="estimated")
    plan.comes(cast.other_volunteer, age_class="youth")
    plan.comes(cast.coordinator, age_class="staff", out_at=at("12:00"), how_known="measured")
    wrong = plan.comes(cast.coordinator, "13:00", age_class="staff")
    cast.coordinator.does("attendance", "void", id=wrong.id, reason="never there")
    land = Property.objects.get(id=plan.property)

    found = people_and_hours(land, date(2027, 7, 1), date(2027, 7, 1))

    assert found.people == 3
    assert [(c.age_class, c.people, c.attendances, c.known, c.unknown) for c in found.by_age_class] == [
        ("adult", 1, 2, timedelta(hours=3, minutes=15), 0),
        ("staff", 1, 1, timedelta(hours=3), 0),
        ("youth", 1, 1, timedelta(), 1),
    ]
    assert (found.known, found.unknown) == (timedelta(hours=6, minutes=15), 1)
    assert found.figures() == {
        "work_days": {"open": 1},
        "attendance": {
            "people": 3,
            "known_s": 22_500,
            "check_outs_unknown": 1,
            "by_age_class": [
                {"age_class": "adult", "people": 1, "attendances": 2, "known_s": 11_700, "check_outs_unknown": 0},
                {"age_class": "staff", "people": 1, "attendances": 1, "known_s": 10_800, "check_outs_unknown": 0},
                {"age_class": "youth", "people": 1, "attendances": 1, "known_s": 0, "check_outs_unknown": 1},
            ],
        },
    }


def test_a_day_across_the_end_of_summer_time_has_the_hours_that_passed(coordinator, volunteer):
    """On 7 November 2027 clocks in Chicago go back at 02:00 (IANA database): 00:30 to 03:30 are four hours."""
    plan = Plan(coordinator, on_date="2027-11-07", starts_at=None, ends_at=None)
    plan.does("open")
    times = {"in_at": "2027-11-07T00:30:00-05:00", "out_at": "2027-11-07T03:30:00-06:00", "how_known": "measured"}
    volunteer.does("attendance", "create", work_day=plan.id, **times)

    found = people_and_hours(Property.objects.get(id=plan.property), date(2027, 11, 7), date(2027, 11, 7))

    assert found.known == timedelta(hours=4)


@pytest.mark.parametrize(
    ("first_on", "last_on", "people"),
    [
        (date(2027, 6, 1), date(2027, 6, 30), 0),
        (date(2027, 7, 1), date(2027, 7, 31), 1),
        (date(2027, 6, 1), date(2027, 7, 1), 1),
        (date(2027, 7, 2), date(2027, 7, 31), 0),
    ],
)
def test_both_ends_of_the_time_belong_to_it(plan, volunteer, first_on, last_on, people):
    plan.does("open")
    plan.comes(volunteer)

    found = people_and_hours(Property.objects.get(id=plan.property), first_on, last_on)

    assert (found.people, found.days) == (people, {"open": 1} if people else {})


def test_other_properties_are_not_counted(plan, coordinator, volunteer):
    other = Plan(coordinator)
    for day in (plan, other):
        day.does("open")
    other.comes(volunteer)
    plan.does("cancel", reason="storm")

    found = people_and_hours(Property.objects.get(id=plan.property), date(2027, 7, 1), date(2027, 7, 1))

    assert (found.people, found.by_age_class, found.days) == (0, [], {"cancelled": 1})


def test_people_and_hours_take_three_statements(plan, cast, django_assert_num_queries):
    plan.does("open")
    for someone in (cast.volunteer, cast.other_volunteer, cast.coordinator):
        plan.comes(someone)
    land = Property.objects.get(id=plan.property)

    with django_assert_num_queries(3):
        people_and_hours(land, date(2027, 1, 1), date(2027, 12, 31))
