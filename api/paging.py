"""Lists in pages: by the id, which is unique, so nothing is skipped or given twice."""

import re
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import QuerySet

from api.problems import InvalidRequest

DEFAULT, MOST = 50, 500
PARAMETERS = ("limit", "cursor")
_CURSOR = re.compile(r"(after|before)\.([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})")


class LimitUnreadable(InvalidRequest):
    """A page has a size."""

    code = "limit_invalid"
    message = f"limit is a whole number from 1 to {MOST}."
    where = "/limit"


class PageUnreadable(InvalidRequest):
    """A page is reached by the link of another."""

    code = "cursor_unreadable"
    message = "This is no page that we gave out. Begin again without a cursor."
    where = "/cursor"


def page(rows: QuerySet[Any], request: Any) -> tuple[list[Any], dict[str, str | None]]:
    """Return the records of the page that was asked for, in id order, and links to its neighbours."""
    limit, (direction, place) = read_limit(request.query_params), _read_cursor(request.query_params)
    if place is not None:
        rows = rows.filter(**{"id__gt" if direction == "after" else "id__lt": place})
    found = list(rows.order_by("-id" if direction == "before" else "id")[: limit + 1])
    more, found = len(found) > limit, found[:limit]
    if direction == "before":
        found.reverse()
    has_next = more if direction == "after" else bool(found)
    has_previous = more if direction == "before" else place is not None and bool(found)
    links = {
        "next": _link(request, "after", found[-1].id) if has_next else None,
        "previous": _link(request, "before", found[0].id) if has_previous else None,
    }
    return found, links


def read_limit(parameters: Any) -> int:
    """Return how many records a page may have. Raises LimitUnreadable."""
    text = parameters.get("limit", str(DEFAULT))
    if not re.fullmatch(r"[0-9]{1,3}", text) or not 1 <= int(text) <= MOST:
        raise LimitUnreadable
    return int(text)


def _read_cursor(parameters: Any) -> tuple[str, UUID | None]:
    text = parameters.get("cursor")
    if text is None:
        return "after", None
    found = _CURSOR.fullmatch(text)
    if not found:
        raise PageUnreadable
    return found[1], UUID(found[2])


def _link(request: Any, direction: str, id: UUID) -> str:
    parameters = request.query_params.dict() | {"cursor": f"{direction}.{id}"}
    return str(request.build_absolute_uri(f"{request.path}?{urlencode(parameters)}"))
