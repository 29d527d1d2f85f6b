"""Use reckoned a second time from the raw rows: plain Python, no sums by the database, no projections."""

import json
from collections import defaultdict
from datetime import date
from itertools import product
from uuid import UUID

from django.db import connection

HOW = ("measured", "read_off_container", "estimated", "apportioned")
LINE_COLUMNS = {"property": "property_id", "unit": "unit_id", "species": "species_id", "method": "method"}
ACTIVE = ("lines", "product_nl", "dry_product_ug", "ai_ug", "ai_unknown", "ae_ug", "ae_unknown")


def raw(table):
    """Return every row of a table, with ids and dates as text on either engine."""
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT * FROM "{table}"')
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, map(_text, row), strict=True)) for row in cursor.fetchall()]


def _text(value):
    if isinstance(value, UUID):
        return plain(value)
    return value.isoformat() if isinstance(value, date) else value


def plain(id):
    """Return an id as SQLite keeps it; a month or a method as it is."""
    text = str(id)
    return text.replace("-", "") if len(text) == 36 else text


def parts_of(line):
    told = line["products"]
    return json.loads(told) if isinstance(told, str) else told


class Reckoned:
    """The rows of a question: for each key its own figures, those it shares, and its active ingredients."""

    def __init__(self, by, wanted=lambda line, product, active: True):
        self.by = by
        self.seasons = raw("reports_season")
        self.sessions = {row["id"]: row for row in raw("treatments_session")}
        self.found = defaultdict(lambda: {"own": [], "shared": [], "own_parts": [], "shared_parts": [], "actives": []})
        self.all = {"own": [], "shared": [], "own_parts": [], "shared_parts": [], "actives": []}
        for line in raw("treatments_application"):
            if line["voided_at"] is None:
                self._add(line, wanted)

    def _add(self, line, wanted):
        uses = [
            (part, active)
            for part in parts_of(line)
            for active in part["actives"]
            if wanted(line, plain(part["product"]), plain(active["active_ingredient"]))
        ]
        if not uses:
            return
        keys = {self.key(line, *use) for use in uses}
        self.all["own"].append(line)
        for key in keys:
            self.found[key]["own" if len(keys) == 1 else "shared"].append(line)
        for part in {id(part): part for part, _ in uses}.values():
            self._add_part(line, part, [active for of, active in uses if of is part])

    def _add_part(self, line, part, actives):
        keys = {self.key(line, part, active) for active in actives}
        self.all["own_parts"].append(part)
        for key in keys:
            self.found[key]["own_parts" if len(keys) == 1 else "shared_parts"].append(part)
        for active in actives:
            use = (line["id"], part, active)
            self.found[self.key(line, part, active)]["actives"].append(use)
            self.all["actives"].append(use)

    def key(self, line, part, active):
        """Return the key of one active ingredient of one product of a line."""
        sides = {
            **{side: line[column] for side, column in LINE_COLUMNS.items()},
            "applicator": self.sessions[line["session_id"]]["applicator_id"],
            "month": line["on_date"][:7],
            "season": next((s["id"] for s in self.seasons if s["first_on"] <= line["on_date"] <= s["last_on"]), "None"),
            "product": plain(part["product"]),
            "active_ingredient": plain(active["active_ingredient"]),
        }
        return tuple(sides[side] for side in self.by)

    def rows(self):
        return {key: self.told(found) for key, found in self.found.items()}

    def totals(self):
        told = self.told(self.all)
        del told["shared"]
        return told

    def told(self, found):
        lines = found["own"] + found["shared"]
        return {
            **sums(found["own"], found["own_parts"]),
            "shared": sums(found["shared"], found["shared_parts"]),
            "sessions": len({line["session_id"] for line in lines}),
            "active_ingredients": actives_of(found["actives"]),
        }


def known(values):
    """Return the sum of what is stated, None where nothing of something is, and how many do not state it."""
    values = list(values)
    stated = [value for value in values if value is not None]
    return (sum(stated) if stated or not values else None), len(values) - len(stated)


def amounts(parts):
    """Return the liquid product [nL] and the dry product [µg] in these."""
    return sum(part.get("nl", 0) for part in parts), sum(part.get("ug", 0) for part in parts)


def sums(lines, parts):
    product_nl, dry_product_ug = amounts(parts)
    stems, stems_unknown = known(line["stems"] for line in lines)
    area, area_unknown = known(line["area_mm2"] for line in lines)
    follow_ups = [None if line["is_follow_up"] is None else bool(line["is_follow_up"]) for line in lines]
    return {
        "lines": len(lines),
        "product_nl": product_nl,
        "dry_product_ug": dry_product_ug,
        "mix_nl": sum(line["mix_nl"] for line in lines),
        "stems": stems,
        "stems_unknown": stems_unknown,
        "area_mm2": area,
        "area_unknown": area_unknown,
        "first_area_mm2": _area(lines, follow_ups, False),
        "follow_up_area_mm2": _area(lines, follow_ups, True),
        "first_treatments": follow_ups.count(False),
        "follow_ups": follow_ups.count(True),
        "follow_up_unknown": follow_ups.count(None),
        "how_known": {how: sum(line["how_known"] == how for line in lines) for how in HOW},
    }


def _area(lines, follow_ups, again):
    """Return the area of the lines that were first treatments, or follow-ups."""
    return sum(line["area_mm2"] or 0 for line, told in zip(lines, follow_ups, strict=True) if told is again)


def actives_of(uses):
    by_active = defaultdict(list)
    for line, part, active in uses:
        by_active[plain(active["active_ingredient"])].append((line, part, active))
    return {id: _active(found) for id, found in by_active.items()}


def _active(found):
    ai, ai_unknown = known(active["ai_ug"] for *_, active in found)
    ae, ae_unknown = known(active["ae_ug"] for *_, active in found)
    told = (len({line for line, *_ in found}), *amounts([part for _, part, _ in found]), ai, ai_unknown, ae, ae_unknown)
    return dict(zip(ACTIVE, told, strict=True))


def pairs():
    """Return every pair of sides, in one order."""
    sides = (*LINE_COLUMNS, "applicator", "month", "season", "product", "active_ingredient")
    return [pair for pair in product(sides, sides) if pair[0] < pair[1]]
