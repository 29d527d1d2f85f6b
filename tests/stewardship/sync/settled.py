"""What tests of settling have in common: entries that are held, and what is read of them."""

from stewardship.journal.models import Book
from stewardship.sync.models import ToSettle
from tests.cast import sent
from tests.ground import fl_oz

WHY = {"reason": "he telephoned"}


def new_property(name, **more):
    return sent("property", "create", {"name": name, **more.pop("set", {})}, **more)


def unit_in(property_id, name="North", **more):
    return sent("unit", "create", {"name": name, "property": str(property_id), **more.pop("set", {})}, **more)


def item_of(result):
    return ToSettle.objects.get(id=result["to_settle"])


def waiting(someone):
    return Book.objects.get(group_id=someone.group_id).held


def codes(taken):
    return [result.get("code") or result["outcome"] for result in taken.results]


def line_on(ground, session, ounces, **more):
    told = {"session": str(session), "species": str(ground.species), "method": "basal_bark", "how_known": "measured"}
    return sent("application", "create", told | {"mix": fl_oz(ounces)} | more)
