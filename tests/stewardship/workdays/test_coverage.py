"""Who is missing on the days to come: judged by each day's own date, and by the same function as a sign-up."""

from datetime import date, timedelta
from time import perf_counter

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.ids import new_id
from stewardship.workdays.coverage import coverage_of_days, lapsing, needed_until
from stewardship.workdays.models import SignUp
from tests.cast import AT, sent
from tests.planning import LICENCE, ON, Plan, at, licence

FIRST, LAST = date(2027, 5, 1), date(2027, 12, 31)


def reading(someone):
    return Entry(group_id=someone.group_id, by=someone.actor, at=AT)


def covered(cast, first_on=FIRST, last_on=LAST):
    return coverage_of_days(reading(cast.coordinator), first_on, last_on)


def only(cast):
    (day,) = covered(cast)
    (duty,) = day.duties
    return day, duty


def names(members):
    return [member.display_name for member in members]


@pytest.fixture
def plan(cast):
    plan = Plan(cast.coordinator)
    plan.does("open")
    return plan


def amended(cast, credential, **values):
    """Correct a credential after its holder signed up."""
    cast.coordinator.does("credential", "amend", id=credential, reason="misread", **values)


@pytest.mark.parametrize(
    ("dates", "code"),
    [
        ({"expires_on": ON}, None),
        ({"expires_on": "2027-06-30"}, "credential_expired"),
        ({"expires_on": "2027-06-30", "grace_days": 30}, "credential_in_grace"),
        ({"received_on": None}, "credential_pending"),
        ({"covers": "saw"}, "credential_missing"),
    ],
)
def test_a_licence_counts_on_its_last_day_and_not_on_the_next_nor_in_grace_nor_before_it_is_in_hand(
    cast, plan, dates, code
):
    credential = licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan.takes(cast.volunteer, plan.duty())
    amended(cast, credential, **dates)

    day, duty = only(cast)

    assert names(duty.good) == ([] if code else ["Tobias Quill"])
    assert [reason["code"] for each in duty.not_good for reason in each.reasons] == ([code] if code else [])
    assert duty.lacking == day.is_short == day.lacks_qualified == (code is not None)


def test_a_sign_up_that_was_withdrawn_covers_nothing(cast, plan):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    sign_up = plan.takes(cast.volunteer, plan.duty())
    cast.volunteer.does("sign_up", "withdraw", id=sign_up)

    _, duty = only(cast)

    assert (duty.lacking, names(duty.good), names(duty.candidates)) == (1, [], ["Tobias Quill"])


def test_who_left_the_group_covers_nothing_and_is_not_asked(cast, plan):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan.takes(cast.volunteer, plan.duty())
    cast.coordinator.does("member", "end", id=cast.volunteer.member.id)

    day, duty = only(cast)

    assert [each.reasons[0]["code"] for each in duty.not_good] == ["member_left"]
    assert day.lacks_qualified
    assert duty.candidates == []


def test_a_voided_credential_counts_for_nothing(cast, plan):
    credential = licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan.takes(cast.volunteer, plan.duty())
    cast.coordinator.does("credential", "void", id=credential, reason="another person's")

    _, duty = only(cast)

    assert [each.reasons[0]["code"] for each in duty.not_good] == ["credential_missing"]


def test_a_duty_that_asks_for_nothing_lacks_people_and_no_credentials(cast, plan):
    plan.does("amend", herbicide_planned=False)
    plan.takes(cast.volunteer, plan.duty("hauler", wanted=2))

    day, duty = only(cast)

    assert (duty.asks, duty.lacking, names(duty.good)) == (False, 1, ["Tobias Quill"])
    assert (day.is_short, day.lacks_qualified) == (True, False)


def test_a_day_on_whose_roster_somebody_stands_who_left_is_brought_up_whatever_they_would_do(cast, plan):
    plan.does("amend", herbicide_planned=False)
    plan.takes(cast.volunteer, plan.duty("hauler"))
    cast.coordinator.does("member", "end", id=cast.volunteer.member.id)

    day, duty = only(cast)

    assert (duty.asks, day.lacks_qualified) == (False, True)


def test_herbicide_without_a_duty_to_apply_it_lacks_an_applicator(cast, plan):
    plan.duty("hauler")

    day, _ = only(cast)

    assert day.lacks_applicator
    assert day.has_no_applicator_duty
    assert [r["detail"] for r in day.reasons()][0] == "Herbicide is planned, and no duty for an applicator is laid out."


