"""Answers as JSON."""

from typing import Any

import orjson
from rest_framework.renderers import BaseRenderer


class Json(BaseRenderer):
    """JSON in UTF-8."""

    media_type = "application/json"
    format = "json"
    charset = None

    def render(self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None) -> bytes:
        """Return the bytes of an answer."""
        return b"" if data is None else orjson.dumps(data)


class NdJson(Json):
    """One JSON value a line."""

    media_type = "application/x-ndjson"
    format = "ndjson"


class Html(BaseRenderer):
    """A page, already made."""

    media_type = "text/html"
    format = "html"

    def render(self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None) -> Any:
        """Return it as it is."""
        return data


class ICalendar(Html):
    """A calendar, already made."""

    media_type = "text/calendar"
    format = "ics"
