"""Stock: lots of product, what came, went, was lost or was counted, and what that leaves."""

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.utils import timezone
from rest_framework.response import Response

from api import answers, components, filtering
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, Schema, a_list, an_object, in_query, or_null, ref
from api.permissions import GroupEndpoint, read_id
from api.problems import InvalidRequest
from api.records import GroupRecords
from api.treatments import FactFilters
from stewardship.errors import Unavailable
from stewardship.journal import contents
from stewardship.journal.models import Book
from stewardship.journal.snapshots import snapshot
from stewardship.rules.dates import local_date
from stewardship.rules.measures import MEASURE
from stewardship.treatments.models import Lot, StockMovement
from stewardship.treatments.queries.stock import MOVED, Line, LotInStock, ProductInStock, ledger, stock

MOST_LOTS = 2_000
_DAY: Schema = {"type": "string", "format": "date"}
_FLAG: Schema = {"type": "boolean"}


class LotFilters(filtering.Filters):
    """By product, by store, by last day of use, by whether something is left and by whether it was voided."""

    product = filtering.Id(field_name="product_id")
    store = filtering.Text()
    expires_before = filtering.Day(field_name="expires_on", lookup_expr="lt")
    empty = filtering.Flag(method="is_empty")
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)

    def is_empty(self, rows: Any, name: str, value: bool) -> Any:
        """Leave the lots of which nothing is left, or those of which something is."""
        nothing = Q(left_nl=0) | Q(left_ug=0)
        return rows.filter(nothing) if value else rows.exclude(nothing)


class MovementFilters(FactFilters):
    """By what happened, by lot, by leftover, and by the batch that it took from or whose draw it makes up for too."""

    what = filtering.Choice(words=StockMovement.What.values)
    lot = filtering.Id(field_name="lot_id")
    to_lot = filtering.Id(field_name="to_lot_id")
    batch = filtering.Id(field_name="batch_id")
    leftover = filtering.Id(field_name="leftover_id")


class Lots(GroupRecords):
    """What was bought of a product, and what is left of it by the book."""

    at = "lots"
    model = Lot
    filterset_class = LotFilters


class StockMovements(GroupRecords):
    """What came, went, was lost or was counted, except what was mixed: that a batch says itself."""

    at = "stock-movements"
    model = StockMovement
    filterset_class = MovementFilters


# -- what is in stock ------------------------------------------------------------------------------


class TooManyLots(InvalidRequest):
    """The answer would be longer than anybody reads."""

    code = "too_many_lots"
    message = f"That makes more than {MOST_LOTS} lots: ask for one product."
    where = "product"


def _sum(text: str) -> Schema:
    return INTEGER | {"description": f"{text} [nL, of a dry product µg]; beside it the same in the group's unit."}


def _measured(sums: dict[str, Schema]) -> dict[str, Schema]:
    """Return the schema of sums in the product's own measure: ``…_nl`` of a liquid, ``…_ug`` of a dry product."""
    told = {f"{name}_{base}": schema for name, schema in sums.items() for base in MEASURE}
    return told | dict.fromkeys(sums, components.SHOWN)


_MOVED = an_object({}, _measured(dict.fromkeys(MOVED, INTEGER))) | {
    "description": "What moved it [nL, of a dry product µg], with its sign, by what; a transfer within the group comes "
    "in and goes out. ``not_counted`` makes up for what was taken beyond the book, until somebody counts."
}
_SUMS = _measured(
    {
        "received": _sum("Product received"),
        "drawn": _sum("Product that batches drew"),
        "left": _sum("Product left by the book: received + moved - drawn"),
    }
)
_LOT = an_object(
    {
        "lot": ID, "purchased_on": or_null(_DAY), "age_days": or_null(INTEGER), "expires_on": or_null(_DAY),
        "container": TEXT, "store": TEXT, "lot_number": TEXT, "label_version": TEXT,
        "cost_cents": or_null(INTEGER), "currency": or_null(TEXT), "counted_at": or_null(MOMENT),
        "to_count": _FLAG | {"description": "Whether more was taken out than the book held, and nobody counted since."},
        "warnings": a_list(ref("Warning")), "moved": _MOVED,
    },
    _SUMS,
)  # fmt: skip
_PRODUCT = an_object(
    {"product": ID, "name": TEXT, "registration_no": TEXT, "lots": a_list(_LOT), "moved": _MOVED}, _SUMS
)


