"""Two scenes of the field played through the API: two people who log one batch, and a bottle that nobody can name.

In their own numbers and in others: 64 fl oz at 20 % v/v of an ester of 4 lb a.e./gal hold 12.8 fl oz of product. The
product of a line is that of the batch times the share of the batch used (New York's Pesticide Reporting Law guidance).
"""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.rules.units import UNITS
from tests.api.asking import get, post, sent_at
from tests.ground import fl_oz, lay_out
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db

NOON, EVENING = "2027-05-01T12:00:00-05:00", "2027-05-01T18:00:00-05:00"
FL_OZ_NL = UNITS["fl_oz"].per_unit
A_LINE = 8
"""Nanolitres by which a sum of a few entries, each rounded once, may be off."""


def ounces(nl):
    """Return an amount in fluid ounces, to a thousandth."""
    return float(round(nl / FL_OZ_NL, 3))


def posted(someone, path, **body):
    answer = post(someone, path, body)
    assert answer.status_code in (200, 201, 202), answer.content
    return answer.json()


def pushed(someone, *sets):
    """Push lines from a phone that had no signal, and return their ids."""
    mutations = [
        {"mid": str(uuid4()), "n": next(someone.numbers), "type": "application", "op": "create", "set": told}
        for told in sets
    ]
    body = {"device": str(someone.device.id), "sent_at": sent_at(), "mutations": mutations}
    results = post(someone, "sync/push", body).json()["results"]
    assert [result["outcome"] for result in results] == ["applied"] * len(sets)
    return results


def worked():
    for job in Job.objects.filter(state="queued"):
        assert jobs.run(job.id, JOBS, at=timezone.now() + timedelta(seconds=1))


def reconciled(someone):
    posted(someone, "reconciliations")
    worked()
    return get(someone, "reconciliations/latest").json()


class Scene:
    """Ground at two properties, a season, a batch."""

    def __init__(self, cast, mix="64"):
        self.cast, self.coordinator = cast, cast.coordinator
        self.ground = lay_out(cast.coordinator)
        does = cast.coordinator.does
        self.other = does("property", "create", name="Otter Slough").record.id
        self.other_unit = does("unit", "create", property=self.other, name="East").record.id
        dates = {"first_on": "2027-01-01", "last_on": "2027-12-31"}
        self.season = does("season", "create", name="2027", **dates).record.id
        parts = [{"product": str(self.ground.product), "volume": fl_oz(str(float(mix) / 5))}]
        self.batch = str(self.ground.batch(mix=fl_oz(mix), parts=parts))

    def line(self, session, amount, method="basal_bark"):
        told = {"session": str(session), "batch": self.batch, "species": str(self.ground.species), "method": method}
        return told | {"mix": fl_oz(amount), "how_known": "read_off_container"}

    def compiled(self):
        """Ask for the report of the first property and return its figures."""
        asked = posted(
            self.cast.reviewer, "season-reports", property=str(self.ground.property), season=str(self.season)
        )
        worked()
        return get(self.cast.reviewer, f"season-reports/{asked['id']}/versions/latest").json()["figures"]

    def balance(self):
        return get(self.cast.volunteer, f"batches/{self.batch}/balance").json()


