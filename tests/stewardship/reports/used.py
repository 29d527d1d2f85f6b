"""A generated group that used four products on two properties: alone, in tank mixes, with unknowns and mistakes."""

import random
from datetime import date, timedelta

from stewardship.catalog.models import Product
from stewardship.journal.ids import new_id
from tests.cast import sent
from tests.ground import fl_oz

SEASONS = {"Dormant 2026/27": ("2026-11-01", "2027-03-31"), "Growing 2027": ("2027-05-01", "2027-08-31")}
"""April belongs to neither."""
EDGES = [date.fromisoformat(day) for days in SEASONS.values() for day in days]


class Used:
    """Lines at and about the edges of two seasons; a ninth of them is voided, a seventh restated."""

    def __init__(self, cast, ground, seed):
        self.random, self.cast, self.ground = random.Random(seed), cast, ground
        self.leader = cast.coordinator
        self.far = self._made("property", name="Far Field")
        far = [self._made("unit", property=self.far, name=name) for name in ("East", "West")]
        self.units = {ground.property: [ground.unit, ground.other_unit], self.far: far}
        self.species = [ground.species, self._made("species", scientific_name="Ailanthus altissima")]
        for name, (first_on, last_on) in SEASONS.items():
            self._made("season", name=name, first_on=first_on, last_on=last_on)
        self._mix()

    def _made(self, kind, **values):
        return self.leader.does(kind, "create", **values).record.id

    def _mix(self):
        """Enter three more products, one of two active ingredients and one with an active of the first; mix them."""
        held = self.ester_of(self.ground.product)
        salt = str(self._made("active_ingredient", name="imazapyr", form="isopropylamine salt"))
        two_lb, one_lb = ({"value": value, "unit": "lb_gal"} for value in "21")
        self.products = [self.ground.product] + [
            self._made("product", name=name, formulation="salt", ingredients=ingredients)
            for name, ingredients in (
                ("imazapyr 2 lb a.i./gal", [{"active_ingredient": salt, "ai": two_lb}]),
                ("two in one", [{"active_ingredient": held, "ae": one_lb}, {"active_ingredient": salt}]),
                ("triclopyr ester 1 lb a.e./gal", [{"active_ingredient": held, "ae": one_lb}]),
            )
        ]
        mixes = ([0], [1], [2], [0, 1], [0, 3], [1, 2], [0, 1, 2, 3])
        self.batches = [self._batch([self.products[place] for place in mix]) for mix in mixes]

    def ester_of(self, product):
        return Product.objects.get(id=product).ingredients[0]["active_ingredient"]

    def _batch(self, products):
        parts = [{"product": str(id), "volume": fl_oz(f"{7 + place}.3")} for place, id in enumerate(products)]
        return str(self.ground.batch(mix=fl_oz("640"), parts=parts))

    def fill(self, count):
        """Push sessions and lines, then corrections of some."""
        sessions = [self._session() for _ in range(count // 4)]
        lines = [self._line(each) for each in self.random.choices(sessions, k=count)]
        self._push(sessions + lines)
        self._push([sent("application", "void", {}, id=line.set["id"], reason="twice") for line in lines[::9]])
        more = {"mix": fl_oz("1.7"), "reason": "misread"}
        self._push([sent("application", "amend", dict(more), id=line.set["id"]) for line in lines[1::7]
                    if line not in lines[::9]])  # fmt: skip
        return self

    def _push(self, mutations):
        taken = self.leader.pushes(*mutations)
        assert {result["outcome"] for result in taken.results} == {"applied"}

    def _session(self):
        on = self.random.choice(EDGES) + timedelta(days=self.random.randint(-1, 1))
        unit = self.random.choice(self.units[self.random.choice(list(self.units))])
        people = (self.cast.coordinator, self.cast.volunteer, self.cast.other_volunteer)
        hour = f"{self.random.choice([0, 9, 23]):02}:30"  # midnight is near for some
        return sent("session", "create", {
            "id": str(new_id()), "unit": str(unit), "applicator": str(self.random.choice(people).member.id),
            "started_at": f"{on}T{hour}:00-{6 if date(2026, 11, 1) <= on < date(2027, 3, 14) else 5:02}:00",
        })  # fmt: skip

    def _line(self, session):
        here = next(units for units in self.units.values() if session.set["unit"] in map(str, units))
        some = self.random.random
        return sent("application", "create", {
            "id": str(new_id()), "session": session.set["id"], "batch": self.random.choice(self.batches),
            "unit": str(self.random.choice(here)), "species": str(self.random.choice(self.species)),
            "method": self.random.choice(["basal_bark", "cut_stump"]),
            "mix": fl_oz(f"{self.random.uniform(0.1, 6):.1f}"),
            "how_known": self.random.choice(["measured", "estimated", "apportioned"]),
            "stems": self.random.randint(1, 90) if some() < 0.6 else None,
            "area": {"value": f"{self.random.randint(1, 400)}", "unit": "sq_ft"} if some() < 0.3 else None,
            "is_follow_up": self.random.choice([True, False, None]),
        })  # fmt: skip
