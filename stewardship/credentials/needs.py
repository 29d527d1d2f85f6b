"""What a piece of work asks of the credentials of whoever does it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, NamedTuple
from uuid import UUID


class Named(NamedTuple):
    """A record by its id, as text, and by its name where that is known."""

    id: str
    name: str = ""


def named(record: Any) -> Named:
    """Return a product or a property by id and name."""
    return Named(str(record.id), record.name)


@dataclass(frozen=True, slots=True)
class Need:
    """What the work is: what is not told is not asked.

    ``covers``: what a credential is for; ``methods`` and ``site_types``, ``products``, ``property``: what is done with
    it, where; ``restricted``: a restricted-use product is among the products; ``type``: it must be of this kind.
    """

    covers: str
    methods: tuple[str, ...] = ()
    site_types: tuple[str, ...] = ()
    products: tuple[Named, ...] = ()
    property: Named | None = None
    restricted: bool = False
    type: UUID | None = None

    def parts(self) -> Iterator["Need"]:
        """Give each single thing that is asked: one method on one kind of site with one product.

        Two credentials may share the work: one for one method, one for another.
        """
        for method, site, used in product(self.methods or ("",), self.site_types or ("",), self.products or (None,)):
            yield replace(
                self,
                methods=(method,) if method else (),
                site_types=(site,) if site else (),
                products=(used,) if used else (),
            )
