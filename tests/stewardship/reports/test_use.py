"""Sums of use by every side, against a second reckoning from the raw rows."""

import json
from datetime import date
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.catalog.models import Product
from stewardship.journal.models import Book
from stewardship.journal.snapshots import snapshot
from stewardship.reports.sides import BY, OUTSIDE, Asked
from stewardship.reports.use import SUMS, use_summary
from tests.ground import fl_oz
from tests.stewardship.reports.reckoned import ACTIVE, Reckoned, pairs, plain, raw
from tests.stewardship.reports.used import SEASONS, Used

pytestmark = pytest.mark.django_db(transaction=True)

MANY = 5_000
WIDE = [(), *((side,) for side in BY), *pairs(), ("property", "season", "product", "active_ingredient"), BY]


def asked_for(by=(), **more):
    return Asked(tuple(by), **more)


def summary(cast, asked, most=MANY):
    with snapshot():
        return use_summary(cast.group.id, asked, most=most)


def keyed(told, by):
    """Return the rows by the ids of their keys, without the keys, in the form of the second reckoning."""
    rows = {tuple(plain(row["keys"][side]["id"]) for side in by): row for row in told["results"]}
    assert len(rows) == len(told["results"])
    return {key: reckonable(row) for key, row in rows.items()}


def reckonable(row):
    told = {name: value for name, value in row.items() if name != "keys"}
    actives = {plain(each["id"]): {name: each[name] for name in ACTIVE} for each in row["active_ingredients"]}
    assert len(actives) == len(row["active_ingredients"])
    return told | {"active_ingredients": actives}


def added(rows):
    """Return each sum over rows; what is unknown in all of a row's lines adds nothing."""
    flat = [row | row["how_known"] for row in rows]
    return {name: sum(row[name] or 0 for row in flat) for name in SUMS}


@pytest.fixture
def group(cast, ground):
    return Used(cast, ground, seed=1).fill(160)


# -- against the raw rows ------------------------------------------------------------------------


def test_every_split_is_that_of_the_raw_rows_and_adds_up_to_the_total(cast, group):
    totals = reckonable(summary(cast, asked_for())["totals"])
    assert totals == Reckoned(()).totals()
    assert totals["lines"] > 100
    for by in WIDE:
        told = summary(cast, asked_for(by))

        assert keyed(told, by) == (Reckoned(by).rows() if by else {}), by
        assert reckonable(told["totals"]) == totals
        if by:
            assert added([*told["results"], told["shared"]]) == added([told["totals"]]), by
            assert json.loads(json.dumps(told)) == told


def test_active_ingredients_add_up_over_any_split(cast, group):
    for by in WIDE[1:]:
        told = summary(cast, asked_for(by))

        whole = {each["id"]: each for each in told["totals"]["active_ingredients"]}
        for id, total in whole.items():
            found = [each for row in told["results"] for each in row["active_ingredients"] if each["id"] == id]
            for name in ("product_nl", "ai_ug", "ai_unknown", "ae_ug", "ae_unknown"):
                assert sum(each[name] or 0 for each in found) == (total[name] or 0), (by, name)


def test_each_filter_leaves_what_it_says(cast, ground, group):
    """Each side is asked for by itself and with a second; what is left is reckoned anew."""
    dormant = next(row for row in summary(cast, asked_for(("season",)))["results"] if row["keys"]["season"]["id"])
    season = dormant["keys"]["season"]["id"]
    first_on, last_on = SEASONS["Dormant 2026/27"]
    ester = group.ester_of(ground.product)
    cases = [
        ({"property": group.far}, lambda line, p, a: line["property_id"] == plain(group.far)),
        ({"unit": ground.unit}, lambda line, p, a: line["unit_id"] == plain(ground.unit)),
        ({"species": ground.species}, lambda line, p, a: line["species_id"] == plain(ground.species)),
        ({"method": "cut_stump"}, lambda line, p, a: line["method"] == "cut_stump"),
        ({"season": season}, lambda line, p, a: first_on <= line["on_date"] <= last_on),
        ({"product": ground.product}, lambda line, p, a: p == plain(ground.product)),
        ({"product": group.products[2]}, lambda line, p, a: p == plain(group.products[2])),
        ({"active_ingredient": ester}, lambda line, p, a: a == plain(ester)),
        (
            {"active_ingredient": ester, "product": group.products[2], "property": group.far},
            lambda line, p, a: (
                (a, p, line["property_id"]) == (plain(ester), plain(group.products[2]), plain(group.far))
            ),
        ),
    ]
    for where, wanted in cases:
        for by in ((), ("unit",), ("product",), ("active_ingredient",), ("month", "active_ingredient", "product")):
            told = summary(cast, asked_for(by, where=_ids(where)))

            reckoned = Reckoned(by, wanted)
            assert reckonable(told["totals"]) == reckoned.totals(), (where, by)
            assert told["totals"]["lines"] > 5
            assert keyed(told, by) == (reckoned.rows() if by else {}), (where, by)