def test_who_waits_is_neither_there_nor_free(cast, plan):
    for someone in (cast.volunteer, cast.other_volunteer):
        licence(cast.coordinator, someone, "2027-12-31")
    duty = plan.duty(wanted=1)
    plan.takes(cast.volunteer, duty)
    plan.takes(cast.other_volunteer, duty)
    plan.duty("hauler")

    (day,) = covered(cast)
    haulers, applicators = day.duties  # what lacks people stands first

    assert (names(applicators.good), names(applicators.waiting)) == (["Tobias Quill"], ["Ines Carrowby"])
    assert names(haulers.candidates) == ["Maren Oduya"]


def test_somebody_is_free_who_is_not_signed_up_elsewhere_on_that_date(cast, plan):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    licence(cast.coordinator, cast.other_volunteer, "2027-12-31")
    plan.duty()
    elsewhere = Plan(cast.coordinator, title="Elsewhere")
    elsewhere.does("open")
    elsewhere.takes(cast.other_volunteer, elsewhere.duty("hauler"))
    next_day = Plan(cast.coordinator, on_date="2027-07-02", starts_at=None, ends_at=None)
    next_day.does("open")
    next_day.takes(cast.volunteer, next_day.duty("hauler"))

    first = covered(cast)[0]

    assert names(first.duties[0].candidates) == ["Tobias Quill"]


def test_whoever_could_be_asked_is_not_refused_and_whoever_could_not_is(cast, plan):
    for someone, until in (
        (cast.coordinator, ON),
        (cast.volunteer, "2027-06-30"),
        (cast.other_volunteer, "2028-01-01"),
    ):
        licence(cast.coordinator, someone, until)
    duty = plan.duty(wanted=5)
    asked = {member.id for member in only(cast)[1].candidates}

    for someone in (cast.coordinator, cast.volunteer, cast.other_volunteer):
        told = {"work_day": plan.id, "duty": duty, "member": someone.member.id}
        if someone.member.id in asked:
            cast.coordinator.does("sign_up", "create", **told)
        else:
            with pytest.raises(RuleViolation, match="herbicide credential"):
                cast.coordinator.does("sign_up", "create", **told)

    assert asked == {cast.coordinator.member.id, cast.other_volunteer.member.id}


def test_a_reviewer_and_who_left_are_not_asked(cast, plan):
    plan.does("amend", herbicide_planned=False)
    plan.duty("hauler")

    assert names(only(cast)[1].candidates) == ["Ines Carrowby", "Maren Oduya", "Tobias Quill"]


@pytest.mark.parametrize(
    ("state", "is_told"), [("draft", False), ("open", True), ("confirmed", True), ("cancelled", False)]
)
def test_days_that_want_people_are_told(cast, state, is_told):
    plan = Plan(cast.coordinator, herbicide_planned=False)
    for op in {"draft": (), "open": ("open",), "confirmed": ("open", "confirm"), "cancelled": ("open",)}[state]:
        plan.does(op)
    if state == "cancelled":
        plan.does("cancel", reason="storm")

    assert len(covered(cast)) == is_told


def test_a_day_that_is_under_way_is_told_too(cast):
    plan = Plan(cast.coordinator, on_date="2027-05-01", starts_at=None, ends_at=None, herbicide_planned=False)
    plan.does("open", "confirm")
    cast.volunteer.does("attendance", "create", work_day=plan.id, in_at=at("9:00", "2027-05-01"))

    assert [day.day.state for day in covered(cast)] == ["under_way"]


def test_the_first_and_the_last_date_belong_to_the_period(cast, plan):
    on = date.fromisoformat(ON)

    assert len(covered(cast, on, on)) == len(covered(cast, on, None)) == 1
    assert covered(cast, on + timedelta(days=1), None) == covered(cast, FIRST, on - timedelta(days=1)) == []


def test_a_day_is_judged_by_the_date_of_its_own_place(cast):
    """Late on 30 June in Honolulu is 1 July in UTC: a licence that ends on 30 June is good for that evening."""
    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    place = cast.coordinator.does("property", "create", name="Far", time_zone="Pacific/Honolulu").record.id
    told = {"property": place, "title": "Evening", "on_date": "2027-06-30", "starts_at": "2027-07-01T05:00:00Z"}
    day = cast.coordinator.does("work_day", "create", **told, herbicide_planned=True).record.id
    duty = cast.coordinator.does("duty", "create", work_day=day, name="applicator", wanted=1).record.id
    cast.coordinator.does("work_day", "open", id=day)
    cast.volunteer.does("sign_up", "create", work_day=day, duty=duty)

    assert names(only(cast)[1].good) == ["Tobias Quill"]


