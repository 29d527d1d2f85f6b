"""The demo looks like a group's real records, mistakes included, and came in by the door of every device."""

import json
from collections import Counter
from datetime import date, timedelta

import pytest
from django.core.management import call_command

from stewardship.accounts.models import Member, Person
from stewardship.catalog.models import Product
from stewardship.credentials.models import Credential
from stewardship.jobs.models import Job
from stewardship.journal.models import Book, Revision
from stewardship.journal.verifying import Verification, groups
from stewardship.places.models import Property, Unit
from stewardship.reports.models import Season, SeasonReport
from stewardship.sync.demo import DEMO_ACCOUNTS, DEMO_PASSWORD
from stewardship.sync.demo import loading as demo
from stewardship.sync.demo.story import read
from stewardship.sync.models import Mutation
from stewardship.treatments.models import Application, Batch, Leftover, Session, WorkLine
from stewardship.treatments.queries.balances import balance_of
from stewardship.treatments.services.limits import FIELDS
from stewardship.workdays.models import Attendance, SignUp, WorkDay
from tests.audit import findings
from tests.demo import every_book_is_whole, loaded

__all__ = ["every_book_is_whole", "loaded"]
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("loaded")]

HECTARE_MM2 = 10**10
LAST_DAY = date(2026, 11, 14)


def test_every_mutation_ends_as_the_files_say(loaded):
    scenario = read("scenario.json")

    assert loaded.outcomes == scenario["outcomes"]
    assert loaded.known == 0
    held = Mutation.objects.filter(outcome="held")
    assert [json.loads(m.result)["code"] for m in held] == [each["code"] for each in scenario["held"]]
    assert Book.objects.get().held == len(scenario["held"])


def test_the_book_of_the_demo_is_whole():
    assert findings() == []


def test_the_book_of_the_demo_is_proved():
    (group,) = groups()

    assert list(Verification(group).findings()) == []


def test_what_is_held_keeps_all_that_was_sent():
    held = Mutation.objects.get(outcome="held")

    sent = json.loads(held.payload)

    assert (sent["type"], sent["op"], sent["set"]["mix"]) == ("application", "create", {"value": "2.5", "unit": "gal"})
    assert not Application.objects.filter(id=sent["set"]["id"]).exists()


def test_loading_it_again_changes_nothing(loaded):
    def everything():
        passwords = set(Person.objects.values_list("password", flat=True))
        return Book.objects.values().get(), Mutation.objects.count(), Job.objects.count(), passwords

    before = everything()

    again = demo.load_demo()

    assert again == demo.Loaded({}, sum(loaded.outcomes.values()))
    assert everything() == before


def test_a_mutation_that_is_refused_unexpectedly_is_named(monkeypatch):
    def with_nothing_held(name):
        return read(name) | {"held": []} if name == "scenario.json" else read(name)

    monkeypatch.setattr(demo, "read", with_nothing_held)
    monkeypatch.setattr(demo, "Mutation", Forgetful)

    with pytest.raises(demo.DemoNotTaken, match=r"emeka: application create .*/session-2/3: .*batch_overdrawn"):
        demo.load_demo()


class Forgetful:
    """A ledger that seems empty: everything is played again, and answered as before."""

    class objects:  # noqa: N801
        @staticmethod
        def filter(**_):
            return Mutation.objects.none()


def test_the_command_tells_what_came_and_names_the_accounts(capsys):
    from stewardship.sync.management.commands.load_demo import Command

    call_command("load_demo")

    assert "nothing new" in capsys.readouterr().out
    assert (Command.accounts, Command.password) == (DEMO_ACCOUNTS, DEMO_PASSWORD)


def test_the_three_accounts_sign_in_one_for_each_role(client):
    roles = []
    for email in DEMO_ACCOUNTS:
        assert client.login(email=email, password=DEMO_PASSWORD)
        roles.append(Member.objects.get(person__email=email).role)

    assert roles == ["coordinator", "volunteer", "reviewer"]


