"""Words for codes, and numbers for the eye."""

import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

import stewardship
from stewardship.catalog.strengths import UNITS_SHOWN
from stewardship.credentials.lacks import MARKS
from stewardship.rules.methods import METHODS
from stewardship.rules.units import Dimension, units_of
from stewardship.sync.verbs import VERBS
from stewardship.treatments.models import HowKnown
from stewardship.treatments.queries.stock import MOVED
from stewardship.treatments.services.facts import DAY_MARKS
from stewardship.treatments.services.lawful import OF_PLACES, OF_UNITS
from stewardship.treatments.services.licences import CODES as OF_LICENCES
from stewardship.treatments.services.limits import FIELDS
from stewardship.treatments.services.screening import CODES
from stewardship.treatments.services.supervision import TOO_MANY
from stewardship.web import words
from stewardship.web.templatetags.words import known_count, reached
from stewardship.workdays.models import AgeClass
from stewardship.workdays.states import State

CHICAGO = ZoneInfo("America/Chicago")
SOURCES = Path(stewardship.__file__).parent


@pytest.mark.parametrize(
    ("of", "codes"),
    [
        ("method", METHODS),
        ("how_known", HowKnown.values),
        ("state", State.values),
        ("age_class", AgeClass.values),
        ("unit", units_of(Dimension.VOLUME) + units_of(Dimension.MASS) + units_of(Dimension.AREA)),
        ("carrier", ("water", "oil", "none")),
        ("signal_word", ("none", "caution", "warning", "danger", "danger_poison")),
        ("basis", list(UNITS_SHOWN)),
        ("mark", [code for code, _ in (*MARKS.values(), *DAY_MARKS.values())]),
        ("mark", [*FIELDS, *CODES, *OF_PLACES, *OF_UNITS]),
        ("mark", [*OF_LICENCES, TOO_MANY, "credential_wrong_land", "credential_needs_lapsed"]),
        ("stock", ("draw", *MOVED)),
    ],
)
def test_every_code_that_a_page_can_meet_has_words(of, codes):
    assert set(codes) <= words.KNOWN[of].keys()


def test_every_mark_that_is_made_by_its_name_has_words():
    texts = (path.read_text() for path in SOURCES.rglob("*.py"))
    made = {code for text in texts for code in re.findall(r"\b[mM]ark\(\s*\"([a-z_]+)\"", text)}

    assert len(made) > 10
    assert made <= words.MARKS.keys()


def test_a_code_that_has_no_words_yet_is_shown_with_spaces():
    assert words.word("some_new_mark", "mark") == "some new mark"


def test_an_amount_that_no_record_states_is_unknown_and_nothing_is_nothing():
    assert words.amount(None, "fl_oz") == "unknown"
    assert words.amount(0, "fl_oz") == "0 fl oz"


def test_times_are_told_by_the_clock_of_the_place():
    at = datetime(2027, 3, 14, 8, 30, tzinfo=UTC)  # half an hour into summer time in Chicago

    assert words.clock(at, CHICAGO) == "03:30"
    assert words.moment(at, CHICAGO) == "Sun 14 Mar 2027, 03:30"
    assert words.day(date(2027, 5, 1)) == "Sat 1 May 2027"


@pytest.mark.parametrize(
    ("span", "told"),
    [
        (timedelta(minutes=210), "3.5 h"),
        (timedelta(minutes=3), "0.0 h"),
        (timedelta(minutes=9), "0.2 h"),
        (5400, "1.5 h"),
    ],
    ids=str,
)
def test_lengths_of_time_are_told_in_tenths_of_an_hour_half_to_even(span, told):
    assert words.hours(span) == told


@pytest.mark.parametrize("told", ["555-0142", "+1 (217) 555 0142", "911"])
def test_a_number_alone_is_called_by_a_tap(told):
    called = reached(told)

    assert called == f'<a class="call" href="tel:{told.replace(" ", "")}">{told}</a>'


@pytest.mark.parametrize("told", ["", "Radio, channel 4", "555-0142 or at the gate", "12"])
def test_what_is_more_than_a_number_is_told_as_it_stands(told):
    assert reached(told) == told


def test_what_is_counted_stands_beside_its_number_and_what_is_unknown_after_both():
    told = known_count({"stems": 129, "stems_unknown": 4}, "stems", "stems")

    assert told == '129 stems <span class="warn">(4 unknown)</span>'


def test_every_entry_about_a_session_has_its_word():
    ops = {op for type, op in VERBS if type == "session"}

    assert ops <= set(words.ENTRIES)
