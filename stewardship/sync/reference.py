"""Reference rows: read from the files, copied into a group as records of its own.

The id of a row and that of the mutation which enters it follow from the group and the row's key, so that loading again
adds only what is new: what a group has amended or retired stays as it is.
"""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

import orjson
from django.conf import settings

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Member
from stewardship.errors import RuleViolation
from stewardship.sync.models import Mutation
from stewardship.sync.playing import play
from stewardship.sync.reading import Sent

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "reference"
FILES = (
    ("species", "species.json"),
    ("active_ingredient", "active_ingredients.json"),
    ("product", "products.json"),
    ("limit", "limits.json"),
    ("rule_profile", "rule_profiles.json"),
    ("practice", "practices.json"),
    ("credential_type", "credential_types.json"),
)
"""Type of record and file, in the order in which rows may name one another."""

Row = dict[str, Any]
Named = Callable[[str, str], str]
"""(type, key) -> the id of that row in the group."""


class NoCoordinator(RuleViolation):
    """Nobody can enter reference rows."""

    code = "no_coordinator"
    message = "This group has no coordinator, or there is no such group: nobody can enter reference rows for it."


class ReferenceHeld(RuleViolation):
    """A reference row was not taken."""

    code = "reference_held"
    message = "{count} reference rows were held, the first with {first}: {detail}"


def reference_rows(type: str) -> list[Row]:
    """Return the rows of a file as they stand there: values of a new record, other rows named by their key."""
    rows: list[Row] = orjson.loads((FOLDER / dict(FILES)[type]).read_bytes())["rows"]
    return rows


def reference_id(group_id: UUID, type: str, key: str) -> UUID:
    """Return the id that the reference row with this key has in the group."""
    return uuid5(group_id, f"{type}:{key}")


def load_reference(group_id: UUID, *, at: datetime) -> int:
    """Enter the reference rows that the group does not have yet, as its first coordinator; return how many.

    Raises NoCoordinator; ReferenceHeld if a row was not taken.
    """
    lines = [_line(group_id, type, row) for type, _ in FILES for row in reference_rows(type)]
    known = Mutation.objects.filter(group_id=group_id, mid__in=[line.mid for line in lines])
    played = set(known.values_list("mid", flat=True))
    fresh = [line for line in lines if line.mid not in played]
    if not fresh:
        return 0
    results = play(fresh, actor=_first_coordinator(group_id), at=at)
    held = [result for result in results if result["outcome"] == "held"]
    if held:
        raise ReferenceHeld(count=len(held), first=held[0]["code"], detail=held[0]["detail"])
    return len(fresh)


def _line(group_id: UUID, type: str, row: Row) -> Sent:
    def named(type: str, key: str) -> str:
        return str(reference_id(group_id, type, key))

    id = named(type, row["reference_key"])
    mid = uuid5(group_id, f"{type}:{row['reference_key']}:create")
    return Sent(mid=mid, type=type, op="create", set={**row, "id": id} | _names(row, named))


def _names(row: Row, named: Named) -> Row:
    """Return the fields of a row that name other rows, with their ids."""
    found: Row = {type: named(type, row[type]) for type in ("species", "product") if row.get(type)}
    if "ingredients" in row:
        found["ingredients"] = [
            each | {"active_ingredient": named("active_ingredient", each["active_ingredient"])}
            for each in row["ingredients"]
        ]
    if "compatible_with" in row:
        found["compatible_with"] = [named("product", key) for key in row["compatible_with"]]
    return found


def _first_coordinator(group_id: UUID) -> Actor:
    members = Member.objects.present().filter(group_id=group_id, role="coordinator")
    member = members.order_by("entered_at", "id").first()
    if member is None:
        raise NoCoordinator
    return Actor(member.person_id, group_id, member.id, member.role)
