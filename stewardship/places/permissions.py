"""What a landowner permitted, held against herbicide work on a local date."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from stewardship.places.lacks import Lack
from stewardship.places.models import LandPermission
from stewardship.places.models.papers import Paper
from stewardship.rules.dates import said
from stewardship.rules.methods import WORDS


def lacking_permission(permissions: Sequence[LandPermission], on: date, *, wanted: bool) -> Iterator[Lack]:
    """Tell whether a permission holds and takes in herbicide; ``wanted``: none on record is told as well.

    Every permission that holds is to be kept: one without herbicide is withdrawn where a later one takes its place.
    """
    holding = [each for each in permissions if each.holds_on(on)]
    if not holding and permissions:
        yield Lack("permission_missing", f"{_nearest(permissions, on)} None holds on {said(on)}.")
    elif not holding and wanted:
        yield Lack("permission_missing", "No landowner's permission is on record for this property.")
    for each in holding:
        if not each.herbicide:
            yield Lack("permission_without_herbicide", f"{_named(each)} takes in no herbicide.", *_cited(each))


def excluded(
    permissions: Sequence[LandPermission], on: date, *, actives: Mapping[str, str], method: str
) -> Iterator[Lack]:
    """Tell what the permissions that hold leave out; ``actives``: name of each, in small letters -> its product."""
    for each in permissions:
        if not each.holds_on(on):
            continue
        for name in each.excluded_actives:
            if product := actives.get(name.strip().lower()):
                yield Lack("active_excluded", f"{_named(each)} leaves out {name}; {product} holds it.", *_cited(each))
        if method in each.excluded_methods:
            yield Lack("method_excluded", f"{_named(each)} leaves out the method {WORDS[method]}.", *_cited(each))


def _named(permission: LandPermission) -> str:
    return f"The landowner's permission of {said(permission.given_on)}"


def _cited(permission: LandPermission) -> tuple[str, str]:
    return permission.document or _named(permission), f"permissions/{permission.id}"


def _nearest(papers: Sequence[Paper], on: date) -> str:
    """Return when the last of them ended, else when the first begins."""
    ended = [last for each in papers if (last := each.last_on()) and last < on]
    if ended:
        return f"The last permission for this property ended on {said(max(ended))}."
    return f"The first permission for this property begins on {said(min(each.valid_from for each in papers))}."
