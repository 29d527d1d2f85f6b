"""Records judged by who did the work: licences, supervisors, helpers, contractors; and how what was left ended."""

import pytest

from stewardship.treatments.models import Application
from stewardship.treatments.verdicts.facts import facts_of
from stewardship.treatments.verdicts.shelf import shelf_of
from tests.ground import FL_OZ, fl_oz
from tests.planning import licence
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


def test_somebody_without_a_licence_and_no_supervisor_named_makes_the_record_incomplete(ground, cast, coordinator):
    at_home_in(ground, "US-PA")
    rule(coordinator, "us-pa")
    line = whole(ground, applicator=cast.volunteer.member.id)
    [one] = judged(line)
    assert lacking(one) == ["applicator_credentials", "supervisor"]

    licence(coordinator, cast.other_volunteer, "2027-12-31")
    supervisor = cast.other_volunteer.member.id
    coordinator.does("session", "amend", id=one.line.session_id, reason="she was there", supervisor=supervisor)

    [one] = judged(line)
    assert lacking(one) == []


def test_a_supervisor_whose_licence_had_ended_has_no_number_to_name(ground, cast, coordinator):
    at_home_in(ground, "US-PA")
    rule(coordinator, "us-pa")
    licence(coordinator, cast.other_volunteer, "2027-04-30")

    [one] = judged(whole(ground, applicator=cast.volunteer.member.id, supervisor=cast.other_volunteer.member.id))

    assert lacking(one) == ["applicator_credentials", "supervisor_credential"]


def test_helpers_are_named(ground, cast, coordinator, licensed):
    at_home_in(ground, "US-PA")
    rule(coordinator, "us-pa")

    named, silent = judged(whole(ground, helpers=[str(cast.volunteer.member.id)]), whole(ground, helpers=None))

    assert (lacking(named), lacking(silent)) == ([], ["had_helpers"])


def test_a_mixer_without_a_licence_is_recorded_marked_and_told_where_only_licence_holders_mix(
    ground, cast, coordinator, licensed
):
    """A batch that was mixed is a fact, so it is not refused."""
    own_rule(coordinator, only_licensed_mix=True)
    batch = ground.batch(mixed_by=cast.volunteer.member.id)
    line = ground.line(ground.session(**EVERYTHING), batch, "5")

    [one] = judged(line.id)

    assert [each.code for each in one.verdict.findings] == ["mixed_without_licence"]
    assert [mark["code"] for mark in one.line.batch.marks] == ["credential_missing"]
    assert one.wants_attention


def test_a_licence_holder_looks_after_so_many_at_a_time(ground, cast, coordinator):
    """Two at a time: IDAPA 02.03.03.010.07."""
    at_home_in(ground, "US-ID")
    rule(coordinator, "us-id")
    licence(coordinator, coordinator, "2027-12-31")
    people = [someone.member.id for someone in (cast.volunteer, cast.other_volunteer, cast.reviewer)]
    at_once = [whole(ground, applicator=each, supervisor=coordinator.member.id) for each in people[:2]]
    assert [one.verdict.findings for one in judged(*at_once)] == [(), ()]

    third = whole(ground, applicator=people[2], supervisor=coordinator.member.id)

    codes = {each.code for one in judged(*at_once, third) for each in one.verdict.findings}
    assert codes == {"too_many_supervised"}


def test_a_contractors_licence_number_stands_for_that_of_an_applicator(ground, coordinator):
    at_home_in(ground, "US-WA")
    rule(coordinator, "us-wa")
    told = {"name": "Bramble & Burr", "licence_number": "B-77", "licence_valid_to": "2027-05-01"}
    party = coordinator.does("contractor", "create", **told).record.id
    valid = whole(ground, applicator=None, contractor=party)
    coordinator.does("contractor", "amend", id=party, licence_valid_to="2027-04-30")

    assert [one.verdict.is_complete for one in judged(valid)] == [False]
    coordinator.does("contractor", "amend", id=party, licence_valid_to="2027-05-01")
    assert [one.verdict.is_complete for one in judged(valid)] == [True]


def test_a_product_whose_label_changed_between_two_batches_is_judged_once_with_both_numbers(ground, cast, coordinator):
    own_rule(coordinator, required=["registration_no", "product_amount", "mix_strength"])
    old = ground.batch()
    coordinator.does("product", "amend", id=ground.product, registration_no="99990-111")
    part = {"product": str(ground.product), "volume": fl_oz("6.4")}
    mixed = ground.top_up({"batch": str(old), "volume": fl_oz("32")}, mix="64", parts=[part])
    line = ground.line(ground.session(**EVERYTHING), mixed, "5")

    [one] = judged(line.id)

    shelf = shelf_of(cast.group, [one.line])
    facts = facts_of(shelf.now(one.line), one.line, one.product, shelf)
    assert facts["registration_no"] == "99990-111, 99990-101"
    assert facts["product_amount"] == FL_OZ  # a fifth of 5 fl oz
    assert one.verdict.is_complete


def test_what_was_disposed_of_says_how_once_for_the_leftover_that_ended_by_it(ground, coordinator, licensed):
    """Georgia Rule 40-21-5: names, concentrations and quantities disposed of, and how."""
    at_home_in(ground, "US-GA")
    rule(coordinator, "us-ga")
    line = whole(ground)
    told = {"leftover": str(ground.leftover(Application.objects.get(id=line).batch_id, "59")), "lot": None}

    moved = ground.moves("disposal", ounces="59", **told)
    assert lacking(judged(line)[0]) == ["disposal"]

    coordinator.does("stock_movement", "void", id=moved.id, reason="its manner was left out")
    ground.moves("disposal", ounces="59", manner="county collection", **told)
    assert lacking(judged(line)[0]) == []
