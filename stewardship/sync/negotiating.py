"""Which versions of the protocol and of the records' form are spoken here."""

from typing import Any

from stewardship.errors import RuleViolation
from stewardship.sync.pull import SCHEMA

MIN_PROTOCOL, MAX_PROTOCOL = 1, 1
MIN_SCHEMA = 1
"""The oldest form of records that a pull still gives."""


class ProtocolUnknown(RuleViolation):
    """A call in a version of the protocol that is not spoken here."""

    code = "protocol_unknown"
    message = "This app talks to the service in a way that it does not know. Update the app; what it keeps is not lost."


class SchemaUnknown(RuleViolation):
    """A pull for records in a form that is not given here."""

    code = "schema_unknown"
    message = "This app reads records in another form. Update the app; what it keeps can still be sent."


def check_protocol(version: int) -> None:
    """Refuse a version that is not spoken. Raises ProtocolUnknown."""
    if not MIN_PROTOCOL <= version <= MAX_PROTOCOL:
        raise ProtocolUnknown(min=MIN_PROTOCOL, max=MAX_PROTOCOL)


def check_schema_of_pull(version: int) -> None:
    """Refuse a form that is not given. Raises SchemaUnknown.

    A push is taken from any: what cannot be read of it is held.
    """
    if not MIN_SCHEMA <= version <= SCHEMA:
        raise SchemaUnknown(min=MIN_SCHEMA, max=SCHEMA)


def spoken() -> dict[str, Any]:
    """Return what is spoken, as a device is told."""
    return {
        "protocol": {"min": MIN_PROTOCOL, "max": MAX_PROTOCOL},
        "schema": {"min": MIN_SCHEMA, "current": SCHEMA},
    }