def _ids(where):
    return {side: value if side == "method" else UUID(str(value)) for side, value in where.items()}


def test_who_applied_is_who_the_session_says(cast, group):
    by = ("applicator",)

    told = summary(cast, asked_for(where={"applicator": cast.volunteer.member.id}))

    assert reckonable(told["totals"])["lines"] == Reckoned(by).rows()[(plain(cast.volunteer.member.id),)]["lines"]


def test_the_dates_include_both_ends(cast, group):
    days = {line["on_date"] for line in _lines()}
    for first_on, last_on in SEASONS.values():
        assert {first_on, last_on} <= days
        told = summary(cast, asked_for(first_on=date.fromisoformat(first_on), last_on=date.fromisoformat(last_on)))

        assert told["totals"]["lines"] == sum(first_on <= line["on_date"] <= last_on for line in _lines())


def _lines():
    return [line for line in raw("treatments_application") if line["voided_at"] is None]


# -- words and edges -----------------------------------------------------------------------------


def test_dates_outside_every_season_stand_last_under_a_null(cast, group):
    told = summary(cast, asked_for(("season",)))

    assert [row["keys"]["season"]["name"] for row in told["results"]] == [*SEASONS, OUTSIDE]
    assert told["results"][-1]["keys"]["season"]["id"] is None
    assert told["results"][-1]["lines"] > 0


def test_a_tank_mix_counts_its_mix_once(cast, ground, group):
    """A line of two products: two rows that share it, and once in the whole."""
    before = summary(cast, asked_for())["totals"]
    ground.line(ground.session(), group.batches[3], "10", stems=7)

    told = summary(cast, asked_for(("product",)))

    rows = {plain(row["keys"]["product"]["id"]): row for row in told["results"]}
    assert told["totals"]["mix_nl"] - before["mix_nl"] == 295_735_296  # 10 fl oz of 29,573,529.5625 nL
    assert told["totals"]["stems"] - before["stems"] == 7
    both = [rows[plain(id)]["shared"]["mix_nl"] for id in group.products[:2]]
    assert min(both) >= 295_735_296
    assert told["shared"]["mix_nl"] <= sum(row["shared"]["mix_nl"] for row in told["results"]) / 2


def test_what_no_record_states_is_unknown_and_never_nothing(cast, ground):
    ground.line(ground.session(), ground.batch(), "5")

    told = summary(cast, asked_for(("property",)))

    for sums in (told["totals"], told["results"][0]):
        assert (sums["stems"], sums["stems_unknown"]) == (None, 1)
        assert (sums["area_mm2"], sums["area_unknown"]) == (None, 1)
        assert sums["follow_up_unknown"] == 1


def test_an_acid_equivalent_that_the_label_does_not_state_is_unknown(cast, ground, group):
    told = summary(cast, asked_for(where=_ids({"product": group.products[1]})))

    [active] = told["totals"]["active_ingredients"]
    assert active["ae_ug"] is None
    assert active["ae_unknown"] == active["lines"] > 0
    assert (active["ai_ug"] > 0, active["ai_unknown"]) == (True, 0)


def test_a_group_without_records_has_sums_of_nothing(cast):
    for by in WIDE:
        told = summary(cast, asked_for(by))

        assert told["results"] == []
        assert added([told["totals"]]) == added([told["shared"]]) == dict.fromkeys(SUMS, 0)
        assert told["totals"]["active_ingredients"] == []


def test_an_id_that_names_nothing_finds_nothing(cast, group):
    for side in BY:
        if side not in ("month", "method"):
            told = summary(cast, asked_for(("unit", "product"), where={side: cast.stranger.group_id}))

            assert (told["results"], told["totals"]["lines"], told["totals"]["product_nl"]) == ([], 0, 0), side


