"""What a record of use says, by the names that rules ask for: one mapping for each product of a line.

Whatever was not told stays None: it is never taken for "no". Names, places and labels are today's; what the line, its
session and its batch said, the credentials that they rested on among it, is that of the state asked for.
"""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from stewardship.catalog.models import Product
from stewardship.rules.requirements import Facts
from stewardship.treatments.models import Application
from stewardship.treatments.services.licences import numbers
from stewardship.treatments.services.signatures import was_supervised
from stewardship.treatments.verdicts.shelf import Shelf, Told

GROWN = 18
"""The age [years] that ``all_adults`` answers about."""


def facts_of(told: Told, line: Application, product: Product, shelf: Shelf) -> Facts:
    """Return the facts of one product of a line, as its record told them."""
    return {
        "location": place_of(told, line),
        **_when_and_what(told, line, shelf),
        **_product(told, line, product, shelf),
        **_weather(told, product),
        **_people(told, line, shelf),
        **_answers(told, line, product, shelf),
        **_signatures(told, shelf),
    }


def place_of(told: Told, line: Application) -> dict[str, Any]:
    """Return where it was, in each form in which that is told."""
    place, point = line.property, told.session.get("coordinates")
    forms = {
        "address": place.address,
        "description": told.session.get("place_text", ""),
        "map": line.unit.boundary or place.boundary,
        "legal_description": place.legal_description,
        "county_section": place.county_section,
        "usda_map_number": place.map_number,
        "lat_long": f"{point['latitude']}, {point['longitude']}" if point else "",
    }
    return {form: text for form, text in forms.items() if text}


def _when_and_what(told: Told, line: Application, shelf: Shelf) -> dict[str, Any]:
    species = shelf.species.get(told.line["species"])
    return {
        "applied_on": told.session["on_date"],
        "started_at": told.session["started_at"],
        "ended_at": told.session["ended_at"],
        "target_species": species.scientific_name if species else told.line["species"],
        "site_type": told.session.get("site_type"),
        "method": told.line["method"],
        "equipment": told.session.get("equipment"),
        "plants": told.line["stems"],
        "spot_words": told.line.get("is_spot"),
        "was_sprayed": told.line["method"] == "foliar",
        "remarks": told.line["note"] or told.session["note"],
        "recorded_at": line.entered_at,
        "recorded_by": _name(shelf, str(line.entered_by_id)),
    }


def _product(told: Told, line: Application, product: Product, shelf: Shelf) -> dict[str, Any]:
    poured, area = _of(product, told.batch["parts"]), told.line["area"]
    amount, own_mm2 = _amount(_of(product, told.line["products"])), area and area["mm2"]
    return {
        "product_name": product.name,
        "registration_no": ", ".join(_labels(poured)) or product.registration_no,
        "active_ingredients": [each["name"] for each in product.ingredients],
        "restricted_use": product.restricted_use,
        "product_amount": amount,
        "mix_amount": told.line["mix"],
        "mix_strength": _strength(poured, told.batch["mix"]),
        "carrier": told.batch["carrier"],
        "adjuvants": [each["name"] for each in told.batch["adjuvants"]] or "none",
        "rate_per_area": str(Fraction(amount, own_mm2)) if amount and own_mm2 else None,
        "area_mm2": shelf.area_of_day(line, product, own_mm2),
        "mixing_place": told.batch.get("mixed_where"),
    }


def _of(product: Product, entries: list[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Return the entries of a product: several where its label changed between batches that were poured together."""
    return [each for each in entries if each["product"] == str(product.id)]


def _amount(entries: list[Mapping[str, Any]]) -> int | None:
    """Return how much of a product they come to, in its own measure; None where one of them does not say."""
    amounts = [each.get("nl", each.get("ug")) for each in entries]
    return sum(amounts) if amounts and None not in amounts else None


def _labels(entries: list[Mapping[str, Any]]) -> list[str]:
    """Return the registration numbers that stood on the labels, each once."""
    return list(dict.fromkeys(each["registration_no"] for each in entries if each["registration_no"]))


def _strength(poured: list[Mapping[str, Any]], mix: Mapping[str, Any]) -> str | None:
    """Return product over finished mix, both as mixed; None where the state does not say it."""
    amount = _amount(poured)
    return str(Fraction(amount, mix["nl"])) if amount else None


def _weather(told: Told, product: Product) -> dict[str, Any]:
    readings = told.session.get("weather") or []
    first, later = readings[0] if readings else {}, readings[1:]
    sky = [f"{each['humidity_percent']} %" for each in readings if each["humidity_percent"] is not None]
    return {
        "wind_speed": first.get("wind_speed"),
        "wind_direction": first.get("wind_direction"),
        "temperature": first.get("temperature"),
        "wind_changes": [each["wind_direction"] or each["sky"] for each in later] or None,
        "weather_changed": True if later else told.session.get("weather_changed"),
        "other_weather": [each["sky"] for each in readings if each["sky"]] + sky or None,
        "label_names_weather": True if product.rainfast_hours else None,
    }


def _people(told: Told, line: Application, shelf: Shelf) -> dict[str, Any]:
    session, on = told.session, date.fromisoformat(told.session["on_date"])
    applicator, supervisor, helpers = session["applicator"], session.get("supervisor"), session.get("helpers")
    party = shelf.contractors.get(session.get("contractor") or "")
    supervised = was_supervised({"supervisor_id": supervisor, "marks": session["marks"]})
    kept = session.get("credentials") or ()
    facts = {
        "applicators": [party.name if party else _name(shelf, applicator)],
        "applicator_credentials": _contractors_number(party, on) if party else numbers(kept, "applicator"),
        "supervisor": _name(shelf, supervisor),
        "supervisor_credential": numbers(kept, "supervisor"),
        "was_supervised": supervised,
        "helpers": [_name(shelf, helper) for helper in helpers or ()] or None,
        "had_helpers": None if helpers is None else bool(helpers),
        "mixer_is_licensed": numbers(told.batch.get("credentials") or (), "mixed_by") is not None,
        "youngest_age_years": {True: GROWN, False: GROWN - 1, None: None}[session.get("all_adults")],
    }
    if supervised:
        facts["licensed_people"] = int(numbers(kept, "supervisor") is not None)
        facts["supervised_people"] = max(1, shelf.supervised_at_once(line.session)) if supervisor else 1
    return facts


def _name(shelf: Shelf, id: str | None) -> str | None:
    found = shelf.members.get(id or "")
    return found.display_name if found else id


def _contractors_number(party: Any, on: date) -> str | None:
    return party.licence_number if party.licence_valid_to and party.licence_valid_to >= on else None


def _answers(told: Told, line: Application, product: Product, shelf: Shelf) -> dict[str, Any]:
    session, disposed = told.session, shelf.disposals.get(line.batch_id)
    return {
        "reentry": session.get("reentry_note"),
        "has_reentry": True if product.reentry else None,
        "had_incident": session.get("had_incident"),
        "incident": session.get("incident"),
        "for_a_customer": session.get("for_a_customer"),
        "customer": session.get("customer"),
        "was_disposed_of": bool(disposed),
        "disposal": disposed,
    }


def _signatures(told: Told, shelf: Shelf) -> dict[str, Any]:
    session = told.session
    return {
        "signature": _name(shelf, session.get("attested_by")),
        "countersigned_by": _name(shelf, session.get("countersigned_by")),
    }
