"""The figures of a season, reckoned a second time from the raw rows: plain Python, no sums by the database."""

import json
import random
from collections import defaultdict
from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.journal.ids import new_id
from stewardship.places.models import Property
from stewardship.reports.figures import season_figures
from stewardship.reports.models import Season
from tests.cast import sent
from tests.ground import FL_OZ, fl_oz
from tests.stewardship.reports.reckoned import raw
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)

FIRST_ON, LAST_ON = date(2026, 11, 1), date(2027, 3, 31)
"""A dormant season, which crosses the year's end."""
METHODS = ("basal_bark", "cut_stump", "foliar")
BY_HAND = ("pulling", "girdling")


# -- a generated group ---------------------------------------------------------------------------


class Generated:
    """Two properties with units, species, products and some hundred records, some wrong, some unknown."""

    def __init__(self, cast, ground, seed):
        self.random, self.cast, self.ground = random.Random(seed), cast, ground
        leader = cast.coordinator
        self.far = leader.does("property", "create", name="Far Field").record.id
        units = [leader.does("unit", "create", property=self.far, name=name).record.id for name in ("East", "West")]
        self.units = {ground.property: [ground.unit, ground.other_unit], self.far: units}
        names = ("Elaeagnus umbellata", "Ailanthus altissima")
        more = [leader.does("species", "create", scientific_name=name).record.id for name in names]
        self.species = [ground.species, *more]
        self.people = [cast.coordinator, cast.volunteer, cast.other_volunteer]
        mixes = [{}, tank_mix(ground), tank_mix(ground)]
        self.batches = [ground.batch(mix=fl_oz("640"), **mix) for mix in mixes]

    def moment(self, spread=20):
        """Return a time within the season or just beside it, at any hour of the day."""
        edge = self.random.choice([FIRST_ON, LAST_ON, FIRST_ON + timedelta(days=70)])
        on = edge + timedelta(days=self.random.randint(-spread, spread))
        return f"{on}T{self.random.randint(0, 23):02}:{self.random.randint(0, 59):02}:00-06:00"

    def fill(self, count):
        """Record sessions, lines, work by hand and work days; void some of them."""
        sessions = [self._session() for _ in range(count // 4)]
        lines = [self._line(each) for each in self.random.choices(sessions, k=count)]
        by_hand = [self._by_hand() for _ in range(count // 2)]
        self._push(sessions + lines + by_hand)
        self._push([sent(m.type, "void", {}, id=m.set["id"], reason="twice") for m in (*lines[::9], *by_hand[::7])])
        for i in range(6):
            self._day(("stop", "finish", "cancel", None)[i % 4])

    def _push(self, mutations):
        taken = self.cast.coordinator.pushes(*mutations)
        assert {result["outcome"] for result in taken.results} == {"applied"}

    def _session(self):
        unit = self.random.choice(self.units[self.random.choice([self.ground.property, self.far])])
        who = str(self.random.choice(self.people).member.id)
        told = {"id": str(new_id()), "unit": str(unit), "applicator": who, "started_at": self.moment()}
        return sent("session", "create", told)

    def _worked(self):
        some = self.random.random
        return {
            "id": str(new_id()),
            "species": str(self.random.choice(self.species)),
            "stems": self.random.randint(1, 90) if some() < 0.7 else None,
            "area": {"value": f"{self.random.randint(1, 400)}", "unit": "sq_ft"} if some() < 0.5 else None,
            "is_follow_up": self.random.choice([True, False, None]),
        }

    def _line(self, session):
        here = next(units for units in self.units.values() if session.set["unit"] in map(str, units))
        told = {
            "session": session.set["id"],
            "batch": str(self.random.choice(self.batches)),
            "method": self.random.choice(METHODS),
            "unit": str(self.random.choice(here)),
            "mix": fl_oz(f"{self.random.uniform(0.1, 6):.1f}"),
            "how_known": self.random.choice(["measured", "estimated", "apportioned"]),
        }
        return sent("application", "create", told | self._worked())

    def _by_hand(self):
        told = {
            "unit": str(self.random.choice(sum(self.units.values(), []))),
            "method": self.random.choice(BY_HAND),
            "done_at": self.moment(),
            "minutes": self.random.choice([None, 30, 90]),
        }
        return sent("work_line", "create", told | self._worked())

    def _day(self, end):
        place = self.random.choice([self.ground.property, self.ground.property, self.far])
        starts = datetime.fromisoformat(self.moment(spread=2)).replace(hour=9)
        told = {"property": place, "title": "Work day", "on_date": str(starts.date())}
        leader = self.cast.coordinator
        id = leader.does("work_day", "create", **told).record.id
        leader.does("work_day", "open", id=id)
        if end == "cancel":
            leader.does("work_day", "cancel", id=id, reason="ice")
            return
        leader.does("work_day", "confirm", id=id)
        for person in self.random.sample(self.people, 2):
            self._comes(person, id, starts)
        if end == "stop":
            leader.does("work_day", "stop", id=id, stopped_at=f"{starts + timedelta(hours=4)}", reason="rain")
        elif end == "finish":
            leader.does("work_day", "finish", id=id)

    def _comes(self, person, day, starts):
        out = starts + timedelta(minutes=self.random.randint(20, 200))
        known = {"out_at": out.isoformat(), "how_known": "measured"} if self.random.random() < 0.7 else {}
        age = self.random.choice(["adult", "youth"])
        person.does("attendance", "create", work_day=day, in_at=starts.isoformat(), age_class=age, **known)


@pytest.fixture
def dormant(coordinator):
    told = {"name": "Dormant 2026/27", "first_on": str(FIRST_ON), "last_on": str(LAST_ON)}
    return coordinator.does("season", "create", **told).record


# -- reckoned again ------------------------------------------------------------------------------


def key(id):
    """Return an id as SQLite keeps it."""
    return str(id).replace("-", "")


def read(value):
    return json.loads(value) if isinstance(value, str) else value


def in_season(rows, place):
    return [
        row
        for row in rows
        if row["property_id"] == key(place)
        and str(FIRST_ON) <= row["on_date"] <= str(LAST_ON)
        and row.get("voided_at") is None
    ]


def known(values):
    """Return the sum of what is stated and how many do not state it."""
    values = list(values)
    return sum(value for value in values if value is not None), sum(value is None for value in values)


def worked(lines):
    return {
        "lines": len(lines),
        "follow_up": sum(bool(line["is_follow_up"]) for line in lines),
        "follow_up_unknown": sum(line["is_follow_up"] is None for line in lines),
        "units": len({line["unit_id"] for line in lines}),
        **dict(zip(("stems", "stems_unknown"), known(line["stems"] for line in lines), strict=True)),
        **dict(zip(("area_mm2", "area_mm2_unknown"), known(line["area_mm2"] for line in lines), strict=True)),
    }


def grouped(items, by):
    found = defaultdict(list)
    for item in items:
        found[by(item)].append(item)
    return found


def actives(lines):
    """Return (line, product's nL, active's id, a.i., a.e.) for every active of every product of these lines."""
    return [
        (line, part["nl"], key(active["active_ingredient"]), active["ai_ug"], active["ae_ug"])
        for line in lines
        for part in read(line["products"])
        for active in part["actives"]
    ]


def summed(found):
    return {
        "lines": len({line["id"] for line, *_ in found}),
        "product_nl": sum(nl for _, nl, *_ in found),
        **dict(zip(("ai_ug", "ai_ug_unknown"), known(ai for *_, ai, _ in found), strict=True)),
        **dict(zip(("ae_ug", "ae_ug_unknown"), known(ae for *_, ae in found), strict=True)),
    }


def only(row, *names):
    return {name: row[name] for name in names}


USE = ("lines", "product_nl", "ai_ug", "ai_ug_unknown", "ae_ug", "ae_ug_unknown")
WORKED = (
    "lines", "follow_up", "follow_up_unknown", "units", "stems", "stems_unknown", "area_mm2", "area_mm2_unknown",
)  # fmt: skip


@pytest.mark.parametrize("seed", [1, 2])
def test_the_figures_are_those_of_the_raw_rows(cast, ground, dormant, seed):
    group = Generated(cast, ground, seed)
    group.fill(160)

    for place in (ground.property, group.far):
        figures = season_figures(Property.objects.get(id=place), dormant)

        lines = in_season(raw("treatments_application"), place)
        assert len(lines) > 20
        check_use(figures, lines)
        check_work(figures, lines, in_season(raw("treatments_workline"), place))
        check_sessions(figures, in_season(raw("treatments_session"), place))
        check_people(figures, place)
        assert json.loads(json.dumps(figures)) == figures


def check_use(figures, lines):
    told = {key(row["active_ingredient"]): only(row, *USE) for row in figures["active_ingredients"]}
    assert told == {active: summed(found) for active, found in grouped(actives(lines), lambda row: row[2]).items()}
    assert any(row["ae_ug_unknown"] for row in told.values())

    told = {
        (key(row["species"]), row["method"], key(row["active_ingredient"])): only(row, *USE) for row in figures["use"]
    }
    by = grouped(actives(lines), lambda row: (row[0]["species_id"], row[0]["method"], row[2]))
    assert told == {place: summed(found) for place, found in by.items()}

    parts = grouped((part for line in lines for part in read(line["products"])), lambda part: key(part["product"]))
    told = {key(row["product"]): (row["lines"], row["product_nl"]) for row in figures["products"]}
    assert told == {product: (len(found), sum(part["nl"] for part in found)) for product, found in parts.items()}


def check_work(figures, lines, by_hand):
    by = grouped(lines, lambda line: (line["species_id"], line["method"]))
    told = {(key(row["species"]), row["method"]): only(row, *WORKED, "mix_nl") for row in figures["treatments"]}
    assert told == {at: worked(found) | {"mix_nl": sum(x["mix_nl"] for x in found)} for at, found in by.items()}

    by = grouped(by_hand, lambda line: (line["species_id"], line["method"]))
    told = {(key(row["species"]), row["method"]): only(row, *WORKED) for row in figures["by_hand"]}
    assert told == {at: worked(found) for at, found in by.items()}
    hand = figures["worked_by_hand"]
    assert (hand["minutes"], hand["minutes_unknown"]) == known(line["minutes"] for line in by_hand)

    assert figures["applications"] == len(lines)
    assert only(figures["treated"], *WORKED[1:]) == {k: v for k, v in worked(lines).items() if k != "lines"}
    assert figures["treated"]["mix_nl"] == sum(line["mix_nl"] for line in lines)
    assert figures["how_known"] == {
        how: len(found) for how, found in sorted(grouped(lines, lambda line: line["how_known"]).items())
    }
    assert figures["marks"]["applications"] == {"credential_missing": len(lines)}
    assert figures["marks"]["batches"]["credential_missing"] == len({line["batch_id"] for line in lines})
    assert figures["marks"]["work_lines"] == {}


def check_sessions(figures, sessions):
    assert figures["sessions"] == figures["marks"]["sessions"]["credential_missing"] == len(sessions)
    assert figures["applicators"] == len({session["applicator_id"] for session in sessions})
    assert figures["contractors"] == 0


def check_people(figures, place):
    days = {day["id"]: day for day in raw("workdays_workday")}
    here = in_season(days.values(), place)
    assert figures["work_days"] == {state: len(found) for state, found in grouped(here, lambda d: d["state"]).items()}
    came = in_season(
        [row | {"property_id": days[row["work_day_id"]]["property_id"]} for row in raw("workdays_attendance")], place
    )
    hours = figures["attendance"]
    assert hours["people"] == len({row["member_id"] for row in came})
    assert hours["check_outs_unknown"] == sum(row["out_at"] is None for row in came)
    assert hours["known_s"] == sum(seconds(row) for row in came if row["out_at"])


def seconds(row):
    out, in_ = (datetime.fromisoformat(row[name]) for name in ("out_at", "in_at"))
    return int((out - in_).total_seconds())


# -- the edges -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("started_at", "counts"),
    [
        ("2026-10-31T23:50:00-05:00", 0),
        ("2026-11-01T00:10:00-05:00", 1),  # the day on which winter time begins
        ("2027-03-31T23:50:00-05:00", 1),
        ("2027-04-01T00:10:00-05:00", 0),
    ],
)
def test_the_first_and_last_local_day_belong_to_the_season(ground, dormant, started_at, counts):
    session = ground.session(started_at=started_at)
    ground.line(session, ground.batch(), "5")
    ground.coordinator.does(
        "work_line", "create", unit=ground.unit, species=ground.species, method="pulling", done_at=started_at
    )

    figures = season_figures(Property.objects.get(id=ground.property), dormant)

    assert (figures["sessions"], figures["applications"], len(figures["by_hand"])) == (counts, counts, counts)


def test_a_property_without_records_has_figures_of_nothing(ground, dormant):
    figures = season_figures(Property.objects.get(id=ground.property), dormant)

    assert figures["treated"] == {
        "follow_up": 0, "follow_up_unknown": 0, "units": 0, "stems": 0, "stems_unknown": 0, "area_mm2": 0,
        "area_mm2_unknown": 0, "mix_nl": 0,
    }  # fmt: skip
    assert (figures["products"], figures["use"], figures["work_days"], figures["sessions"]) == ([], [], {}, 0)


def test_the_same_statements_whatever_the_rows(cast, ground, dormant):
    place = Property.objects.get(id=ground.property)

    def statements():
        with CaptureQueriesContext(connection) as seen:
            season_figures(place, Season.objects.get(id=dormant.id))
        return len(seen)

    none = statements()
    Generated(cast, ground, 3).fill(40)

    assert statements() == none <= 26


# -- what does not balance, and what nobody knows ------------------------------------------------


def figures_of(ground, season):
    return season_figures(Property.objects.get(id=ground.property), Season.objects.get(id=season))


def leftover(by, ounces, **values):
    told = {"volume": fl_oz(ounces), "how_known": "measured", "measured_at": "2027-05-01T12:00:00-05:00"}
    return by.does("leftover", "create", **told | values).record


def test_a_batch_that_does_not_balance_is_told_with_by_how_much_until_it_does(ground, season):
    batch, session = ground.batch(), ground.session()
    ground.line(session, batch, "40")
    twice = ground.line(session, batch, "10")
    leftover(ground.coordinator, "24", batch=batch)

    balances = figures_of(ground, season)["balances"]

    (off,) = balances["do_not_balance"]
    assert (balances["count"], balances["not_measured"]) == (1, 0)
    assert (off["batch"], off["on_date"], off["unit"]) == (str(batch), "2027-05-01", "fl_oz")
    assert abs(off["by_nl"] + 10 * FL_OZ) <= 5

    ground.coordinator.does("application", "void", id=twice.id, reason="in the other's total")
    assert figures_of(ground, season)["balances"] == {"count": 1, "do_not_balance": [], "not_measured": 0}


def test_what_a_batch_gave_to_another_property_is_in_its_balance(ground, season, coordinator):
    place = coordinator.does("property", "create", name="Far Field").record.id
    unit = coordinator.does("unit", "create", property=place, name="East").record.id
    batch = ground.batch()
    ground.line(ground.session(), batch, "25")
    ground.line(ground.session(unit=unit), batch, "39")

    assert figures_of(ground, season)["balances"] == {"count": 1, "do_not_balance": [], "not_measured": 0}


def test_a_batch_that_nobody_measured_is_counted_apart(ground, season):
    ground.line(ground.session(), ground.batch(), "40")

    assert figures_of(ground, season)["balances"] == {"count": 1, "do_not_balance": [], "not_measured": 1}


def test_a_container_of_unknown_contents_is_counted_once_and_never_as_nothing(ground, season):
    here = {"property": ground.property, "how_known": "estimated"}
    bottle = leftover(ground.coordinator, "20", **here)
    leftover(ground.coordinator, "8", **here, measured_at="2028-05-01T12:00:00-05:00")
    leftover(ground.coordinator, "8", how_known="estimated")
    assert figures_of(ground, season)["unknown_containers"] == {
        "count": 1,
        "volume_nl": bottle.volume_nl,
        "disposed": 0,
    }

    told = {"what": "disposal", "leftover": bottle.id, "volume": fl_oz("20"), "manner": "hazardous waste day"}
    told |= {"by": ground.coordinator.member.id, "happened_at": "2027-05-02T12:00:00-05:00", "receipt_no": "HW-118"}
    ground.coordinator.does("stock_movement", "create", **told)

    assert figures_of(ground, season)["unknown_containers"]["disposed"] == 1