def test_what_lapses_before_a_day_it_is_needed_for_is_told_with_the_day(cast, plan):
    credential = licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan.takes(cast.volunteer, plan.duty())
    assert lapsing(covered(cast)) == []
    amended(cast, credential, expires_on="2027-06-30")

    (lapse,) = lapsing(covered(cast))

    assert (lapse.member.display_name, lapse.day.id) == ("Tobias Quill", plan.id)
    assert (
        lapse.reason["detail"]
        == "The herbicide credential QX-4471 ended on 30 June 2027. It did not count on 1 July 2027."
    )
    assert needed_until(covered(cast)) == {cast.volunteer.member.id: date(2027, 7, 1)}


def test_a_credential_is_needed_until_the_last_day_and_not_for_a_duty_that_asks_for_none(cast, plan):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan.takes(cast.volunteer, plan.duty())
    later = Plan(cast.coordinator, on_date="2027-08-01", starts_at=None, ends_at=None)
    later.does("open")
    later.takes(cast.volunteer, later.duty())
    last = Plan(cast.coordinator, on_date="2027-09-01", starts_at=None, ends_at=None)
    last.does("open")
    last.takes(cast.volunteer, last.duty("hauler"))

    assert needed_until(covered(cast)) == {cast.volunteer.member.id: date(2027, 8, 1)}


def test_another_groups_days_are_not_told(cast, plan):
    plan.duty()
    assert coverage_of_days(reading(cast.stranger), FIRST, LAST) == []


def test_the_statements_are_the_same_whatever_the_number_of_days_duties_and_people(cast, plan):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan.takes(cast.volunteer, plan.duty())
    with CaptureQueriesContext(connection) as few:
        covered(cast)
    licence(cast.coordinator, cast.other_volunteer, "2027-12-31")
    crowd(cast, 5)
    for n in range(5):
        more = Plan(cast.coordinator, on_date=f"2027-08-0{n + 1}", starts_at=None, ends_at=None)
        more.does("open")
        more.takes(cast.volunteer, more.duty())
        more.takes(cast.other_volunteer, more.duty("hauler", wanted=3))
        more.duty("cutter", wanted=2)

    with CaptureQueriesContext(connection) as many:
        found = covered(cast)

    assert (len(found), SignUp.objects.count()) == (6, 11)
    assert len(many) == len(few)


def crowd(cast, count=60):
    """Take many people into the group, each with a licence, and return the ids of their memberships."""
    ids = [str(new_id()) for _ in range(count)]
    people = [
        sent("member", "create", {"id": i, "display_name": f"Member {n}", "role": "volunteer"})
        for n, i in enumerate(ids)
    ]
    told = LICENCE | {"expires_on": "2027-12-31"}
    cast.coordinator.pushes(*people)
    cast.coordinator.pushes(*(sent("credential", "create", told | {"holder": id}) for id in ids))
    return ids


def filled(cast, days=60, duties=8):
    """Open many days with many duties each, all of which want people."""
    place = cast.coordinator.does("property", "create", name="Wide Marsh").record.id
    for n in range(days):
        id, on = str(new_id()), (date(2027, 6, 1) + timedelta(days=n)).isoformat()
        told = {"id": id, "property": str(place), "title": f"Day {n}", "on_date": on, "herbicide_planned": True}
        names_of = ["applicator"] * 4 + ["hauler"] * (duties - 4)
        laid = [sent("duty", "create", {"work_day": id, "name": name, "wanted": 3}) for name in names_of]
        cast.coordinator.pushes(sent("work_day", "create", told), *laid, sent("work_day", "open", id=id))


@pytest.mark.heavy
def test_60_days_of_8_duties_and_60_members_cost_the_statements_of_one_day(cast, plan):
    crowd(cast)
    plan.duty()
    with CaptureQueriesContext(connection) as few:
        covered(cast)
    filled(cast)

    with CaptureQueriesContext(connection) as many:
        begun = perf_counter()
        found = covered(cast)
        took_s = perf_counter() - begun

    asked = sum(len(duty.candidates) for day in found for duty in day.duties)
    begun = perf_counter()
    coverage_of_days(reading(cast.coordinator), FIRST, LAST, with_candidates=False)
    alone_s = perf_counter() - begun
    told = f"{len(found)} days, {asked} candidates, {len(many)} statements"
    print(f"{told}: {took_s:.2f} s, without candidates {alone_s:.2f} s")  # noqa: T201 the measure
    assert (len(found), asked) == (61, 60 * 4 * 60 + 60 * 4 * 63 + 60)
    assert len(many) == len(few)
    assert took_s < 10
