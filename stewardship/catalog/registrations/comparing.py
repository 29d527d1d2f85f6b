"""A use of products held against their registrations: one way for plans and for facts."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from stewardship.catalog.comparing import Finding, strength_on
from stewardship.catalog.models import Product, ProductRegistration
from stewardship.catalog.strengths import UNITS_SHOWN
from stewardship.rules.dates import said
from stewardship.rules.decimals import exact
from stewardship.rules.figures import rounded_text
from stewardship.rules.methods import WORDS as METHODS
from stewardship.rules.mixes import Composition


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """A use of products in a jurisdiction on a local date; ``method`` and ``site`` are empty where nobody said."""

    jurisdiction: str
    on: date
    carrier: str
    makes: Composition
    method: str = ""
    site: str = ""


def registration_for(
    registrations: Iterable[ProductRegistration], product_id: UUID, jurisdiction: str, on: date
) -> tuple[ProductRegistration | None, list[ProductRegistration]]:
    """Return the row that holds for a product there on a date, or None, and the rows on record for it there.

    Where a state has rows of its own, its country's do not count. Of several that hold it is the one that began last.
    """
    its_own = [each for each in registrations if each.product_id == product_id and not each.retired_at]
    country = jurisdiction.partition("-")[0]
    rows = [each for each in its_own if each.jurisdiction == jurisdiction] or [
        each for each in its_own if each.jurisdiction == country
    ]
    holding = [each for each in rows if each.holds_on(on)]
    return max(holding, key=lambda each: (each.valid_from or date.min, each.id), default=None), rows


def against_registrations(
    registrations: Sequence[ProductRegistration], products: Iterable[Product], use: Use, *, wanted: bool
) -> Iterator[Finding]:
    """Compare a use with the registration of each of its products; ``wanted``: none on record is told as well."""
    if not use.jurisdiction:
        return
    for product in products:
        found, rows = registration_for(registrations, product.id, use.jurisdiction, use.on)
        if found:
            yield from _of_use(found, product, use)
            yield from _of_strength(found, product, use)
        elif rows:
            yield _lapsed(rows, product, use)
        elif wanted:
            yield _not_on_record(product, use.jurisdiction)


def cited(registration: ProductRegistration) -> str:
    """Return what a fact of a registration is cited as."""
    edition = f"label edition {registration.label_edition}, " if registration.label_edition else ""
    return f"{edition}{registration.source}"


def about(registration: ProductRegistration) -> str:
    """Return its path in the group."""
    return f"registrations/{registration.id}"


def _not_on_record(product: Product, jurisdiction: str) -> Finding:
    detail = f"The registration of {product.name} in {jurisdiction} is not on record."
    return Finding("registration_not_on_record", detail, "", about=f"products/{product.id}")


def _lapsed(rows: Sequence[ProductRegistration], product: Product, use: Use) -> Finding:
    ended = [each for each in rows if each.valid_to and each.valid_to < use.on]
    lead = f"The registration of {product.name} in"
    if ended:
        last = max(ended, key=lambda each: (each.valid_to or date.min, each.id))
        assert last.valid_to
        detail = f"{lead} {last.jurisdiction} ended on {said(last.valid_to)}. It did not hold on {said(use.on)}."
        return Finding("registration_lapsed", detail, cited(last), about=about(last))
    first = min(rows, key=lambda each: (each.valid_from or date.min, each.id))
    assert first.valid_from
    detail = f"{lead} {first.jurisdiction} begins on {said(first.valid_from)}. It did not hold on {said(use.on)}."
    return Finding("registration_lapsed", detail, cited(first), about=about(first))


def _of_use(registration: ProductRegistration, product: Product, use: Use) -> Iterator[Finding]:
    """Find what no labelled use names: the site, the method, the carrier, or the three of them together."""
    asked = {"sites": use.site.strip().lower(), "methods": use.method, "carriers": use.carrier}
    if not registration.uses or any(_takes(each, asked) for each in registration.uses):
        return
    alone = [name for name in asked if not any(_takes(each, {name: asked[name]}) for each in registration.uses)]
    for name in alone or ["together"]:
        told = _told(use) if name == "together" else WORDS[name](asked[name])
        detail = f"The label of {product.name} for {registration.jurisdiction} does not name {told}."
        yield Finding(CODES[name], detail, cited(registration), about=about(registration))


def _takes(labelled: dict[str, list[str]], asked: dict[str, str]) -> bool:
    """Return whether a labelled use takes in what is asked; what is not told excludes nothing."""
    return all(
        not told or not labelled[name] or told in {each.strip().lower() for each in labelled[name]}
        for name, told in asked.items()
    )


def _carried(carrier: str) -> str:
    return "its use undiluted" if carrier == "none" else f"its use in {carrier}"


def _told(use: Use) -> str:
    parts = [METHODS[use.method] if use.method else "", f"on {use.site}" if use.site else ""]
    return " ".join(["together", *filter(None, parts), "with", _carried(use.carrier)])


WORDS = {
    "sites": lambda told: f"the site {told}",
    "methods": lambda told: f"the method {METHODS[told]}",
    "carriers": _carried,
}
CODES = {
    "sites": "site_not_labelled",
    "methods": "method_not_labelled",
    "carriers": "carrier_not_labelled",
    "together": "use_not_labelled",
}


def _of_strength(registration: ProductRegistration, product: Product, use: Use) -> Iterator[Finding]:
    most = registration.max_strength
    if most is None:
        return
    name, unit = str(product.id), UNITS_SHOWN[most["basis"]]
    made = strength_on(product, use.makes, name, most["basis"])
    lead = f"the maximum on record for {registration.jurisdiction} is {most['value']} {unit}"
    if made is None:
        detail = f"{product.name}: its strength cannot be compared; {lead}."
        yield Finding("registration_not_comparable", detail, cited(registration), about=about(registration))
        return
    rounding = made / (use.makes.volume_nl(name) or use.makes.mass_ug(name))  # one base unit of product
    if made - rounding > exact(most["value"]):
        detail = f"{product.name} at {rounded_text(made)} {unit}; {lead}."
        yield Finding("strength_above_registration", detail, cited(registration), about=about(registration))


def against_retreat(
    registrations: Sequence[ProductRegistration],
    products: Iterable[Product],
    use: Use,
    used_on: dict[str, dict[str, int]],
) -> Iterator[Finding]:
    """Find products that were used in the unit less than their interval ago; the day after its last day is over.

    ``used_on``: of the unit, product -> the dates on which it was used there.
    """
    for product in products:
        found, _ = registration_for(registrations, product.id, use.jurisdiction, use.on)
        earlier = [day for text in used_on.get(str(product.id), ()) if (day := date.fromisoformat(text)) < use.on]
        if found is None or not found.retreat_days or not earlier:
            continue
        days = (use.on - max(earlier)).days
        if days < found.retreat_days:
            detail = (
                f"{product.name} was used in this unit on {said(max(earlier))}, {days} days before {said(use.on)}; the "
                f"label has {found.retreat_days} days between two treatments."
            )
            yield Finding("retreat_interval_not_over", detail, cited(found), about=about(found))