def test_another_group_is_in_no_sum(cast, group):
    with snapshot():
        told = use_summary(cast.stranger.group_id, asked_for(("property",)), most=MANY)

    assert (told["results"], told["totals"]["lines"]) == ([], 0)


def test_it_names_the_number_of_the_book_and_what_is_held(cast, group):
    book = Book.objects.get(group_id=cast.group.id)

    told = summary(cast, asked_for())

    assert (told["head"], told["held"]) == (book.head, book.held)


def test_one_row_more_than_is_wanted_tells_that_there_are_more(cast, group):
    assert len(summary(cast, asked_for(("unit",)), most=2)["results"]) == 3
    assert len(summary(cast, asked_for(("unit",)), most=4)["results"]) == 4


# -- cost ----------------------------------------------------------------------------------------


def statements(cast, asked):
    with CaptureQueriesContext(connection) as seen, snapshot():
        use_summary(cast.group.id, asked, most=MANY)
    return sum(query["sql"].startswith("SELECT") for query in seen.captured_queries)


def test_the_same_statements_whatever_the_rows_and_at_most_nine_whatever_the_split(cast, ground):
    before = {by: statements(cast, asked_for(by)) for by in WIDE}

    Used(cast, ground, seed=2).fill(40)

    after = {by: statements(cast, asked_for(by)) for by in WIDE}
    assert after == before
    split = {by: bool({"product", "active_ingredient"} & set(by)) for by in WIDE if by}
    assert {by: after[by] for by in split} == {by: 9 if is_split else 8 for by, is_split in split.items()}
    assert after[()] == 5


def test_what_a_contractor_applied_stands_apart_from_what_members_did(cast, ground):
    batch, party = ground.batch(), cast.coordinator.does("contractor", "create", name="Bramble & Burr").record.id
    ground.line(ground.session(), batch, "5")
    ground.line(ground.session(applicator=None, contractor=party), batch, "7")

    rows = summary(cast, asked_for(("applicator",)))["results"]

    told = {row["keys"]["applicator"]["name"]: (row["keys"]["applicator"]["id"], row["lines"]) for row in rows}
    assert told == {"Maren Oduya": (str(cast.coordinator.member.id), 1), "a contractor, no member": (None, 1)}


def test_an_acre_that_was_treated_twice_is_one_acre_of_ground_and_two_of_treatment(cast, ground):
    session, batch = ground.session(), ground.batch()
    acre = {"value": "1", "unit": "acre"}
    for again in (False, True):
        ground.line(session, batch, "5", area=acre, is_follow_up=again)
    ground.line(session, batch, "5", area=None, is_follow_up=None)

    told = summary(cast, asked_for(()))["totals"]

    areas = [told[name] / 4_046_856_422 for name in ("area_mm2", "first_area_mm2", "follow_up_area_mm2")]
    assert [round(area, 6) for area in areas] == [2, 1, 1]
    assert (told["area_unknown"], told["follow_up_unknown"]) == (1, 1)


def test_two_products_of_one_active_ingredient_in_different_strength_give_different_totals(cast, ground):
    (ingredient,) = Product.objects.get(id=ground.product).ingredients
    strong = {"active_ingredient": ingredient["active_ingredient"], "ae": {"value": "8", "unit": "lb_gal"}}
    told = {"name": "triclopyr ester 8 lb a.e./gal", "formulation": "ester", "ingredients": [strong]}
    other = cast.coordinator.does("product", "create", **told).record.id
    session = ground.session()
    for product in (ground.product, other):
        batch = ground.batch(parts=[{"product": str(product), "volume": fl_oz("12.8")}])
        ground.line(session, batch, "40")

    rows = summary(cast, asked_for(("product",)))["results"]

    found = {row["keys"]["product"]["name"]: row["active_ingredients"][0] for row in rows}
    four_lb, eight_lb = found["triclopyr ester 4 lb a.e./gal"], found["triclopyr ester 8 lb a.e./gal"]
    assert four_lb["product_nl"] == eight_lb["product_nl"]
    assert [round(each["ae_ug"] / 453_592_370, 6) for each in (four_lb, eight_lb)] == [0.25, 0.5]
