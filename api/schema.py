"""The OpenAPI document."""

from typing import Any

from drf_spectacular.openapi import AutoSchema


class Operations(AutoSchema):
    """Operations."""


def complete(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Complete."""
    return result
