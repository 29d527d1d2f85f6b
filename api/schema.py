"""The OpenAPI document: each operation as its view describes itself."""

import re
from functools import cache
from typing import Any

import msgspec
import orjson
from django.http import HttpResponse
from django.templatetags.static import static
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from rest_framework.views import APIView

from api import components
from api.operations import HEADERS, ID, Does, Schema, ref
from api.problems import MEDIA_TYPE
from api.rendering import Html

NOTICE = """The records of a stewardship group: work days, mixes, use and follow-up.

**The label is the law.** Using a product in a way that contradicts its label is a violation. Published rates and limits
in this service are for reference only. Nothing here replaces the label, a licence or local rules."""
IN_PATH: dict[str, Schema] = {"sha256": {"type": "string", "pattern": "^[0-9a-f]{64}$"}}
"""Parts of an address that are no ids."""
_PARAMETER = re.compile(r"{(\w+)}")


class Operations(AutoSchema):
    """Makes an operation from what a view's ``describe`` says; a view that says nothing is left out."""

    def get_operation(self, path: str, path_regex: str, path_prefix: str, method: str, registry: Any) -> Any:
        """Return the operation of a method at a path."""
        describe = getattr(self.view, "describe", None)
        return _operation(path, describe(method.lower()), registry) if describe else None


def _operation(path: str, does: Does, registry: Any) -> Schema:
    words = [word for word in path.removeprefix("/api/v1/").split("/") if not word.startswith("{")]
    named = _PARAMETER.findall(path)
    in_path = [{"name": n, "in": "path", "required": True, "schema": IN_PATH.get(n, ID)} for n in named]
    act = does.summary.split()[0].lower()
    operation = {
        "operationId": "_".join(words if words[-1] == act else [*words, act]).replace("-", "_"),
        "summary": does.summary,
        "tags": [words[1] if len(words) > 1 and words[0] == "groups" else words[0]],
        "parameters": in_path + does.parameters,
        "responses": _responses(does),
        "security": [{}] if does.is_open else [{"device": []}, {"session_token": []}, {"browser": []}],
    }
    if does.takes is not None:
        content = {does.takes_as: {"schema": _body(does.takes, registry)}}
        operation["requestBody"] = {"content": content, "required": _is_needed(does)}
    return operation


def _body(takes: Schema | type, registry: Any) -> Schema:
    if not isinstance(takes, type):
        return takes
    refs, _ = components.sent()
    if takes not in refs:
        refs, more = components.schemas([takes])
        for name, schema in more.items():
            registry.register_on_missing(ResolvedComponent(name, ResolvedComponent.SCHEMA, schema, name))
    return refs[takes]


def _is_needed(does: Does) -> bool:
    """Return whether a body must be sent: whether something in it must, or it is no JSON."""
    takes = does.takes
    if not does.takes_as.endswith("json"):
        return True
    if not isinstance(takes, type):
        return bool(takes and takes.get("required"))
    return any(field.required for field in msgspec.structs.fields(components.told_plainly(takes)))


def _responses(does: Does) -> Schema:
    wrong = {"description": "A problem", "content": {MEDIA_TYPE: {"schema": ref("Problem")}}}
    good: Schema = {"description": "Done", "content": {does.media_type: {"schema": does.gives}}}
    if does.headers:
        good["headers"] = {name: HEADERS[name] for name in does.headers}
    return {str(does.status): good, "4XX": wrong, "503": wrong}


def complete(result: Schema, **_: Any) -> Schema:
    """Add what the operations refer to, and what everybody must know."""
    result["info"]["description"] = NOTICE
    shared = result.setdefault("components", {})
    _, sent = components.sent()
    shared["schemas"] = dict(sorted((shared.get("schemas", {}) | sent | components.answered()).items()))
    shared["securitySchemes"] = {
        "device": {"type": "http", "scheme": "bearer", "description": "The token of a device."},
        "session_token": {"type": "apiKey", "in": "header", "name": "X-Session-Token"},
        "browser": {"type": "apiKey", "in": "cookie", "name": "sessionid"},
    }
    return result


@cache
def document() -> bytes:
    """Return the document as JSON."""
    return orjson.dumps(SchemaGenerator().get_schema(request=None, public=True))


class Document(APIView):
    """The OpenAPI document, for anybody."""

    authentication_classes: list[Any] = []
    permission_classes: list[Any] = []

    def get(self, request: Any) -> HttpResponse:
        """Return it."""
        return HttpResponse(document(), content_type="application/json")


class Docs(APIView):
    """The same to read, for anybody."""

    renderer_classes = [Html]
    authentication_classes: list[Any] = []
    permission_classes: list[Any] = []

    def get(self, request: Any) -> HttpResponse:
        """Return the page."""
        files = {name: static(f"drf_spectacular_sidecar/swagger-ui-dist/{name}") for name in _FILES}
        css, script, icon = (files[name] for name in _FILES)
        return HttpResponse(_PAGE.format(css=css, script=script, icon=icon, nonce=request._request.csp_nonce))


_FILES = ("swagger-ui.css", "swagger-ui-bundle.js", "favicon-32x32.png")
_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>API of the stewardship service</title>
<link rel="icon" href="{icon}">
<link rel="stylesheet" href="{css}">
</head>
<body>
<main id="docs"></main>
<script src="{script}" nonce="{nonce}"></script>
<script nonce="{nonce}">
SwaggerUIBundle({{url: "schema", dom_id: "#docs", deepLinking: true, validatorUrl: null}})
</script>
</body>
</html>
"""
