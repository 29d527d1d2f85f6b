"""Who was licensed for what was done: judged by the local date for ever, and kept as it stood.

A record keeps the credentials that it rested on (``credentials``). They are part of its content: an inspector reads the
number that stood on the day in what was signed, hashed and sent, whatever is renewed or corrected later.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from stewardship.catalog.models import Product
from stewardship.credentials.judging import as_it_stood, standing_of, types_in
from stewardship.credentials.models import Credential
from stewardship.credentials.needs import Named, Need
from stewardship.credentials.standing import marks_for
from stewardship.journal.book import Entry
from stewardship.treatments.models import Application, Batch, Contractor, Session
from stewardship.treatments.services.facts import Marks, mark

COVERS = "herbicide_application"
SUPERVISED_BY = ("applicator", "supervisor")
OF_THE_WORK = frozenset({
    "credential_wrong_category", "credential_wrong_product", "credential_not_for_restricted",
})  # fmt: skip
"""Codes of what is known once it is known what was used and how: a line has them beside its session's."""
RESTRICTED = "restricted_use_unlicensed"
UNLICENSED = "credential_"
"""How the codes begin of credentials that did not count."""
CODES = OF_THE_WORK | {RESTRICTED}


def told_by(values: Mapping[str, Any], field: str) -> Any:
    """Return the id of the person whom a field of a record names."""
    return values[f"{field}_id"]


def need_of_session(values: Mapping[str, Any], place: Named) -> Need:
    """Return what a session asks of its people: on this land, on this kind of site."""
    site = values["site_type"].strip()
    return Need(COVERS, site_types=(site,) if site else (), property=place)


def need_of_batch(entry: Entry, parts: Iterable[Mapping[str, Any]], place: Named | None) -> Need:
    """Return what mixing these parts asks of the mixer."""
    used = {part["product"]: Named(part["product"], part.get("name", "")) for part in parts}
    return Need(COVERS, products=tuple(used.values()), property=place, restricted=is_restricted(entry, used))


def is_restricted(entry: Entry, product_ids: Iterable[str]) -> bool:
    """Tell whether one of these products is for restricted use, as the group's catalogue has it."""
    wanted = set(product_ids)
    return any(product.restricted_use for product in entry.all_of(Product) if str(product.id) in wanted)


# -- as it stood -----------------------------------------------------------------------------------


def kept_of(
    entry: Entry, values: Mapping[str, Any], roles: Iterable[str], need: Need, on: date
) -> list[dict[str, Any]]:
    """Return what a record keeps of the credentials of the people whom these fields name, as they stand on a date."""
    people = [(role, told_by(values, role)) for role in roles if told_by(values, role)]
    found = []
    for role, id in people:
        held = [each for each in entry.list_of(Credential, "holder_id", id) if each.covers == need.covers]
        types = types_in(entry) if any(each.type_id for each in held) else {}
        found += as_it_stood(held, id, role, need, on, types)
    return found


def kept_anew(
    entry: Entry, record: Session | Batch, after: Mapping[str, Any], roles: Iterable[str], need: Need
) -> list[dict[str, Any]]:
    """Return what a corrected record keeps: of a person or date that stays, what was kept before."""
    if after["on_date"] != record.on_date:
        return kept_of(entry, after, roles, need, after["on_date"])
    stays = {role for role in roles if told_by(after, role) == getattr(record, f"{role}_id")}
    kept = [line for line in record.credentials if line["role"] in stays]
    return kept + kept_of(entry, after, [role for role in roles if role not in stays], need, after["on_date"])


def numbers(kept: Iterable[Mapping[str, Any]], role: str) -> str | None:
    """Return the numbers of the credentials that counted in a role, as they stood; None where none did."""
    told = [line["number"] for line in kept if line["role"] == role and line["status"] == "valid"]
    return ", ".join(dict.fromkeys(told)) if told else None


# -- what is marked --------------------------------------------------------------------------------


def marks_of_batch(entry: Entry, member_id: UUID, on: date, need: Need) -> Marks:
    """Return what to mark about the licence of who mixed a batch."""
    found = standing_of(entry, member_id, need, on)
    marks = marks_for(found, "mixed_by", on)
    if need.restricted and not found.counts:
        detail = "A restricted-use product was mixed, and no credential of the mixer for it counted on the day."
        marks.append(mark(RESTRICTED, detail, "mixed_by"))
    return marks


def marks_of_line(entry: Entry, session: Session, batch: Batch, values: Mapping[str, Any]) -> Marks:
    """Return what to mark about the licences of a session's people for what a line says was used, and how."""
    alike = ("licences", session.id, batch.id, values["method"])
    return list(entry.once(alike, lambda: _marks_of_use(entry, session, batch, values["method"])))


def _marks_of_use(entry: Entry, session: Session, batch: Batch, method: str) -> Marks:
    used = need_of_batch(entry, batch.parts, Named(str(session.property_id)))
    site = session.site_type.strip()
    need = Need(
        COVERS, (method,), (site,) if site else (), used.products, used.property, used.restricted
    )  # fmt: skip
    marks, licensed = [], _contractor_licensed(entry, session) if used.restricted else False
    for field in SUPERVISED_BY:
        if id := getattr(session, f"{field}_id"):
            found = standing_of(entry, id, need, session.on_date)
            licensed = licensed or found.counts
            marks += [each for each in marks_for(found, field, session.on_date) if each["code"] in OF_THE_WORK]
    if used.restricted and not licensed:
        detail = "A restricted-use product was used, and nobody named here held a credential for it that counted."
        marks.append(mark(RESTRICTED, detail, "applicator"))
    return [each for each in marks if each not in session.marks]


def without(marks: Marks, session: Session | None = None) -> Marks:
    """Return a line's marks without those about licences for its own work."""
    of_session = session.marks if session else []
    return [each for each in marks if each["code"] not in CODES or each in of_session]


def _contractor_licensed(entry: Entry, session: Session) -> bool:
    if not session.contractor_id:
        return False
    entry.load(Contractor, [session.contractor_id], lock=False)
    last_on = entry.get(Contractor, session.contractor_id).licence_valid_to
    return last_on is not None and last_on >= session.on_date


def unlicensed(marks: Iterable[Mapping[str, Any]], fields: Iterable[str]) -> set[str]:
    """Return the codes of marks that tell of somebody, in one of these fields, without a credential that counted."""
    wanted = set(fields)
    return {
        each["code"] for each in marks
        if each["field"] in wanted and (each["code"] == RESTRICTED or each["code"].startswith(UNLICENSED))
    }  # fmt: skip


# -- read once for all lines of an entry -----------------------------------------------------------


def credentials_of_lines(entry: Entry, wishes: list[Any]) -> None:
    """Read the credentials of the people in the sessions of these lines."""
    named = {wish.session for wish in wishes if getattr(wish, "session", None)}
    lines = [entry.find(Application, wish.id) for wish in wishes if not getattr(wish, "session", None)]
    named |= {line.session_id for line in lines if line}
    sessions = [each for id in named if (each := entry.find(Session, id))]
    people = {id for each in sessions for id in (each.applicator_id, each.supervisor_id) if id}
    entry.load_lists(Credential, "holder_id", people)
