"""Texts that are checked when they are read: identifiers, formulas, decimal numbers."""

from typing import Any, ClassVar

from stewardship.rules import chemistry
from stewardship.rules.decimals import parse_decimal
from stewardship.rules.identifiers import check_identifier
from stewardship.rules.registrations import check_registration_no


class _Identifier(str):
    """An identifier of one kind, its form checked; empty where it is not known."""

    kind: ClassVar[str]

    @classmethod
    def read(cls, value: Any) -> "_Identifier":
        """Refuse what cannot be one."""
        if not isinstance(value, str):
            raise ValueError("This must be text.")
        return cls(value and check_identifier(cls.kind, value))

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "maxLength": 40}


class UsdaSymbol(_Identifier):
    """A USDA PLANTS symbol, such as RHCA3; empty where it is not known."""

    kind = "usda_symbol"


class EppoCode(_Identifier):
    """An EPPO code of a plant, five letters; empty where it is not known."""

    kind = "eppo_code"


class CasNumber(_Identifier):
    """A CAS registry number with its check digit; empty where it is not known."""

    kind = "cas"


class RegistrationNo(str):
    """A registration number as on the label, with its hyphens, such as 99990-101; empty where the product has none."""

    @classmethod
    def read(cls, value: Any) -> "RegistrationNo":
        """Refuse what cannot be one, with what was probably meant."""
        if not isinstance(value, str):
            raise ValueError("This must be text.")
        return cls(value and check_registration_no(value))

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "maxLength": 40}


class Formula(str):
    """A sum formula, such as C3H8NO5P; empty where it is not known."""

    @classmethod
    def read(cls, value: Any) -> "Formula":
        """Refuse what is no sum formula of elements in our table."""
        if not isinstance(value, str):
            raise ValueError("A formula is text.")
        if value:
            chemistry.molar_mass(value)
        return cls(value)

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "maxLength": chemistry.MAX_FORMULA}


class DecimalText(str):
    """A plain decimal number as text, such as 41.0; not below zero."""

    may_be_negative: ClassVar[bool] = False

    @classmethod
    def read(cls, value: Any) -> "DecimalText":
        """Refuse what is no plain decimal number."""
        if not isinstance(value, str):
            raise ValueError("Write the number as text, such as 41.0.")
        parse_decimal(value, may_be_negative=cls.may_be_negative)
        return cls(value)

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "maxLength": 20}


class DecimalOrNone(DecimalText):
    """A plain decimal number as text, not below zero; empty where it is not known."""

    @classmethod
    def read(cls, value: Any) -> DecimalText:
        """Refuse what is neither a plain decimal number nor empty."""
        return cls("") if value == "" else super().read(value)


class LimitValue(DecimalOrNone):
    """A plain decimal number as text, perhaps with a minus; empty where this end is open."""

    may_be_negative = True
