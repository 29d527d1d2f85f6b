"""What may be sent: the field types that every app's structs are made of.

A struct field that names another record is ``Annotated[UUID, Ref(Model)]``: from that mark the write path knows
what to look up, and the tests know where somebody else's id could be put.
"""

from datetime import datetime
from functools import cache
from typing import Annotated, Any, ClassVar, Protocol, runtime_checkable
from uuid import UUID
from zoneinfo import available_timezones

from msgspec import UNSET, Meta, Struct, to_builtins

from stewardship.journal.references import references
from stewardship.rules import units
from stewardship.rules.identifiers import check_identifier
from stewardship.rules.refusals import RuleViolation

Name = Annotated[str, Meta(min_length=1, max_length=200, pattern=r"\S")]
Text = Annotated[str, Meta(max_length=4000)]
Reason = Annotated[str, Meta(max_length=1000)]
MOST_OF_A_CITATION = 4000
Moment = Annotated[datetime, Meta(tz=True)]


@runtime_checkable
class Checked(Protocol):
    """A type with a check of its own: ``read`` makes it from JSON or raises ValueError or RuleViolation."""

    @classmethod
    def read(cls, value: Any) -> Any:
        """Return the value, checked."""

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""


def read_checked(kind: Any, value: Any) -> Any:
    """Make a value of a checked type: the ``dec_hook`` of every conversion."""
    try:
        return kind.read(value)
    except RuleViolation as refusal:
        raise ValueError(str(refusal)) from refusal


class ZoneName(str):
    """The IANA name of a time zone, such as America/Chicago; empty where none of its own is wanted."""

    @classmethod
    def read(cls, value: Any) -> "ZoneName":
        """Refuse a name that the time-zone database does not have."""
        if value == "" or (isinstance(value, str) and value in _zones()):
            return cls(value)
        raise ValueError("This is no time zone we know. Write its IANA name, such as America/Chicago.")

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "maxLength": 60}


class Jurisdiction(str):
    """The ISO 3166 code of a country or a part of one, such as US-WA; empty where none is named."""

    @classmethod
    def read(cls, value: Any) -> "Jurisdiction":
        """Refuse what cannot be one."""
        if not isinstance(value, str):
            raise ValueError("This must be text.")
        return cls(value and check_identifier("jurisdiction", value))

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "maxLength": 6}


class Citation(str):
    """Who says so: title, publisher, year, page. What is cited never stands without it."""

    @classmethod
    def read(cls, value: Any) -> "Citation":
        """Refuse an empty one, and one that is taken away."""
        if not isinstance(value, str) or not value.strip():
            raise ValueError("Name the source: what is cited never stands without it. Retire it if it no longer holds.")
        if len(value) > MOST_OF_A_CITATION:
            raise ValueError(f"A source takes at most {MOST_OF_A_CITATION} characters.")
        return cls(value)

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "minLength": 1, "maxLength": MOST_OF_A_CITATION}


@cache
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def Ref(model: Any, *, lock: bool = False) -> Meta:  # noqa: N802
    """Mark a field as the id of a record of this model; ``lock`` where the service changes or sums it."""
    return Meta(extra={"record": model, "lock": lock})


class Closed(Struct, kw_only=True, frozen=True, forbid_unknown_fields=True):
    """A value with these fields and no others."""


class New(Closed, kw_only=True, frozen=True):
    """What a new record is made of; a client may make its id."""

    id: UUID | None = None


class Target(Closed, kw_only=True, frozen=True):
    """An act on one record, with the reason where one is asked for."""

    id: UUID
    reason: Reason = ""


class Amend(Target, kw_only=True, frozen=True):
    """A correction: only the fields that are sent are changed."""


class Quantity(Closed, frozen=True):
    """A value as a person wrote it, with its unit; kept as written beside the integer in base units."""

    base: ClassVar[str]
    dimension: ClassVar[units.Dimension]

    value: Annotated[str, Meta(max_length=40)]
    unit: Annotated[str, Meta(max_length=20)]

    def __post_init__(self) -> None:
        """Refuse what is no quantity of this dimension, with the units that are."""
        try:
            self.amount()
        except RuleViolation as refusal:
            raise ValueError(str(refusal)) from refusal

    def amount(self) -> int:
        """Return the integer in base units, rounded once, half to even."""
        return units.to_base(self.value, self.unit, self.dimension)

    def columns(self, name: str) -> dict[str, Any]:
        """Return the three columns that keep it."""
        return {f"{name}_{self.base}": self.amount(), f"{name}_value": self.value, f"{name}_unit": self.unit}

    def told(self) -> dict[str, Any]:
        """Return it as it stands inside a JSON column: as written, beside the integer."""
        return {"value": self.value, "unit": self.unit, self.base: self.amount()}


class Volume(Quantity, frozen=True):
    """A volume; base unit nL."""

    base = "nl"
    dimension = units.Dimension.VOLUME


class Mass(Quantity, frozen=True):
    """A mass; base unit µg."""

    base = "ug"
    dimension = units.Dimension.MASS


class Area(Quantity, frozen=True):
    """An area; base unit mm²."""

    base = "mm2"
    dimension = units.Dimension.AREA


class Length(Quantity, frozen=True):
    """A length or distance; base unit nm."""

    base = "nm"
    dimension = units.Dimension.LENGTH


class Speed(Quantity, frozen=True):
    """A speed, such as that of the wind; base unit µm/s."""

    base = "um_s"
    dimension = units.Dimension.SPEED


class Temperature(Quantity, frozen=True):
    """A temperature; base unit thousandths of a degree Celsius."""

    base = "mc"
    dimension = units.Dimension.TEMPERATURE


QUANTITIES: tuple[type[Quantity], ...] = (Volume, Mass, Area, Length, Speed, Temperature)


def columns(wish: Closed) -> dict[str, Any]:
    """Return the column values that a struct's sent fields stand for, without the target's id and the reason.

    A quantity becomes its three columns, an id that refers to a record the column of its foreign key.
    """
    values: dict[str, Any] = {}
    named = _named(type(wish))
    for name in wish.__struct_fields__:
        value = getattr(wish, name)
        if value is UNSET or name in ("id", "reason"):
            continue
        if hasattr(value, "columns"):
            values |= value.columns(name)
        else:
            values[f"{name}_id" if name in named else name] = value
    return values


@cache
def _named(struct: type) -> frozenset[str]:
    return frozenset(reference.path for reference in references(struct))


def json_columns(wish: Closed) -> dict[str, Any]:
    """Return the column values of what was sent, lists and nested structs as JSON."""
    return {
        name: to_builtins(value, enc_hook=str) if isinstance(value, list | Closed) else value
        for name, value in columns(wish).items()
    }


def no_quantity(name: str, base: str) -> dict[str, None]:
    """Return the three columns of a quantity that is not stated."""
    return {f"{name}_{base}": None, f"{name}_value": None, f"{name}_unit": None}