class Stock(GroupEndpoint):
    """What is in stock, from one state of the book."""

    does = {
        "get": Does(
            "Tell what is in stock, lot by lot",
            an_object(
                {
                    "on": _DAY,
                    "results": a_list(_PRODUCT) | {"description": "By product; its lots the oldest first."},
                    "to_count": a_list(ID) | {"description": "The lots that wait for a count."},
                    "held": components.HELD,
                    "head": INTEGER | {"description": "The number of the record book that the sums rest on."},
                }
            ),
            parameters=[
                in_query("on", _DAY, "The local date that ages are told by; today, where it is left out."),
                in_query("product", ID, "Only the lots of this product."),
            ],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return the stock by product and lot."""
        asked = filtering.read(request, {"on": filtering.Day(), "product": filtering.Id()})
        on = asked["on"] or local_date(timezone.now(), ZoneInfo(request.group.time_zone))
        with snapshot():
            found = stock(request.actor.group_id, on, product_id=asked["product"])
            book = Book.objects.get(group_id=request.actor.group_id)
        lots = [each for product in found for each in product.lots]
        if len(lots) > MOST_LOTS:
            raise TooManyLots
        results = [_product(each, request.group) for each in found]
        to_count = [str(each.lot.id) for each in lots if each.to_count]
        return Response(
            {"on": on.isoformat(), "results": results, "to_count": to_count, "held": book.held, "head": book.head}
        )


def _product(found: ProductInStock, group: Any) -> dict[str, Any]:
    product = found.product
    said = {"product": str(product.id), "name": product.name, "registration_no": product.registration_no}
    sums = {"received": found.received, "drawn": found.drawn, "left": found.left}
    told = answers.told(said | _in(found.base, sums), group)
    told["moved"] = answers.told(_in(found.base, found.moved), group)
    return told | {"lots": [_lot(each, group) for each in found.lots]}


def _lot(found: LotInStock, group: Any) -> dict[str, Any]:
    lot = found.lot
    said = {
        "lot": str(lot.id),
        "purchased_on": lot.purchased_on and lot.purchased_on.isoformat(),
        "age_days": found.age_days,
        "expires_on": lot.expires_on and lot.expires_on.isoformat(),
        "container": lot.container,
        "store": lot.store,
        "lot_number": lot.lot_number,
        "label_version": lot.label_version,
        "cost_cents": lot.cost_cents,
        "currency": lot.currency,
        "counted_at": found.counted_at and contents.instant(found.counted_at),
        "to_count": found.to_count,
        **_in(lot.base, {"received": lot.received, "drawn": found.drawn, "left": lot.left}),
    }
    moved = answers.told(_in(lot.base, found.moved), group)
    return answers.told(said, group) | {"moved": moved, "warnings": found.marks}


def _in(base: str, sums: Mapping[str, int]) -> dict[str, int]:
    """Return sums under names that carry their base unit."""
    return {f"{name}_{base}": amount for name, amount in sums.items()}


# -- a lot's ledger --------------------------------------------------------------------------------

_WHAT = ["draw", *MOVED]
_LINE = an_object(
    {
        "what": {"type": "string", "enum": _WHAT},
        "type": {"type": "string", "enum": ["batch", "stock_movement"]},
        "id": ID | {"description": "Of the batch or the movement."},
        "at": MOMENT,
        "on_date": _DAY,
        "by": ID | {"description": "The member who did it."},
        "note": TEXT,
        "manner": TEXT,
        "incident": TEXT,
        "reason": TEXT,
        "receipt_no": TEXT,
        "warnings": a_list(ref("Warning")),
    },
    _measured(
        {
            "change": _sum("What it changed the lot by, with its sign"),
            "balance": _sum("What the lot held after it, in the order of dates"),
        }
    ),
)


class LotLedger(GroupEndpoint):
    """Everything that changed a lot, in the order of dates: opening + changes = closing."""

    does = {
        "get": Does(
            "Tell a lot's ledger",
            an_object(
                {
                    "lot": ID,
                    "results": a_list(_LINE),
                    "held": components.HELD,
                    "head": INTEGER | {"description": "The number of the record book that the sums rest on."},
                },
                _measured(
                    {
                        "opening": _sum("What was received with the lot, and what changed it before the first date"),
                        "closing": _sum("opening + the changes told here"),
                    }
                ),
            ),
            parameters=[
                in_query("from", _DAY, "The first local date."),
                in_query("to", _DAY, "The last local date."),
            ],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return the lines with the balance after each."""
        asked = filtering.read(request, {"from": filtering.Day(), "to": filtering.Day()})
        id, group_id = read_id(place["id"]), request.actor.group_id
        with snapshot():
            lot = Lot.objects.filter(Lot.visible_to(request.actor), group_id=group_id, id=id).first()
            if lot is None:
                raise Unavailable
            found = ledger(lot, first_on=asked["from"], last_on=asked["to"])
            book = Book.objects.get(group_id=group_id)
        sums = _in(lot.base, {"opening": found.opening, "closing": found.closing})
        said = {"lot": str(lot.id), "held": book.held, "head": book.head, **sums}
        results = [_line(line, lot.base, request.group) for line in found.lines]
        return Response(answers.told(said, request.group) | {"results": results})


def _line(line: Line, base: str, group: Any) -> dict[str, Any]:
    record = line.record
    is_draw = line.what == "draw"
    said = {
        "what": line.what,
        "type": record.kind,
        "id": str(record.id),
        "at": contents.instant(line.at),
        "on_date": line.on.isoformat(),
        "by": str(record.mixed_by_id if is_draw else record.by_id),
        **_in(base, {"change": line.change, "balance": line.balance}),
        "note": record.note,
        **{name: "" if is_draw else getattr(record, name) for name in ("manner", "incident", "reason", "receipt_no")},
    }
    return answers.told(said, group) | {"warnings": line.marks}
