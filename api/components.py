"""The schemas that the OpenAPI document's operations share: what is sent, what is answered, problems."""

from copy import deepcopy
from functools import cache, reduce
from operator import or_
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

import msgspec
from django.db import models

from api.answers import UNIT_OF
from api.operations import ID, INTEGER, MOMENT, TEXT, Schema, a_list, an_object, or_null, ref
from stewardship.journal import contents
from stewardship.journal.fields import Checked, Target
from stewardship.journal.models import Record
from stewardship.sync.verbs import VERBS

_TEMPLATE = "#/components/schemas/{name}"
_TYPES: tuple[tuple[type[Any], Schema], ...] = (
    (models.ForeignKey, ID),
    (models.UUIDField, ID),
    (models.DateTimeField, MOMENT),
    (models.DateField, {"type": "string", "format": "date"}),
    (models.BooleanField, {"type": "boolean"}),
    (models.IntegerField, INTEGER),
    (models.JSONField, {}),
    (models.Field, TEXT),
)
HELD: Schema = INTEGER | {"description": "Entries that wait for a person and are in no sum."}
SHOWN = an_object({"value": TEXT, "unit": TEXT})
WARNING = an_object({"code": TEXT, "detail": TEXT}, {"field": TEXT, "source": TEXT})
PROBLEM = an_object(
    {"type": TEXT, "title": TEXT, "status": INTEGER, "code": TEXT, "detail": TEXT},
    {
        "errors": a_list(an_object({"pointer": TEXT, "code": TEXT, "detail": TEXT})),
        "reasons": a_list(an_object({"code": TEXT, "detail": TEXT}, {"where": TEXT})),
        "where": TEXT,
        "expected": INTEGER,
        "min": INTEGER,
        "max": INTEGER,
    },
) | {"description": "What went wrong (RFC 9457); code names it for programs, detail for people."}
REVISION = an_object(
    {
        "seq": INTEGER, "rev": INTEGER, "op": TEXT,
        "who": an_object({"person": ID, "name": or_null(TEXT)}),
        "when": MOMENT,
        "device": or_null(an_object({"id": ID, "name": or_null(TEXT)})),
        "reason": TEXT, "is_erased": {"type": "boolean"},
        "changes": a_list(an_object({"field": TEXT, "old": {}, "new": {}})),
    },
)  # fmt: skip


@cache
def sent() -> tuple[dict[type, Schema], dict[str, Schema]]:
    """Return a reference for each struct that a verb takes, and the components that they refer to."""
    return schemas(sorted({verb.fields for verb in VERBS.values()}, key=lambda s: (s.__name__, s.__module__)))


def schemas(structs: Any) -> tuple[dict[type, Schema], dict[str, Schema]]:
    """Return a reference for each of these structs, and the components that they refer to."""
    made, components = msgspec.json.schema_components(
        [told_plainly(struct) for struct in structs],
        schema_hook=lambda kind: kind.schema(),
        ref_template=_TEMPLATE,
    )
    return dict(zip(structs, made, strict=True)), components


@cache
def told_plainly(struct: type[msgspec.Struct]) -> type[msgspec.Struct]:
    """Return the struct as its schema can be written.

    A target's id is left out, since it stands in the address, and so are defaults of types with a check of their own.
    """
    fields = [
        (f.name, _plain_type(f.type)) if f.required else (f.name, _plain_type(f.type), _plain_default(f))
        for f in msgspec.structs.fields(struct)
        if f.name != "id" or not issubclass(struct, Target)
    ]
    told = {"__doc__": struct.__doc__}
    return msgspec.defstruct(
        struct.__name__, fields, namespace=told, module=struct.__module__, kw_only=True,
        forbid_unknown_fields=struct.__struct_config__.forbid_unknown_fields,
    )  # fmt: skip


def _plain_default(field: Any) -> Any:
    default = field.default
    if default is msgspec.NODEFAULT:
        return msgspec.field(default_factory=field.default_factory)
    return msgspec.field(default_factory=lambda: default) if isinstance(default, Checked) else default


def _plain_type(kind: Any) -> Any:
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        return told_plainly(kind)
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return Annotated[(_plain_type(inner[0]), *kind.__metadata__)]
    if origin in (Union, UnionType):
        return reduce(or_, map(_plain_type, inner))
    return list[_plain_type(inner[0])] if origin is list else kind


def within(struct: type, parent: str) -> Schema:
    """Return the schema of a struct whose ``parent`` stands in the address and may be left out."""
    refs, components = sent()
    found = deepcopy(components[refs[struct]["$ref"].rpartition("/")[2]])
    found["required"] = [name for name in found.get("required", []) if name != parent]
    return found


def answer_of(model: type[Record]) -> Schema:
    """Return a reference to what is answered for a record of this type."""
    return ref(f"{model.__name__}Record")


@cache
def answered() -> dict[str, Schema]:
    """Return the components of everything that is answered."""
    models_ = {verb.record for verb in VERBS.values()}
    records = {f"{m.__name__}Record": _record(m) for m in sorted(models_, key=lambda m: m.__name__)}
    return records | {"Problem": PROBLEM, "Revision": REVISION, "Shown": SHOWN, "Warning": WARNING}


def _record(model: type[Record]) -> Schema:
    columns = {f.name: f for f in model._meta.concrete_fields}
    own = {"id": ID, "rev": INTEGER | {"minimum": 1}, "entered_by": ID, "entered_at": MOMENT}
    names = [name for name, _ in (*contents.plan(model), *contents.plan_derived(model)) if name != "marks"]
    said = {name: _column(columns[name]) if name in columns else _quantity(name, columns) for name in names}
    said |= {name: _followed(getattr(model, name)) for name in model.follows}
    for name in list(said):
        stem, _, base = name.rpartition("_")
        if base in UNIT_OF and stem not in said:
            said[stem] = ref("Shown")
    stated = {name: schema for name, schema in said.items() if schema != ref("Shown")}
    shown = {name: schema for name, schema in said.items() if schema == ref("Shown")}
    marks = {"warnings": a_list(ref("Warning"))} if "marks" in columns else {}
    return an_object(own | stated, shown | marks) | {"description": (model.__doc__ or "").strip()}


def _followed(property_: property) -> Schema:
    """Return the schema of what a record tells beside its columns, by the type that its property says it gives."""
    kind = get_type_hints(property_.fget)["return"]
    if get_origin(kind) is Literal:
        return {"type": "string", "enum": list(get_args(kind))}
    if NoneType in get_args(kind):
        return or_null(INTEGER)
    return INTEGER if kind is int else {"type": "array"}


def _column(field: Any) -> Schema:
    schema = next(schema for kind, schema in _TYPES if isinstance(field, kind))
    if field.choices:
        schema = schema | {"enum": [value for value, _ in field.choices] + [""] * field.blank}
    return or_null(schema) if field.null and schema else dict(schema)


def _quantity(name: str, columns: dict[str, Any]) -> Schema:
    base = next(base for base in contents.BASES if f"{name}_{base}" in columns)
    schema = an_object({"value": TEXT, "unit": TEXT, base: INTEGER}, {"shown": ref("Shown")})
    return or_null(schema) if columns[f"{name}_{base}"].null else schema
