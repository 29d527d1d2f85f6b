"""The roster of who was trained, as an authority asks for it: every field, and what is missing by name.

The fields are those of the list that Illinois asks for (Special licensing, pbooks.org: name, address, telephone, birth
date and sponsor of each volunteer; date and place of the training, the trainer's licence number and its last day, and
that copies of the labels were handed in), with what else the record of a training says.
"""

import csv
import io
from collections.abc import Iterable
from datetime import date
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from stewardship.accounts.models import Group, PersonalDetails
from stewardship.catalog.models import Product
from stewardship.credentials.models import Training
from stewardship.places.models import Property
from stewardship.rules.dates import local_date
from stewardship.rules.methods import WORDS as METHODS

Row = dict[str, str]

COLUMNS: dict[str, str] = {
    "name": "Name",
    "address": "Address",
    "phone": "Telephone",
    "born_on": "Birth date",
    "sponsor": "Sponsor",
    "on_date": "Date of training",
    "place": "Place of training",
    "trainer": "Trainer",
    "trainer_licence_number": "Trainer's licence number",
    "trainer_licence_ends_on": "Trainer's licence ends on",
    "label_copies": "Copies of labels",
    "title": "Training",
    "topics": "Content",
    "minutes": "Minutes",
    "products": "Products",
    "properties": "Lands",
    "methods": "Methods",
    "last_on": "Counts up to",
    "signed_on": "Signed on",
    "rule": "Rule",
}
"""Field -> heading."""

ASKED_FOR = tuple(COLUMNS)[:11] + ("products", "properties", "signed_on")
"""Fields whose lack is a gap: those of the published list, and what makes a training count."""

BYTE_ORDER_MARK = "\ufeff"
"""By it spreadsheets know that the text is UTF-8."""
NOT_ON_RECORD = "NOT ON RECORD"
YES_NO = {True: "yes", False: "no", None: ""}


def roster(group: Group, first_on: date, last_on: date) -> list[Row]:
    """Return a row for each training of these days, by date and name; four statements."""
    found = Training.objects.filter(group_id=group.id, voided_at=None, on_date__range=(first_on, last_on))
    in_order = found.select_related("trainee", "trainer", "type").order_by("on_date", "trainee__display_name", "id")
    return rows_of(group, list(in_order))


def rows_of(group: Group, trainings: list[Training]) -> list[Row]:
    """Return what the records tell of these trainings, and of who was trained."""
    people = PersonalDetails.objects.filter(group_id=group.id, member_id__in={t.trainee_id for t in trainings})
    details = {each.member_id: each for each in people}
    names, zone = _names(group.id, trainings), ZoneInfo(group.time_zone)
    return [_row(training, details.get(training.trainee_id), names, zone) for training in trainings]


def _names(group_id: UUID, trainings: Iterable[Training]) -> dict[str, str]:
    """Return the names of the products and lands that trainings name, by id."""
    products = {id for training in trainings for id in training.products}
    lands = {id for training in trainings for id in training.properties}
    named: dict[str, str] = {}
    for model, ids in ((Product, products), (Property, lands)):
        rows = model.objects.filter(group_id=group_id, id__in=ids)  # type: ignore[attr-defined]
        named |= {str(id): name for id, name in rows.values_list("id", "name")}
    return named


def _row(training: Training, details: PersonalDetails | None, names: dict[str, str], zone: ZoneInfo) -> Row:
    return {
        "name": training.trainee.display_name,
        "address": details.address.strip() if details else "",
        "phone": details.phone.strip() if details else "",
        "born_on": _day(details.born_on) if details else "",
        "sponsor": training.sponsor,
        "on_date": _day(training.on_date),
        "place": training.place,
        "trainer": training.trainer.display_name if training.trainer else training.trainer_name,
        "trainer_licence_number": training.trainer_licence_number,
        "trainer_licence_ends_on": _day(training.trainer_licence_ends_on),
        "label_copies": YES_NO[training.label_copies],
        "title": training.title,
        "topics": training.topics,
        "minutes": str(training.minutes),
        "products": _listed(training.products, names),
        "properties": _listed(training.properties, names),
        "methods": _listed(training.methods, METHODS),
        "last_on": _day(training.last_on) or "no end",
        "signed_on": _day(local_date(training.signed_at, zone)) if training.signed_at else "",
        "rule": training.type.name,
    }


def _day(on: date | None) -> str:
    return on.isoformat() if on else ""


def _listed(ids: Iterable[str], names: dict[Any, str]) -> str:
    return "; ".join(names[id] for id in ids)


def gaps(row: Row) -> list[str]:
    """Return the fields that the list asks for and the record does not tell."""
    return [name for name in ASKED_FOR if not row[name].strip()]


def as_csv(rows: Iterable[Row]) -> str:
    """Return the roster for a spreadsheet: nothing that is missing is blank, and no cell is taken for a formula."""
    written = io.StringIO()
    written.write(BYTE_ORDER_MARK)
    writer = csv.writer(written)
    writer.writerow([*COLUMNS.values(), "Gaps"])
    for row in rows:
        missing = gaps(row)
        cells = [NOT_ON_RECORD if name in missing else row[name] for name in COLUMNS]
        writer.writerow([_guarded(cell) for cell in [*cells, ", ".join(COLUMNS[name] for name in missing) or "none"]])
    return written.getvalue()


def _guarded(cell: str) -> str:
    """Return a cell that no spreadsheet reads as a formula (OWASP, CSV Injection): an apostrophe leads what might."""
    return f"'{cell}" if cell.strip(" ")[:1] in tuple("=+-@\t\r") else cell
