"""The cautions that a page shows: those that are always shown, and those that its products and species call for."""

from collections.abc import Iterable

from django import template

from stewardship.catalog.comparing import label_of
from stewardship.catalog.mixing import Shelf
from stewardship.catalog.mixing.cautions import ALWAYS, Caution, cautions
from stewardship.catalog.models import Product, Species
from stewardship.rules.mixes import Composition

register = template.Library()


@register.simple_tag
def cautions_for(products: Iterable[Product] = (), species: Iterable[Species] = ()) -> list[Caution]:
    """Return the cautions for these products and species, those that are always shown first."""
    found = [{"code": code, "text": text, "source": source} for code, text, source in ALWAYS]
    for product in products or ():
        found += [*_for_applying(product), *cautions(Shelf({product.id: product}), _some_of(product))]
    for plant in species or ():
        for product in list(products or ())[:1]:
            found += cautions(Shelf({product.id: product}, species=plant), _some_of(product))
    return [caution for place, caution in enumerate(found) if caution not in found[:place]]


def _for_applying(product: Product) -> list[Caution]:
    """Return what its label demands for applying: less than for mixing, so each stands by itself."""
    if not product.ppe_applying:
        return []
    text = f"For applying {product.name}: {product.ppe_applying}"
    return [{"code": "ppe_applying", "text": text, "source": label_of(product)}]


def _some_of(product: Product) -> Composition:
    """Return a diluted mix that holds some of the product: which cautions it calls for does not depend on how much."""
    if product.is_dry:
        return Composition(carrier="carrier", total_nl=2, products={}, dry_products={product.name: 1})
    return Composition(carrier="carrier", total_nl=2, products={product.name: 1})
