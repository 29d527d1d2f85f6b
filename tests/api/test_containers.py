"""The accounting of a morning that ends in rain, through REST and through a phone without a signal.

64 fl oz at 20 % v/v of an ester of 4 lb a.e./gal in oil, carried in numbered bottles: what was used is the one less
the other, its product the batch's product times the share of the batch used (New York's Pesticide Reporting Law
guidance), and a.e. is 4 lb in 128 fl oz of product.
"""

import pytest

from stewardship.journal.ids import new_id
from stewardship.treatments.models import ActiveUse, Batch, Container
from tests.api.asking import get, patch, post
from tests.audit import findings
from tests.cast import sent
from tests.database import everything
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments.bottles import BACK, OUT, line

RAIN = ("16", "6", "9", "0")
"""What came back in four bottles of 16 fl oz: 33 were used."""


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


def outing(ground, number, batch, filled="16", **values):
    told = {"number": number, "batch": str(batch), "filled": fl_oz(filled), "out_at": OUT}
    return told | {"holder": str(ground.coordinator.member.id)} | values


def two_species(ground):
    """Return two lines, 20 stems and 12."""
    return [line(ground, stems=20), line(ground, stems=12, method="cut_stump")]


def brings_all_back(ground, volunteer, backs, filled="16", tap=False):
    """Take bottles out and bring them back through REST, and split each that gave something over two lines."""
    batch, session = ground.batch(), str(ground.session())
    for n, back in enumerate(backs):
        out = post(volunteer, "containers", outing(ground, str(n + 1), batch, filled))
        assert out.status_code == 201, out.content
        at = f"containers/{out.json()['id']}"
        told = {"back": {"tap": back} if tap else fl_oz(back), "back_at": BACK}
        home = post(volunteer, f"{at}/bring-back", told)
        assert home.status_code == 200, home.content
        if home.json()["used_nl"]:
            split = post(volunteer, f"{at}/share", {"session": session, "lines": two_species(ground)})
            assert split.status_code == 200, split.content
    return batch


def summed(someone, batch):
    """Return what was used in all, what is left, and how many lines were apportioned."""
    totals = get(someone, "use/summary", by="property").json()["totals"]
    left = get(someone, f"batches/{batch}").json()
    return totals, left


def test_four_bottles_come_back_with_16_6_9_and_0_so_33_were_used_and_31_are_left(ground, coordinator, volunteer):
    batch = brings_all_back(ground, volunteer, RAIN)

    totals, left = summed(coordinator, batch)

    assert totals["mix"]["value"] == "33"
    assert totals["product"]["value"] == "6.6"
    assert [active["ae"]["value"] for active in totals["active_ingredients"]] == ["0.2062"]  # 0.20625 lb, half to even
    assert totals["how_known"] == {"measured": 0, "read_off_container": 0, "estimated": 0, "apportioned": 6}
    assert (left["left"]["value"], left["in_containers_nl"], left["out_nl"]) == ("31", 0, 0)
    assert sum(ActiveUse.objects.values_list("ae_ug", flat=True)) == pytest.approx(93_553_426, rel=0, abs=3)


@pytest.mark.parametrize(
    ("backs", "filled", "used", "product", "left"),
    [
        (("12", "0.5"), "20", "27.5", "5.5", "36.5"),
        (("0", "0", "0", "0"), "16", "64", "12.8", "0"),
        (("2.5",), "6.25", "3.75", "0.75", "60.25"),
    ],
)
def test_the_same_in_other_numbers(ground, coordinator, volunteer, backs, filled, used, product, left):
    batch = brings_all_back(ground, volunteer, backs, filled)

    totals, told = summed(coordinator, batch)

    assert (totals["mix"]["value"], totals["product"]["value"], told["left"]["value"]) == (used, product, left)


def test_the_same_by_taps(ground, coordinator, volunteer):
    """Full, three quarters, a quarter and nothing of 16: 0 + 4 + 12 + 16 were used."""
    batch = brings_all_back(ground, volunteer, ("full", "3/4", "1/4", "empty"), tap=True)

    totals, left = summed(coordinator, batch)

    assert (totals["mix"]["value"], totals["product"]["value"], left["left"]["value"]) == ("32", "6.4", "32")