def test_whoever_changed_the_password_keeps_it():
    person = Person.objects.get(email=DEMO_ACCOUNTS[0])
    person.set_password("another of my own")
    person.save()

    demo.load_demo()

    person.refresh_from_db()
    assert person.check_password("another of my own")


def test_about_a_dozen_people_of_whom_two_have_no_e_mail():
    assert Counter(Member.objects.values_list("role", flat=True)) == {"coordinator": 2, "volunteer": 9, "reviewer": 1}
    assert Member.objects.filter(person__email=None).count() == 2
    assert Attendance.objects.filter(age_class="youth").exists()


def test_three_properties_of_8_to_40_hectares_with_two_units_each():
    places = Property.objects.all()

    assert len(places) == 3
    for place in places:
        units = Unit.objects.filter(property=place)
        assert 8 * HECTARE_MM2 <= place.area_mm2 <= 40 * HECTARE_MM2
        assert len(units) == 2
        assert sum(unit.area_mm2 for unit in units) < place.area_mm2


def test_every_unit_lies_within_its_property():
    for unit in Unit.objects.select_related("property"):
        outer = _ring(unit.property)

        assert all(_holds(outer, point) for point in _along(_ring(unit))), unit.name


def _ring(place):
    (outline,) = place.boundary["coordinates"]
    return [tuple(float(number) for number in position) for position in outline]


def _along(ring, steps=50):
    """Give points along the sides of a ring."""
    for (x, y), (x2, y2) in zip(ring, ring[1:], strict=False):
        for step in range(steps):
            yield x + (x2 - x) * step / steps, y + (y2 - y) * step / steps


def _holds(ring, point):
    """Tell whether a point lies inside: a ray to the east crosses the ring an odd number of times."""
    x, y = point
    crossed = 0
    for (x1, y1), (x2, y2) in zip(ring, ring[1:], strict=False):
        if (y1 > y) != (y2 > y):
            crossed += x < x1 + (y - y1) / (y2 - y1) * (x2 - x1)
    return crossed % 2 == 1


def test_three_seasons_in_two_years_one_of_which_crosses_the_years_end():
    seasons = list(Season.objects.order_by("first_on"))

    assert len(seasons) == 3
    assert [season.first_on.year != season.last_on.year for season in seasons] == [False, True, False]
    assert seasons[-1].last_on - seasons[0].first_on < timedelta(days=2 * 366)


def test_some_two_hundred_lines_on_thirty_days():
    states = Counter(WorkDay.objects.filter(series=None).values_list("state", flat=True))

    assert 190 <= Application.objects.count() + WorkLine.objects.count() <= 220
    assert 28 <= sum(states.values()) <= 32
    assert states["cancelled"] == 1
    assert states["open"] == 1
    assert states["done"] >= 2
    held = WorkDay.objects.exclude(state__in=["cancelled", "open"])
    assert max(held.values_list("on_date", flat=True)) == LAST_DAY


def test_one_licence_has_lapsed_and_one_lapses_within_ninety_days():
    newest = {}
    for card in Credential.objects.order_by("expires_on"):
        newest[card.holder_id, card.covers] = card.expires_on

    lapsed = [last_on for last_on in newest.values() if last_on < LAST_DAY]
    soon = [last_on for last_on in newest.values() if LAST_DAY <= last_on <= LAST_DAY + timedelta(days=90)]

    assert lapsed == [date(2026, 6, 30)]
    assert soon == [date(2026, 12, 31)]


OTHER_MARKS = {
    Batch: {
        (date(2026, 8, 29), "not_marked_compatible"),
        (date(2026, 2, 14), "newer_lot_drawn"),
        (date(2026, 7, 18), "lot_overdrawn"),
        (date(2026, 11, 14), "lot_past_shelf_life"),
    },
    Application: {(date(2025, 10, 18), "batch_over")},
}
"""A tank mix whose label names no partner; what stock has to say; and the line entered twice: with what was left it is
more than was mixed."""


def test_what_was_done_with_the_lapsed_licence_is_recorded_and_marked():
    for model in (Batch, Session, Application):
        marks = [(row.on_date, mark["code"]) for row in model.objects.all() for mark in row.marks]

        assert {on for on, code in marks if code == "credential_expired"} == {date(2026, 7, 18)}
        others = {(on, code) for on, code in marks if code != "credential_expired" and code not in FIELDS}
        assert others == OTHER_MARKS.get(model, set())


