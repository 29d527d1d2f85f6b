"""Eight at once against one ceiling: exactly what lies beyond it is marked, in the book's order; nothing is lost."""

import json
from collections import Counter
from functools import partial

import pytest

from stewardship.accounts.models import Device, Member
from stewardship.journal.models import Revision
from stewardship.places.models import Unit
from stewardship.rules.area_years import total
from stewardship.treatments.models import Application, PlannedMix
from stewardship.treatments.services.planned_mixes import PlanOverLimits
from tests.cast import Someone, sent, with_device
from tests.concurrency import in_processes, in_threads
from tests.ground import fl_oz
from tests.stewardship.treatments.limited import licensed, limit, mapped

pytestmark = pytest.mark.django_db(transaction=True)

CREWS, STEMS, A_PUSH = 8, 10, 6
SIZES = [12, pytest.param(150, marks=pytest.mark.heavy)]
"""Plots of each crew: few in every run, as many as the trade's own check asks for in a long one."""


def treat(member, device, plots, told):
    """Push a crew's plots, each a line of ten stems; return the outcomes."""
    found = Member.objects.get(id=member)
    who = Someone(found.person, found, Device.objects.get(id=device), "")
    lines = [sent("application", "create", told) for _ in range(plots)]
    pushed = [who.pushes(*lines[i : i + A_PUSH]).results for i in range(0, plots, A_PUSH)]
    return [result["outcome"] for results in pushed for result in results]


@pytest.fixture
def crews(ground, cast):
    """Let eight crews stand in one unit of an acre, each with a batch and a session of its own."""
    for someone in (cast.coordinator, cast.volunteer, cast.other_volunteer):
        licensed_by(cast.coordinator, someone)
    mapped(ground)
    people = [cast.coordinator, cast.volunteer, cast.other_volunteer]
    told = []
    for i in range(CREWS):
        who = with_device(people[i % 3].member, f"phone {i}")
        gallons = {
            "mix": {"value": "64", "unit": "gal"},
            "parts": [{"product": str(ground.product), "volume": fl_oz("64")}],
        }
        line = {
            "session": str(ground.session(who)),
            "batch": str(ground.batch(who, **gallons)),
            "species": str(ground.species),
            "method": "basal_bark",
            "mix": fl_oz("1"),
            "how_known": "measured",
            "stems": STEMS,
        }
        told.append({"member": str(who.member.id), "device": str(who.device.id), "told": line})
    return told


def licensed_by(coordinator, someone):
    days = {"issued_on": "2020-01-01", "received_on": "2020-01-02", "never_expires": True}
    coordinator.does("credential", "create", holder=someone.member.id, covers="herbicide_application", **days)


def ceiling_of(ground, lines):
    """Store a ceiling that so many lines of ten stems reach; the unit measures 1.0001 acres."""
    limit(ground.coordinator, what="area_year_ceiling", high=str(lines * STEMS), unit="stems_acre")


def check(ground, plots):
    """Of all lines, in the order of their numbers, exactly those beyond the ceiling are marked as over it."""
    revisions = Revision.objects.filter(kind="application", rev=1).order_by("seq")
    codes = [{mark["code"] for mark in json.loads(revision.content)["marks"]} for revision in revisions]
    wanted, room = CREWS * plots, CREWS * plots // 2
    near = -(-room * 8 // 10)

    assert len(codes) == Application.objects.count() == wanted
    assert [place for place, found in enumerate(codes, 1) if "over_ceiling" in found] == list(
        range(room + 1, wanted + 1)
    )
    assert {"near_ceiling"} == set().union(*codes[near:room])
    assert set().union(*codes[: near - 1]) == set()
    years = Unit.objects.get(id=ground.unit).used_in_years
    assert total(years["2027"], "stems").known == wanted * STEMS


@pytest.mark.parametrize("plots", SIZES)
def test_eight_processes_cannot_hide_a_crossing(ground, crews, plots):
    ceiling_of(ground, CREWS * plots // 2)

    told = in_processes(
        "tests.stewardship.treatments.test_ceilings_at_once:treat", [each | {"plots": plots} for each in crews]
    )

    assert Counter(outcome for each in told for outcome in each) == {"applied": CREWS * plots}
    check(ground, plots)


@pytest.mark.parametrize("plots", SIZES)
def test_eight_threads_cannot_hide_a_crossing(ground, crews, plots):
    ceiling_of(ground, CREWS * plots // 2)

    told = in_threads([partial(treat, **each, plots=plots) for each in crews])

    assert Counter(outcome for each in told for outcome in each) == {"applied": CREWS * plots}
    check(ground, plots)


def test_of_plans_made_at_once_exactly_those_that_fit_stand_and_none_is_overridden_unseen(ground, coordinator):
    """Eight plans of 12.8 fl oz in a unit for which 52 are the ceiling: four fit, whoever comes first."""
    licensed(coordinator)
    mapped(ground)
    limit(coordinator, what="area_year_ceiling", high="52", unit="fl_oz_acre")
    told = {
        "unit": ground.unit, "planned_on": "2027-06-05", "method": "basal_bark", "carrier": "oil", "mix": fl_oz("64"),
        "parts": [{"product": str(ground.product), "volume": fl_oz("12.8")}],
    }  # fmt: skip

    found = in_threads([partial(coordinator.does, "planned_mix", "create", **told) for _ in range(CREWS)])

    refused = [each for each in found if isinstance(each, PlanOverLimits)]
    assert len(refused) == CREWS - 4
    assert [reason["code"] for each in refused for reason in each.facts["reasons"]] == ["over_ceiling"] * (CREWS - 4)
    assert PlannedMix.objects.filter(state="open", overridden=[]).count() == 4