def offline(ground, batch, session):
    """Return what a phone kept of the morning, in the order in which it was tapped."""
    ids, told = [str(new_id()) for _ in RAIN], []
    for n, (id, back) in enumerate(zip(ids, RAIN, strict=True)):
        told.append(sent("container", "create", outing(ground, str(n + 1), batch, id=id)))
        told.append(sent("container", "bring_back", {"back": fl_oz(back), "back_at": BACK}, id=id))
        if back != "16":
            told.append(sent("container", "share", {"session": str(session), "lines": two_species(ground)}, id=id))
    return told


def numbered(mutations):
    return [
        type(m)(**{name: getattr(m, name) for name in m.__struct_fields__} | {"n": n + 1})
        for n, m in enumerate(mutations)
    ]


def test_offline_pushed_killed_and_pushed_again_it_is_the_same(ground, coordinator, volunteer):
    """The phone dies after part of the push arrived, and sends all of it again when it is opened."""
    batch, session = ground.batch(), ground.session()
    told = numbered(offline(ground, batch, session))

    part = volunteer.pushes(*told[:5])
    first = volunteer.pushes(*told)
    before = everything()
    again = volunteer.pushes(*told)

    assert {result["outcome"] for taken in (part, first, again) for result in taken.results} == {"applied"}
    assert [result.get("replayed", False) for result in first.results] == [True] * 5 + [False] * (len(told) - 5)
    assert [result["replayed"] for result in again.results] == [True] * len(told)
    assert everything() == before
    totals, left = summed(coordinator, batch)
    assert (totals["mix"]["value"], totals["product"]["value"], left["left"]["value"]) == ("33", "6.6", "31")
    assert findings() == []


def test_a_bottle_tells_what_was_used_and_what_stands_in_no_line(ground, volunteer):
    made = post(volunteer, "containers", outing(ground, "3", ground.batch())).json()
    assert (made["used_nl"], made["unshared_nl"], made["back"]) == (None, None, None)

    back = post(volunteer, f"containers/{made['id']}/bring-back", {"back": {"tap": "1/4"}, "back_at": BACK}).json()

    assert (back["used"], back["unshared"]) == ({"value": "12", "unit": "fl_oz"},) * 2
    assert (back["back"]["value"], back["back_tap"], back["how_known"]) == ("4", "1/4", "read_off_container")


def test_unshared_use_stands_in_the_batchs_balance(ground, coordinator, volunteer):
    batch = ground.batch()
    made = post(volunteer, "containers", outing(ground, "3", batch)).json()
    assert get(coordinator, f"batches/{batch}").json()["out"] == {"value": "16", "unit": "fl_oz"}

    post(volunteer, f"containers/{made['id']}/bring-back", {"back": fl_oz("6"), "back_at": BACK})

    told = get(coordinator, f"batches/{batch}").json()
    assert (told["in_containers"], told["out_nl"]) == ({"value": "10", "unit": "fl_oz"}, 0)


def test_bottles_are_found_by_batch_number_holder_and_whether_they_are_back(ground, coordinator, volunteer):
    batch = ground.batch()
    out = post(volunteer, "containers", outing(ground, "3", batch)).json()["id"]
    home = post(volunteer, "containers", outing(ground, "4", batch, holder=str(volunteer.member.id))).json()["id"]
    post(volunteer, f"containers/{home}/bring-back", {"back": fl_oz("6"), "back_at": BACK})

    def found(**parameters):
        return [each["id"] for each in get(coordinator, "containers", **parameters).json()["results"]]

    assert found(batch=str(batch)) == sorted([out, home])
    assert found(number="3") == found(back="false") == [out]
    assert found(holder=str(volunteer.member.id)) == found(back="true") == [home]


def test_the_lines_of_a_bottle_are_found_by_it(ground, coordinator, volunteer):
    brings_all_back(ground, volunteer, ("6", "9"))
    first, second = Container.objects.order_by("number")

    found = get(coordinator, "applications", container=str(first.id)).json()["results"]

    assert {each["container"] for each in found} == {str(first.id)}
    assert len(found) == 2
    assert second.split[0]["stems"] == 20


def test_a_misread_bottle_is_corrected_by_its_author_from_the_revision_seen(ground, volunteer, other_volunteer):
    made = post(volunteer, "containers", outing(ground, "3", ground.batch())).json()
    told = {"filled": fl_oz("12"), "reason": "misread"}

    foreign = patch(other_volunteer, f"containers/{made['id']}", told, If_Match='"1"')
    own = patch(volunteer, f"containers/{made['id']}", told, If_Match='"1"')

    assert (foreign.status_code, own.status_code) == (403, 200)
    assert Batch.objects.get().out_nl == Container.objects.get().filled_nl