def test_what_was_left_is_measured_and_every_batch_of_a_closed_day_balances():
    closed = Batch.objects.filter(work_day__state="closed", voided_at=None)

    assert Leftover.objects.filter(voided_at=None).count() == 29
    assert [balance_of(batch)["detail"] for batch in closed] == [""] * len(closed)


def test_what_the_stored_limits_say_of_the_work_is_marked_with_a_source():
    found = [mark for row in Application.objects.all() for mark in row.marks if mark["code"] in FIELDS]

    assert {mark["code"] for mark in found} >= {"strength_below_limit", "species_method"}
    assert all(mark["source"] for mark in found)


def test_one_product_that_was_used_states_no_acid_equivalent():
    used = {use["product"] for line in Application.objects.all() for use in line.products}
    unknown = [p for p in Product.objects.filter(id__in=used) if any(each["ae_g_l"] is None for each in p.ingredients)]

    assert len(used) >= 5
    assert len(unknown) == 1


def test_there_is_a_tank_mix_an_undiluted_use_and_mix_left_in_batches():
    batches = Batch.objects.all()

    assert any(len(batch.parts) == 2 for batch in batches)
    assert any(batch.carrier == "none" for batch in batches)
    assert {batch.carrier for batch in batches} == {"water", "oil", "none"}
    assert sum(batch.left_nl > 0 for batch in batches) > sum(batch.left_nl == 0 for batch in batches) > 0


def test_amounts_are_known_in_every_way_and_stems_and_area_not_always():
    lines = Application.objects.all()

    assert {line.how_known for line in lines} == {"measured", "read_off_container", "estimated", "apportioned"}
    assert {line.is_follow_up for line in lines} == {True, False, None}
    for column in ("stems", "area_mm2"):
        assert len({getattr(line, column) is None for line in lines}) == 2


def test_mistakes_were_set_right_with_a_reason():
    corrected = Revision.objects.filter(kind="application", op__in=["amend", "void"]).order_by("seq")

    assert [(each.op, each.reason) for each in corrected] == [
        ("void", "Entered twice: it is in Dolores's total."),
        ("amend", corrected[1].reason),
    ]
    assert corrected[1].reason.startswith("Decimal slip")


def test_a_day_was_stopped_for_rain_one_called_off_and_one_check_out_is_missing():
    stopped = WorkDay.objects.get(stopped_at__isnull=False)
    cancelled = WorkDay.objects.get(state="cancelled")
    (missing,) = Attendance.objects.filter(out_at=None)

    assert "Rain" in stopped.state_reason
    assert cancelled.state_reason
    assert missing.work_day.state == "done"
    assert SignUp.objects.filter(withdrawn_at__isnull=False).exists()


def test_work_was_recorded_outside_a_work_day_and_without_herbicide():
    assert Session.objects.filter(work_day=None).count() == 1
    assert WorkLine.objects.filter(work_day=None).exists()
    assert WorkLine.objects.count() >= 60


def test_volunteers_handed_over_their_own_lines():
    entered = Application.objects.values_list("entered_by", "session__applicator__person")

    assert all(author == applicator for author, applicator in entered)
    assert len(set(entered)) >= 5


def test_most_records_are_signed_and_locked_and_some_are_not():
    states = Counter(session.state for session in Session.objects.all())

    assert states["locked"] > 30
    assert states["draft"] >= 5
    assert states["attested"] == 1  # the one that was treated with a lapsed licence


def test_the_report_of_every_property_and_season_waits_for_a_worker():
    assert SeasonReport.objects.count() == 9
    assert Job.objects.filter(kind="season_report", state="queued").count() == 9


def test_nothing_is_entered_before_it_happened_or_after_the_files_were_written():
    written = date(2026, 11, 25)

    assert Revision.objects.order_by("-at").first().at.date() <= written
    for line in Application.objects.select_related("session"):
        assert line.session.started_at < line.entered_at