# -- two people log one batch --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mix", "crew", "own", "left", "over", "product", "acid_lb"),
    [
        ("64", ("25", "15"), "10", "24", 10, (5.0, 3.0), 0.25),
        ("128", ("40", "30"), "12", "58", 12, (8.0, 6.0), 0.4375),
    ],
    ids=["as told", "in other numbers"],
)
def test_two_people_log_one_batch(cast, mix, crew, own, left, over, product, acid_lb):
    scene, a, z = Scene(cast, mix), cast.volunteer, cast.other_volunteer
    at_p = scene.ground.session(a)
    at_q = scene.ground.session(a, unit=scene.other_unit)
    first, second = pushed(a, scene.line(at_p, crew[0]), scene.line(at_q, crew[1]))
    (hers,) = pushed(z, scene.line(scene.ground.session(z), own))
    measured = {"volume": fl_oz(left), "how_known": "measured", "measured_at": EVENING}
    marked = posted(z, "leftovers", batch=scene.batch, **measured)

    # Nothing was over-drawn: both are kept, and the measure says by how much they are too many.
    assert marked["warnings"][0]["code"] == "batch_over"
    told = scene.balance()
    assert (ounces(-told["difference_nl"]), told["balances"]) == (over, False)
    authors = {each["id"]: each["by"]["name"] for each in told["statements"] if each["what"] == "applied"}
    assert authors == {first["id"]: "Tobias Quill", second["id"]: "Tobias Quill", hers["id"]: "Ines Carrowby"}
    found = reconciled(cast.coordinator)["findings"]
    assert [(each["code"], each["id"], ounces(-each["by_nl"])) for each in found] == [
        ("batch_does_not_balance", scene.batch, over)
    ]
    (off,) = scene.compiled()["balances"]["do_not_balance"]
    assert (off["batch"], ounces(-off["by_nl"])) == (scene.batch, over)

    voided = post(cast.coordinator, f"applications/{hers['id']}/void", {"reason": "in Tobias's total"})
    assert voided.status_code == 200

    told = scene.balance()
    assert (abs(told["difference_nl"]) <= A_LINE, told["balances"]) == (True, True)
    assert ounces(told["leftover_nl"]) == float(left)
    history = get(z, f"applications/{hers['id']}/history").json()["results"]
    assert [each["op"] for each in history] == ["create", "void"]
    assert history[-1]["reason"] == "in Tobias's total"
    lines = [get(a, f"applications/{each['id']}").json() for each in (first, second)]
    assert tuple(ounces(line["products"][0]["nl"]) for line in lines) == product
    totals = get(cast.reviewer, "use/summary").json()["totals"]
    assert ounces(totals["product_nl"]) == sum(product)
    (active,) = totals["active_ingredients"]
    assert round(active["ae_ug"] / 453_592_370, 4) == acid_lb
    assert scene.compiled()["balances"]["do_not_balance"] == []
    assert reconciled(cast.coordinator)["findings"] == []


# -- an unknown bottle ---------------------------------------------------------------------------


@pytest.mark.parametrize(("amount", "used"), [("20", "44"), ("12", "52")], ids=["as told", "in other numbers"])
def test_an_unknown_bottle(cast, amount, used):
    scene = Scene(cast)
    june = scene.ground.session(started_at="2027-06-05T09:30:00-05:00")
    pushed(cast.volunteer, scene.line(june, used))  # the June batch lacks as much
    told = {"volume": fl_oz(amount), "how_known": "estimated", "measured_at": "2027-06-20T10:00:00-05:00"}
    bottle = posted(
        cast.volunteer, "leftovers", property=str(scene.ground.property), container="a bottle, no tag", **told
    )["id"]

    # A forced write answers 409 and writes nothing.
    before = get(cast.coordinator, f"leftovers/{bottle}").json()
    line = scene.line(june, "1") | {"leftover": bottle}
    del line["batch"]
    uses = {
        "applications": line,
        "batches": {
            "mixed_at": NOON, "mixed_by": str(cast.coordinator.member.id), "mix": fl_oz("40"), "carrier": "oil",
            "how_known": "measured", "parts": [], "poured_from": [{"leftover": bottle, "volume": fl_oz(amount)}],
        },
    }  # fmt: skip
    for path, body in uses.items():
        answer = post(cast.coordinator, path, body)
        assert (answer.status_code, answer.json()["code"]) == (409, "contents_unknown")
    assert get(cast.coordinator, f"leftovers/{bottle}").json() == before
    assert len(get(cast.coordinator, "applications").json()["results"]) == 1
    assert len(get(cast.coordinator, "batches").json()["results"]) == 1

    # The batch that lacks as much stands beside it, and is not linked.
    result = reconciled(cast.coordinator)
    (container,) = result["unknown_containers"]
    assert (container["id"], container["beside"], container["end"]) == (bottle, [scene.batch], "")
    assert get(cast.coordinator, f"leftovers/{bottle}").json()["batch"] is None

    disposal = {"what": "disposal", "leftover": bottle, "volume": fl_oz(amount), "manner": "hazardous waste day"}
    disposal |= {"by": str(cast.coordinator.member.id), "happened_at": "2027-06-21T10:00:00-05:00"}
    posted(cast.coordinator, "stock-movements", receipt_no="HW-118", **disposal)

    # Counted once, its active ingredient in no sum, and never as nothing.
    figures = scene.compiled()
    unknown = figures["unknown_containers"]
    assert (unknown["count"], ounces(unknown["volume_nl"]), unknown["disposed"]) == (1, float(amount), 1)
    assert ounces(figures["treated"]["mix_nl"]) == float(used)
    (container,) = reconciled(cast.coordinator)["unknown_containers"]
    assert container["end"] == "disposed"
