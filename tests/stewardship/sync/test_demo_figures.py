"""The figures of the demo's season reports against a second reckoning and one set of totals, on either engine."""

import json
from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from django.conf import settings

from stewardship.catalog.models import ActiveIngredient, Product
from stewardship.places.models import Property
from stewardship.reports.figures import season_figures
from stewardship.reports.models import Season
from stewardship.sync.demo.story import GROUP_ID, id_of
from stewardship.treatments.queries.stock import stock
from tests import reckoning
from tests.demo import every_book_is_whole, loaded

__all__ = ["every_book_is_whole", "loaded"]
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("loaded")]

TOTALS = json.loads((Path(settings.BASE_DIR) / "fixtures" / "demo" / "totals.json").read_text())
"""What the reckoning gave when the demo was written: the same on every engine."""

PLACES = ("thimble-fork-woods", "marrow-hill", "quillback-bottoms")
SEASONS = ("growing-2025", "dormant-2025-26", "growing-2026")
REPORTS = [(place, season) for place in PLACES for season in SEASONS]


@pytest.fixture(params=REPORTS, ids="-".join)
def report(request):
    """Give a property and a season: what the product tells of them, and the span to reckon."""
    place, season = request.param
    land = Property.objects.get(id=id_of("property", place))
    time = Season.objects.get(id=id_of("season", season))
    span = reckoning.Span(land.id, time.first_on.isoformat(), time.last_on.isoformat())
    return season_figures(land, time), span


def keyed(told, keys, *values):
    """Return what was told as key -> values."""
    found = {tuple(row[key] for key in keys): tuple(row[value] for value in values) for row in told}
    assert len(found) == len(told)
    return found


SUBSTANCES = ("lines", "product_nl", "ai_ug", "ai_ug_unknown", "ae_ug", "ae_ug_unknown")
WORKED = (
    "lines", "follow_up", "follow_up_unknown", "units", "stems", "stems_unknown", "area_mm2", "area_mm2_unknown",
)  # fmt: skip


def test_products_are_what_the_batches_gave_up_to_the_nanolitre(report):
    figures, span = report

    told = keyed(figures["products"], ["product"], "lines", "product_nl")

    assert told == {(product,): amounts for product, amounts in reckoning.products(span).items()}


def test_active_ingredient_and_acid_are_what_the_labels_say_to_the_microgram(report):
    figures, span = report

    told = keyed(figures["active_ingredients"], ["active_ingredient"], *SUBSTANCES)

    assert told == reckoning.actives(span)


def test_use_by_species_and_method_is_shared_out_the_same_way(report):
    figures, span = report

    told = keyed(figures["use"], ["species", "method", "active_ingredient"], *SUBSTANCES)

    assert told == reckoning.actives(span, by=("species_id", "method"))


def test_treatments_count_lines_stems_area_and_mix(report):
    figures, span = report

    told = keyed(figures["treatments"], ["species", "method"], *WORKED, "mix_nl")

    assert told == reckoning.treatments(span)
    assert figures["applications"] == len(reckoning.used_in(span))
    assert figures["sessions"] == reckoning.sessions(span)


def test_work_by_hand_counts_lines_stems_area_and_minutes(report):
    figures, span = report

    told = keyed(figures["by_hand"], ["species", "method"], *WORKED, "minutes", "minutes_unknown")

    assert told == reckoning.by_hand(span)


def test_days_people_and_hours_are_those_of_the_roster(report):
    figures, span = report
    attendance = figures["attendance"]

    told = keyed(attendance["by_age_class"], ["age_class"], "people", "attendances", "known_s", "check_outs_unknown")

    assert told == {(age_class,): counted for age_class, counted in reckoning.people(span).items()}
    assert figures["work_days"] == reckoning.days(span)
    assert attendance["known_s"] == sum(counted[2] for counted in told.values())


OF_STOCK = {
    "2026-02-14-quillback-bottoms/a": "newer_lot_drawn",
    "2026-07-18-quillback-bottoms/a": "lot_overdrawn",
    "2026-11-14-thimble-fork-woods/a": "lot_past_shelf_life",
}
"""Batch -> what the files mean the stock to say of it."""


def test_how_amounts_are_known_what_is_marked_and_what_is_held_is_told(report):
    figures, span = report
    lines = [use.line for use in reckoning.used_in(span)]
    marks = Counter(code for line in lines for code in {mark["code"] for mark in line["marks"]})
    lapsed = {"credential_expired": 1} if marks["credential_expired"] else {}

    assert figures["how_known"] == Counter(line["how_known"] for line in lines)
    assert figures["marks"]["applications"] == marks
    assert figures["marks"]["sessions"] == lapsed
    used = {line["batch_id"] for line in lines}
    of_stock = Counter(code for key, code in OF_STOCK.items() if id_of("batch", key) in used)
    tank_mixes = {"not_marked_compatible": 1} if reckoning.tank_mixes(span) else {}
    assert figures["marks"]["batches"] == lapsed | tank_mixes | of_stock
    assert figures["held"] == 1


def test_both_engines_give_the_totals_that_are_written_down():
    assert totals() == TOTALS


def totals():
    """Return the main totals of every report, under names instead of ids."""
    product = {str(row.id): row.name for row in Product.objects.all()}
    active = {str(row.id): str(row) for row in ActiveIngredient.objects.all()}
    found = {}
    for place, season in REPORTS:
        dates = Season.objects.get(id=id_of("season", season))
        told = season_figures(Property.objects.get(id=id_of("property", place)), dates)
        found[f"{place}, {season}"] = {
            "known_s": told["attendance"]["known_s"],
            "applications": told["applications"],
            "minutes_by_hand": sum(row["minutes"] for row in told["by_hand"]),
            "mix_nl": sum(row["mix_nl"] for row in told["treatments"]),
            "product_nl": {product[row["product"]]: row["product_nl"] for row in told["products"]},
            "ai_ug": {active[row["active_ingredient"]]: row["ai_ug"] for row in told["active_ingredients"]},
            "ae_ug": {active[row["active_ingredient"]]: row["ae_ug"] for row in told["active_ingredients"]},
            "ae_unknown": sum(row["ae_ug_unknown"] for row in told["active_ingredients"]),
        }
    return found


def test_each_lot_holds_what_was_bought_moved_and_drawn_reckoned_again():
    told = {
        each.lot.id: (each.lot.left_nl, each.moved["not_counted"])
        for product in stock(GROUP_ID, date(2026, 11, 14))
        for each in product.lots
    }

    assert told == reckoning.stock()
    assert sum(beyond > 0 for _, beyond in told.values()) == 1
