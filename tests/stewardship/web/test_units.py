"""A unit's page: what it got year by year, against each stored ceiling, with the source."""

from tests.stewardship.treatments.limited import creek, limit, mapped
from tests.stewardship.web.pages import NOBODY, body

PNW = "Knotweed, PNW Weed Management Handbook (node 8533)"


def page(pages, someone=None):
    return body((someone or pages.cast.reviewer).signed_in().get(f"/units/{pages.ground.unit}/"))


def test_each_sum_stands_beside_its_ceiling_with_the_area_and_the_source(pages):
    ground = pages.ground
    mapped(ground)
    for high in ("10", "100"):
        limit(pages.coordinator, what="area_year_ceiling", high=high, unit="stems_acre", source=PNW)
    ground.line(ground.session(), ground.batch(), "10", stems=12)
    creek(ground, -88.05, property=ground.property)

    words = page(pages)

    assert "stems: 12;" in words
    assert "over a stored limit" in words
    assert "no stored limit exceeded; read the label" in words
    assert "Use is divided by the unit's 1.00 acre." in words
    assert PNW in words
    assert "2 fl oz of triclopyr ester 4 lb a.e./gal" in words
    assert "Heron Creek (water)" in words


def test_what_no_record_states_is_unknown_on_a_units_page_and_never_zero(pages):
    ground = pages.ground
    ground.line(ground.session(), ground.batch(), "10")

    words = page(pages)

    assert "stems: unknown (1)" in words
    assert "0 stems" not in words


def test_what_was_marked_on_a_line_stands_on_its_session_with_the_source(pages):
    ground = pages.ground
    limit(pages.coordinator, what="strength", high="15", unit="product_v_v", source="An invented handbook, page 3")
    session = ground.session()
    ground.line(session, ground.batch(), "10")

    words = body(pages.cast.volunteer.signed_in().get(f"/sessions/{session}/"))

    assert "at 20 % product by volume; a stored limit is at most 15 % product by volume" in words
    assert "Source: An invented handbook, page 3." in words


def test_a_unit_without_herbicide_says_so_and_one_that_is_none_is_not_found(pages):
    assert "No herbicide was recorded in this unit." in page(pages)
    assert pages.cast.reviewer.signed_in().get(f"/units/{NOBODY}/").status_code == 404
