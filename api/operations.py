"""What a view says of itself in the OpenAPI document."""

from dataclasses import dataclass, field
from typing import Any

Schema = dict[str, Any]

ID: Schema = {"type": "string", "format": "uuid"}
TEXT: Schema = {"type": "string"}
MOMENT: Schema = {"type": "string", "format": "date-time"}
INTEGER: Schema = {"type": "integer"}


@dataclass(frozen=True)
class Does:
    """One operation: what it takes and gives."""

    summary: str
    gives: Schema
    takes: Schema | type | None = None
    """A JSON Schema or the struct that the body is read as."""
    status: int = 200
    media_type: str = "application/json"
    parameters: list[Schema] = field(default_factory=list)
    headers: tuple[str, ...] = ()
    is_open: bool = False
    """Whether anybody may ask."""
    takes_as: str = "application/json"


def ref(name: str) -> Schema:
    """Return a reference to a component."""
    return {"$ref": f"#/components/schemas/{name}"}


def an_object(required: dict[str, Schema], optional: dict[str, Schema] | None = None) -> Schema:
    """Return the schema of an object with these members."""
    return {"type": "object", "properties": required | (optional or {}), "required": list(required)}


def a_list(items: Schema) -> Schema:
    """Return the schema of a list."""
    return {"type": "array", "items": items}


def or_null(schema: Schema) -> Schema:
    """Return the schema of the same, or null."""
    if "type" in schema and "enum" not in schema:
        return schema | {"type": [schema["type"], "null"]}
    return {"anyOf": [schema, {"type": "null"}]}


def a_page(items: Schema) -> Schema:
    """Return the schema of a page of a list."""
    link = or_null({"type": "string", "format": "uri"})
    return an_object({"next": link, "previous": link, "results": a_list(items)})


def in_query(name: str, schema: Schema, description: str) -> Schema:
    """Return a query parameter."""
    return {"name": name, "in": "query", "required": False, "schema": schema, "description": description}


def in_header(name: str, schema: Schema, description: str, *, is_needed: bool = False) -> Schema:
    """Return a header parameter."""
    return {"name": name, "in": "header", "required": is_needed, "schema": schema, "description": description}


PAGE = [
    in_query("limit", INTEGER | {"minimum": 1, "maximum": 500, "default": 50}, "How many records a page has at most."),
    in_query("cursor", TEXT | {"maxLength": 43}, "The place of a page, from the link of another."),
]
KEY = in_header("Idempotency-Key", ID, "A UUID that you make: the same request under it is performed once.")
IF_MATCH = in_header("If-Match", TEXT | {"pattern": '^"[0-9]{1,9}"$'}, "The ETag of the revision that you read.")
IF_MATCH_NEEDED = IF_MATCH | {"required": True}
HEADERS: dict[str, Schema] = {
    "ETag": {"schema": TEXT, "description": "The record's revision, in quotation marks."},
    "Location": {"schema": {"type": "string", "format": "uri"}, "description": "Where the new record stands."},
    "Idempotency-Replayed": {
        "schema": {"type": "string", "const": "true"},
        "description": "This is the stored answer to the same request, sent before.",
    },
    "Upload-Offset": {"schema": INTEGER, "description": "How many bytes have arrived: the next piece begins there."},
    "Upload-Length": {"schema": INTEGER, "description": "How many bytes the whole file has."},
    "Upload-Complete": {"schema": TEXT | {"enum": ["?0", "?1"]}, "description": "Whether the whole file is here."},
}
