"""A scene of the field on two phones without a signal: two people log one batch, one of them for both.

In its own numbers and in others: the product of a line is that of the batch times the share of the batch used (New
York's Pesticide Reporting Law guidance), 20 % v/v of an ester of 4 lb a.e./gal.
"""

import pytest

from tests.api.asking import get
from tests.api.test_scenes_of_accounting import A_LINE, EVENING, Scene, ounces, reconciled
from tests.client.in_hand import Valley, find_a_signal, in_hand
from tests.ground import fl_oz

pytestmark = pytest.mark.django_db

NUMBERS = [
    ("64", ("25", "15"), "10", "24", 10, (5.0, 3.0), 0.25),
    ("128", ("40", "30"), "12", "58", 12, (8.0, 6.0), 0.4375),
    ("32", ("6", "5"), "3", "21", 3, (1.2, 1.0), 0.0688),
]


def treats(phone, someone, scene, *lines):
    """Log a session and its line for each unit, as one thing; return the ids of the lines."""
    ids = []
    for unit, amount in lines:
        tx = phone.new_id()
        begun = {"unit": str(unit), "applicator": str(someone.member.id), "started_at": "2027-05-01T09:30:00-05:00"}
        session = phone.create("session", begun, tx=tx)
        ids.append(phone.create("application", scene.line(session, amount), tx=tx))
    return ids


def outcomes(phone):
    return [told["outcome"] for _, told in phone.store.sent_box()]


@pytest.mark.parametrize(
    ("mix", "crew", "own", "left", "over", "product", "acid_lb"), NUMBERS, ids=["as told", "in others", "in little"]
)
def test_two_people_log_one_batch_without_a_signal(cast, mix, crew, own, left, over, product, acid_lb):
    scene, valley = Scene(cast, mix), Valley()
    a, z = in_hand(cast.volunteer, transport=valley), in_hand(cast.other_volunteer, transport=valley)
    desk = in_hand(cast.coordinator)
    find_a_signal(a, z)

    # Both log without a signal: he the crew's total, she her own part of it.
    valley.has_signal = False
    first, second = treats(a, cast.volunteer, scene, (scene.ground.unit, crew[0]), (scene.other_unit, crew[1]))
    (hers,) = treats(z, cast.other_volunteer, scene, (scene.ground.unit, own))
    find_a_signal(a, z)
    assert (len(a.store.outbox()), len(z.store.outbox())) == (4, 2)

    # In the evening the answer to his push is lost, and he sends it again; nothing was over-drawn, so all is kept.
    valley.has_signal, valley.loses_answers = True, 1
    find_a_signal(a)
    assert len(a.store.outbox()) == 4
    find_a_signal(a, z)
    assert outcomes(a) == ["applied"] * 4
    assert all(told["replayed"] for _, told in a.store.sent_box())
    assert (outcomes(z), z.to_show()) == (["applied"] * 2, [])

    # What she measures is no draw: it says by how much both are too many, and whose lines there are.
    measured = {"volume": fl_oz(left), "how_known": "measured", "measured_at": EVENING, "batch": scene.batch}
    z.create("leftover", measured)
    find_a_signal(z)
    assert z.store.sent_box()[-1][1]["warnings"][0]["code"] == "batch_over"
    told = scene.balance()
    assert (ounces(-told["difference_nl"]), told["balances"]) == (over, False)
    authors = {each["id"]: each["by"]["name"] for each in told["statements"] if each["what"] == "applied"}
    assert authors == {first: "Tobias Quill", second: "Tobias Quill", hers: "Ines Carrowby"}
    (off,) = scene.compiled()["balances"]["do_not_balance"]
    assert (off["batch"], ounces(-off["by_nl"])) == (scene.batch, over)

    # The coordinator takes hers out; her phone tells her, and asks her nothing.
    find_a_signal(desk)
    desk.act(hers, "void", "in Tobias's total")
    find_a_signal(desk)
    find_a_signal(z)
    assert z.sees(hers).says["voided_at"] is not None
    assert (z.store.outbox(), z.to_show()) == ([], [])
    history = get(cast.other_volunteer, f"applications/{hers}/history").json()["results"]
    assert [(each["op"], each["reason"]) for each in history] == [("create", ""), ("void", "in Tobias's total")]

    told = scene.balance()
    assert (abs(told["difference_nl"]) <= A_LINE, told["balances"]) == (True, True)
    find_a_signal(a)
    assert tuple(ounces(a.sees(id).says["products"][0]["nl"]) for id in (first, second)) == product
    totals = get(cast.reviewer, "use/summary").json()["totals"]
    assert ounces(totals["product_nl"]) == sum(product)
    (active,) = totals["active_ingredients"]
    assert round(active["ae_ug"] / 453_592_370, 4) == acid_lb
    assert scene.compiled()["balances"]["do_not_balance"] == []
    assert reconciled(cast.coordinator)["findings"] == []
    find_a_signal(z)
    assert a.store.records().items() <= desk_after(desk).items()
    assert a.store.records() == {id: copy for id, copy in z.store.records().items() if id in a.store.records()}


def desk_after(desk):
    """Return the copy of a coordinator, who sees everything, after a pull."""
    find_a_signal(desk)
    return desk.store.records()
