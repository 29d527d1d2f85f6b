"""Eight processes draw on one lot at once: none is lost, the book is exact, and what it lacked is flagged in order."""

import pytest
from django.db.models import Sum

from stewardship.accounts.models import Device, Member
from stewardship.treatments.models import Batch, Lot, LotDraw, StockMovement
from tests.cast import Someone, sent, with_device
from tests.concurrency import in_processes
from tests.ground import FL_OZ, fl_oz

pytestmark = pytest.mark.django_db(transaction=True)
PROCESSES, EACH, HELD = 8, 40, 200


def draw(member, device, product, lot):
    """Push batches of an ounce of product each, ten at a time; return the codes of what each is marked with."""
    member = Member.objects.get(id=member)
    who = Someone(member.person, member, Device.objects.get(id=device), "")
    part = {"product": product, "volume": fl_oz("1"), "lots": [{"lot": lot}]}
    told = {"mixed_at": "2027-05-01T09:00:00-05:00", "mixed_by": str(member.id), "mix": fl_oz("5"), "carrier": "oil"}
    told |= {"how_known": "measured", "parts": [part]}
    pushes = [who.pushes(*(sent("batch", "create", told) for _ in range(10))) for _ in range(EACH // 10)]
    results = [result for taken in pushes for result in taken.results]
    return [
        [result["outcome"], result["seq"], [mark["code"] for mark in result.get("warnings", ())]] for result in results
    ]


def test_eight_processes_draw_on_one_lot_and_exactly_what_it_lacked_is_flagged(ground, cast):
    lot = ground.lot(received={"value": f"{HELD * FL_OZ // 10**6}.{HELD * FL_OZ % 10**6:06}", "unit": "ml"})
    assert Lot.objects.get(id=lot).left_nl == HELD * FL_OZ
    people = [cast.coordinator, cast.volunteer, cast.other_volunteer]
    crew = [with_device(people[i % 3].member, f"phone {i}") for i in range(PROCESSES)]

    told = in_processes(
        "tests.stewardship.treatments.test_stock_at_once:draw",
        [
            {
                "member": str(who.member.id), "device": str(who.device.id), "product": str(ground.product),
                "lot": str(lot),
            }
            for who in crew
        ],
    )  # fmt: skip

    results = sorted((result for each in told for result in each), key=lambda result: result[1])
    assert {outcome for outcome, *_ in results} == {"applied"}
    overdrawn = ["lot_overdrawn" in codes for *_, codes in results]
    assert overdrawn == [False] * HELD + [True] * (PROCESSES * EACH - HELD), "marked in the book's order"
    flagged = StockMovement.objects.filter(what="count", volume_nl=None)
    assert flagged.count() == PROCESSES * EACH - HELD
    assert flagged.aggregate(nl=Sum("delta_nl"))["nl"] == (PROCESSES * EACH - HELD) * FL_OZ
    assert LotDraw.objects.aggregate(nl=Sum("nl"))["nl"] == PROCESSES * EACH * FL_OZ
    found = Lot.objects.get(id=lot)
    assert (found.left_nl, found.entries) == (0, PROCESSES * EACH + flagged.count())
    assert Batch.objects.count() == PROCESSES * EACH
