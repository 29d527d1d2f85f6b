"""The balance of a batch tells every term and who said it; its tag says what the batch says."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.catalog.models import Product
from stewardship.treatments.models import Batch
from tests.api.asking import get, post
from tests.ground import fl_oz, lay_out, nl
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)

NOON = "2027-05-01T12:00:00-05:00"


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


@pytest.mark.parametrize(
    ("mine", "twice", "left", "over"),
    [(("25", "15"), "10", "24", "10"), (("30", "8"), "6", "26", "6")],
)
def test_two_people_log_one_batch(ground, coordinator, volunteer, other_volunteer, mine, twice, left, over):
    """The scene of practice: 40 + 10 + 24 = 74 of 64, over by 10, authors and bottles named; voided, balance 0."""
    batch = ground.batch()
    session = ground.session(volunteer)
    lines = [ground.line(session, batch, ounces, volunteer) for ounces in mine]
    hers = ground.line(ground.session(other_volunteer), batch, twice, other_volunteer)
    measured = {"batch": str(batch), "volume": fl_oz(left), "how_known": "measured", "measured_at": NOON}
    told = post(volunteer, "leftovers", measured | {"container": "bottle 3"})
    assert (told.status_code, [each["code"] for each in told.json()["warnings"]]) == (201, ["batch_over"])

    found = get(volunteer, f"batches/{batch}/balance").json()

    assert found["balances"] is False
    assert abs(found["difference_nl"] + nl(over)) <= 5
    assert (found["difference"], found["leftover"]) == (
        {"value": f"-{over}", "unit": "fl_oz"},
        {"value": left, "unit": "fl_oz"},
    )
    assert f"over by {over} US fluid ounces" in found["detail"]
    said = [(each["what"], each["volume"]["value"], each["by"]["name"]) for each in found["statements"]]
    assert sorted(said) == sorted(
        [
            *(("applied", ounces, "Tobias Quill") for ounces in mine),
            ("applied", twice, "Ines Carrowby"),
            ("measured", left, "Tobias Quill"),
        ]
    )
    assert found["statements"][-1]["container"] == "bottle 3"

    gone = post(coordinator, f"applications/{hers.id}/void", {"reason": "in the total of the crew"})

    now = get(volunteer, f"batches/{batch}/balance").json()
    assert gone.json()["voided_at"]
    assert (now["balances"], now["detail"], now["difference"]["value"]) == (True, "", "0")
    product = sum(line.products[0]["nl"] for line in lines)
    acid = sum(line.products[0]["actives"][0]["ae_ug"] for line in lines)
    applied = sum(map(int, mine))
    assert abs(product - applied * nl("0.2")) <= applied
    assert abs(acid - round(product * 453_592_370 * 4 / 3_785_411_784)) <= 2  # 4 lb a.e./gal; NIST Handbook 44


def test_every_term_is_told(ground, coordinator):
    batch = ground.batch()
    ground.line(ground.session(), batch, "30")
    ground.top_up({"batch": str(batch), "volume": fl_oz("10")})
    ground.leftover(batch, "23.5")
    post(coordinator, f"batches/{batch}/close", {"closed_at": NOON})

    found = get(coordinator, f"batches/{batch}/balance").json()

    terms = ("mix", "applied", "poured_on", "disposed", "lost", "spilled", "returned", "difference", "leftover")
    told = {term: found[term]["value"] for term in terms}
    # what was poured on came after the measure: 30 applied and 23.5 left of 64 leave 10.5 that nobody has seen
    assert told == {
        "mix": "64", "applied": "30", "poured_on": "10", "disposed": "0", "lost": "0", "spilled": "0",
        "returned": "0", "difference": "10.5", "leftover": "13.5",
    }  # fmt: skip


def test_a_balance_costs_the_same_statements_however_much_was_drawn(ground, coordinator):
    batch, session, client = ground.batch(), ground.session(), coordinator.client()

    def statements():
        with CaptureQueriesContext(connection) as seen:
            address = f"/api/v1/groups/{coordinator.group_id}/batches/{batch}/balance"
            assert client.get(address).status_code == 200
        return len(seen)

    ground.line(session, batch, "1"), ground.leftover(batch, "1")
    statements()
    few = statements()
    for _ in range(6):
        ground.line(session, batch, "1"), ground.leftover(batch, "1")

    assert statements() == few


def test_the_tag_says_what_the_batch_says_though_the_product_is_corrected_later(ground, coordinator):
    """The tag's text matches the batch's snapshot."""
    coordinator.does("product", "amend", id=ground.product, signal_word="caution")
    batch = ground.batch(adjuvants=[{"name": "blue dye", "volume": fl_oz("0.32")}])
    coordinator.does("product", "amend", id=ground.product, name="another name", registration_no="99990-999")

    tag = get(coordinator, f"batches/{batch}/tag").json()

    (part,) = Batch.objects.get(id=batch).parts
    assert tag["lines"][:8] == [
        "Herbicide mix",
        f"{part['name']}, registration {part['registration_no']}, CAUTION",
        "20 % of this product by volume of finished mix (product v/v)",
        "triclopyr: 13.33 % a.i. w/v, 9.586 % a.e. w/v",  # 4 lb a.e./gal: 479.3 g/L, a fifth of it, in 100 mL
        "blue dye, 0.5 % by volume",
        "Carrier: oil",
        "Mixed 2027-05-01 09:00 by Maren Oduya, 64 US fluid ounces",
        f"Batch {batch}",
    ]
    assert tag["fields"]["products"][0]["registration_no"] == "99990-101"
    assert Product.objects.get(id=ground.product).name not in " ".join(tag["lines"])


@pytest.mark.parametrize(
    ("word", "lines"),
    [
        ("", ["registration 99990-101", "Signal word not on record: read it off the label."]),
        ("none", ["registration 99990-101, no signal word required"]),
        ("danger_poison", ["registration 99990-101, DANGER – POISON"]),
    ],
    ids=["unknown", "none", "poison"],
)
def test_the_text_of_the_tag_says_so_where_the_signal_word_is_not_on_record(ground, coordinator, word, lines):
    coordinator.does("product", "amend", id=ground.product, signal_word=word)

    told = get(coordinator, f"batches/{ground.batch()}/tag").json()["lines"]

    name = "triclopyr ester 4 lb a.e./gal, "
    assert told[1 : len(lines) + 2] == [
        f"{name}{lines[0]}",
        *lines[1:],
        "20 % of this product by volume of finished mix (product v/v)",
    ]


def test_the_tag_of_a_leftover_tells_how_much_and_since_when_and_what_is_unknown_says_so(ground, coordinator):
    batch = ground.batch(**tank_mix(ground))
    left, found = ground.leftover(batch, "24"), ground.leftover(None, "20", how_known="estimated", container="a jug")

    tag, unknown = (get(coordinator, f"leftovers/{id}/tag").json() for id in (left, found))

    assert "Left in bottle 3: 24 US fluid ounces, measured, 2027-05-01 12:00" in tag["lines"]
    assert "imazapyr: 1.198 % a.i. w/v, a.e. unknown" in tag["lines"]  # 2 lb a.i./gal: 239.7 g/L, a twentieth of it
    assert unknown["lines"][0] == "Contents unknown – do not use"
    assert unknown["lines"][1:3] == ["Found 2027-05-01 12:00, about 20 US fluid ounces, estimated", "a jug"]
    assert (unknown["fields"]["contents"], unknown["fields"]["batch"]) == ("unknown", None)


def test_an_unknown_bottle_that_is_used_all_the_same_is_a_conflict(ground, volunteer):
    found, session = ground.leftover(None, "20"), ground.session()
    told = {"session": str(session), "leftover": str(found), "species": str(ground.species), "method": "basal_bark"}

    refused = post(volunteer, "applications", told | {"mix": fl_oz("5"), "how_known": "measured"})

    assert (refused.status_code, refused.json()["code"], refused.json()["where"]) == (
        409,
        "contents_unknown",
        "leftover",
    )


def test_leftovers_are_listed_by_what_is_known_of_them(ground, coordinator):
    batch = ground.batch()
    left, unknown = ground.leftover(batch, "24"), ground.leftover(None, "20")
    coordinator.does("leftover", "end", id=left, ended_at=NOON, end="used")

    def found(**filters):
        return {each["id"] for each in get(coordinator, "leftovers", **filters).json()["results"]}

    assert found(batch=str(batch)) == found(known="true") == found(ended="true") == {str(left)}
    assert found(known="false") == found(ended="false") == {str(unknown)}


def test_a_line_out_of_a_bottle_names_the_bottle(ground, volunteer):
    batch = ground.batch()
    bottle = volunteer.does(
        "container", "create", number="7", batch=batch, holder=volunteer.member.id, filled=fl_oz("16"),
        out_at="2027-05-01T09:20:00-05:00",
    ).record.id  # fmt: skip
    ground.line(ground.session(), batch, "10", volunteer, container=str(bottle))

    (said,) = get(volunteer, f"batches/{batch}/balance").json()["statements"]

    assert (said["what"], said["container"], said["by"]["name"]) == ("applied", "bottle 7", "Tobias Quill")


@pytest.mark.parametrize(("found", "used"), [("20", "44"), ("7", "57.3")])
def test_a_batch_that_lacks_what_was_found_is_shown_beside_it_and_linked_by_nobody_but_a_person(
    ground, coordinator, volunteer, found, used
):
    """The scene of the unknown bottle: a batch lacks about as much; the estimate is good to a tenth."""
    lacks, other, whole = ground.batch(), ground.batch(), ground.batch()
    session = ground.session()
    ground.line(session, lacks, used), ground.line(session, other, "10")
    ground.leftover(whole, "64")
    unknown = {"volume": fl_oz(found), "how_known": "estimated", "measured_at": NOON, "container": "a jug"}
    id = post(volunteer, "leftovers", unknown).json()["id"]

    (beside,) = get(volunteer, f"leftovers/{id}/lacking").json()["results"]

    assert (beside["batch"], beside["mix"]["value"]) == (str(lacks), "64")
    assert get(volunteer, f"leftovers/{id}").json()["batch"] is None
    told = {"batch": str(lacks), "evidence": "the tag lay under the shelf", "reason": "tag found"}
    assert post(coordinator, f"leftovers/{id}/identify", told).json()["batch"] == str(lacks)
    assert get(volunteer, f"leftovers/{id}/lacking").json()["results"] == []
    assert get(volunteer, f"batches/{lacks}/balance").json()["balances"] is True
