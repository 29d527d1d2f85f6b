"""What to look out for: always shown, or shown where what is in the mix calls for it; each with its source.

Nothing here decides: the label, the local rules and a licensed person do.
"""

from collections.abc import Iterator

from stewardship.catalog.comparing import label_of
from stewardship.catalog.mixing.shelf import Shelf
from stewardship.catalog.models import Product
from stewardship.rules.mixes import Composition

Caution = dict[str, str]

ALWAYS: tuple[tuple[str, str, str], ...] = (
    (
        "label_is_law",
        "The label is the law: read it before you mix, and have it with you on site.",
        "Use contrary to a label is a violation: EDIS FR345, UF/IFAS; W. Va. Code R. 61-12A-6 (2024)",
    ),
    (
        "reference_not_advice",
        "Rates and ranges here are reference, not advice. They do not replace the label or a licensed person.",
        "EDIS FR345, UF/IFAS; W. Va. Code R. 61-12A-6 (2024)",
    ),
    (
        "local_rules",
        "Follow the rules of your state, of the land's owner and of your group: they differ, and they change.",
        "Pesticides and Pest Control Guidelines, Minnesota DNR, 2 May 2008, as an example of such rules",
    ),
    (
        "restricted_products",
        "Restricted products are used only by a licensed applicator or under one's direct supervision.",
        "Direct Supervision of Noncertified Applicators, Washington State Department of Agriculture",
    ),
    (
        "ppe_for_this_task",
        "Wear what the label demands for this task: mixing and loading ask for more than applying.",
        "Control of trees, National Park Service mid-Atlantic; HSE spot-check article by a contractor",
    ),
)
"""(code, text, source), shown with every mix."""

ROOT_TRANSFER = (
    "root_transfer",
    "{name} can pass through roots to neighbouring plants; look for desirable trees and shrubs close by. Reports "
    "differ on how often it happens.",
)
NO_COMPOST = (
    "no_compost",
    "Plants treated with {name} make no mulch or compost.",
    "NC State Extension; UF/IFAS AG416",
)
TRANSFER_SHOWN = "Graziano et al., Weed Science, 2022, 10.1017/wsc.2022.61; Oberweger et al., 7 November 2023"
BY_ACTIVE: dict[str, tuple[tuple[str, str, str], ...]] = {
    "imazapyr": ((*ROOT_TRANSFER, "Arboriculture & Urban Forestry 33(1):59, 2007 (untreated stems about 5 m away)"),),
    "triclopyr": ((*ROOT_TRANSFER, TRANSFER_SHOWN),),
    "aminopyralid": (
        (*ROOT_TRANSFER, TRANSFER_SHOWN),
        NO_COMPOST,
    ),
    "clopyralid": (NO_COMPOST,),
    "picloram": (NO_COMPOST,),
}
"""Name of an active ingredient -> cautions that it calls for."""


def cautions(shelf: Shelf, makes: Composition) -> list[Caution]:
    """Return the cautions for a mix as ``{"code", "text", "source"}``, those that are always shown first."""
    products = [shelf.product(name) for name in (*(makes.products or {}), *makes.dry_products)]
    told = [_caution(*each) for each in ALWAYS]
    for product in products:
        told += [*_of_product(product), *_of_actives(product)]
    told += _undiluted(products) if makes.carrier is None else []
    told += _of_species(shelf)
    return [caution for place, caution in enumerate(told) if caution not in told[:place]]


def _of_product(product: Product) -> Iterator[Caution]:
    label = label_of(product)
    if product.restricted_use:
        yield _caution("restricted_use", f"{product.name} is a restricted-use product.", label)
    if product.ppe_mixing:
        yield _caution("ppe_mixing", f"For mixing {product.name}: {product.ppe_mixing}", label)
    if product.signal_word not in ("", "none"):
        word = product.signal_word.replace("_", "/").upper()
        yield _caution("signal_word", f"Signal word of {product.name}: {word}.", label)
    if not product.aquatic:
        text = (
            f"{product.name} is not marked as labelled for aquatic sites: keep it away from water, wells and wetlands."
        )
        yield _caution(
            "near_water",
            text,
            "AquaPlant, Texas A&M AgriLife, water-use restrictions; Holden Forests & Gardens, 24 January 2022",
        )
    if product.formulation == "ester":
        text = f"{product.name} is an ester: in heat it turns to vapour and drifts, and it harms conifers nearby."
        yield _caution(
            "ester_in_heat", text, "Basal bark application, PNW Handbooks; Guide to Restoration Practices, The Prairie "
            "Enthusiasts, 3 October 2023",
        )  # fmt: skip


def _of_actives(product: Product) -> Iterator[Caution]:
    for ingredient in product.ingredients:
        name = ingredient["name"]
        for code, text, source in BY_ACTIVE.get(name.strip().lower(), ()):
            yield _caution(code, text.format(name=name), source)


def _undiluted(products: list[Product]) -> Iterator[Caution]:
    for product in products:
        text = f"{product.name} is used undiluted: it is a concentrate in the hand. Wear what the label demands for it."
        yield _caution("undiluted", text, label_of(product))


def _of_species(shelf: Shelf) -> Iterator[Caution]:
    species = shelf.species
    if species is None:
        return
    for caution in species.cautions:
        yield _caution("species", caution["text"], caution["source"])
    for twin in species.look_alikes:
        text = f"Native look-alike of {species.scientific_name}: {twin['name']}. {twin['differs']}".strip()
        yield _caution("look_alike", text, twin["source"] or species.source)


def _caution(code: str, text: str, source: str) -> Caution:
    return {"code": code, "text": text, "source": source}
