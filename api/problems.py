"""Errors as problem details (RFC 9457): one shape for everything under /api/."""

import logging
from http import HTTPStatus
from math import ceil
from typing import Any

import orjson
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.db import DataError, InterfaceError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse, UnreadablePostError
from django.http.multipartparser import MultiPartParserError
from django.views import defaults
from rest_framework.exceptions import APIException, AuthenticationFailed, NotAuthenticated

from api.parsing import BodyTooLarge, BodyUnreadable
from stewardship.attachments.refusals import FileEmpty, FileKindNotTaken, FileTooLarge, HashDiffers, PieceUnreadable
from stewardship.errors import Conflict, NotPermitted, RuleViolation, Unavailable, Unreadable
from stewardship.rules.mixes.compositions import CarriersDiffer, ContentsUnknown, ProductsNotCompatible
from stewardship.rules.seasons import SeasonsOverlap
from stewardship.rules.shares import BatchOverdrawn
from stewardship.sync.atoms import MutationReused
from stewardship.sync.holding import TOLD
from stewardship.sync.negotiating import ProtocolUnknown, SchemaUnknown
from stewardship.sync.pull import CursorGone, CursorUnreadable
from stewardship.sync.rates import TooMuch
from stewardship.sync.rewinding import BookRewound

MEDIA_TYPE = "application/problem+json"
RETRY_AFTER_S = 5

log = logging.getLogger(__name__)


class InvalidRequest(RuleViolation):
    """Something about the request itself, not about the group's records."""

    code = "request_invalid"
    message = "The request could not be understood."


class PreconditionMissing(RuleViolation):
    """A change without the revision that it was made from."""

    code = "if_match_missing"
    message = 'Say which revision you change: send If-Match with the ETag that you read, such as "3".'


STATUS: dict[type[RuleViolation], int] = {
    InvalidRequest: 400,
    BodyUnreadable: 400,
    Unreadable: 400,
    CursorUnreadable: 400,
    NotPermitted: 403,
    Unavailable: 404,
    CursorGone: 410,
    BookRewound: 410,
    BodyTooLarge: 413,
    FileTooLarge: 413,
    FileKindNotTaken: 415,
    FileEmpty: 400,
    PieceUnreadable: 400,
    HashDiffers: 422,
    BatchOverdrawn: 409,
    ContentsUnknown: 409,
    CarriersDiffer: 409,
    ProductsNotCompatible: 409,
    SeasonsOverlap: 409,
    MutationReused: 422,
    ProtocolUnknown: 426,
    SchemaUnknown: 426,
    PreconditionMissing: 428,
    TooMuch: 429,
    RuleViolation: 409,
}
"""The status of a refusal and of its subclasses: of the nearest one that stands here."""


def problem(
    status: int, code: str, detail: str, *, more: dict[str, Any] | None = None, headers: dict[str, str] | None = None
) -> HttpResponse:
    """Return an answer that says what went wrong."""
    body = {"type": f"urn:stewardship:problem:{code}", "title": code.replace("_", " ").capitalize()}
    body |= {"status": status, "code": code, "detail": detail} | (more or {})
    headers = {"Cache-Control": "no-store"} | (headers or {})
    return HttpResponse(orjson.dumps(body), content_type=MEDIA_TYPE, status=status, headers=headers)


def answer(error: Exception, context: dict[str, Any]) -> HttpResponse | None:
    """Return the answer to what a view raised; None if it is a fault of ours."""
    if isinstance(error, RuleViolation):
        return of_rule(error, conditional="If-Match" in context["request"].headers)
    if isinstance(error, APIException):
        return _of_framework(error)
    if isinstance(error, Http404):
        return not_found()
    if isinstance(error, PermissionDenied):
        return problem(403, "permission_denied", "You may not do this.")
    if isinstance(error, OperationalError | InterfaceError):
        log.error("The database does not answer", exc_info=error)
        return unavailable()
    if isinstance(error, DataError | SuspiciousOperation | UnreadablePostError | MultiPartParserError):
        return _unfit(error)
    return None


def of_rule(rule: RuleViolation, *, conditional: bool = False) -> HttpResponse:
    """Return a refusal as a problem; a conflict is a failed precondition where the request stated one."""
    status = 412 if conditional and isinstance(rule, Conflict) else status_of(rule)
    told = {name: rule.facts[name] for name in (*TOLD, "expected", "min", "max") if name in rule.facts}
    told |= {"where": rule.where} if rule.where else {}
    headers = {"Retry-After": str(rule.wait_s)} if isinstance(rule, TooMuch) else {}
    return problem(status, rule.code, str(rule), more=told, headers=headers)


def status_of(rule: RuleViolation) -> int:
    """Return the status of a refusal; what rules of the trade refuse by themselves is bad input, or stands above."""
    nearest = next(kind for kind in type(rule).__mro__ if kind in STATUS)
    is_input = type(rule) is not nearest and type(rule).__module__.startswith("stewardship.rules.")
    return 400 if is_input else STATUS[nearest]


def _of_framework(error: APIException) -> HttpResponse:
    code = str(getattr(error.detail, "code", error.default_code))
    headers = {}
    if isinstance(error, AuthenticationFailed | NotAuthenticated):
        headers["WWW-Authenticate"] = str(getattr(error, "auth_header", "") or "Bearer")
    if wait := getattr(error, "wait", None):
        headers["Retry-After"] = str(ceil(wait))
    return problem(error.status_code, code, str(error.detail), headers=headers)


def _unfit(error: Exception) -> HttpResponse:
    if isinstance(error, RequestDataTooBig):
        return problem(413, BodyTooLarge.code, BodyTooLarge.message)
    if isinstance(error, DataError):
        log.warning("The database refused a value", exc_info=error)
    return problem(400, InvalidRequest.code, InvalidRequest.message)


def not_found() -> HttpResponse:
    """Return the answer for an address that leads nowhere."""
    return problem(404, "not_found", "There is nothing at this address.")


def unavailable() -> HttpResponse:
    """Return the answer while the database is away."""
    detail = "The service cannot reach its records just now. Keep what you have and try again."
    return problem(503, "unavailable", detail, headers={"Retry-After": str(RETRY_AFTER_S)})


# -- what never reached a view ------------------------------------------------------------------------


def _is_ours(request: HttpRequest) -> bool:
    return request.path_info.startswith("/api/")


def page_not_found(request: HttpRequest, exception: Exception) -> Any:
    """Answer an unknown address."""
    return not_found() if _is_ours(request) else defaults.page_not_found(request, exception)


def bad_request(request: HttpRequest, exception: Exception) -> Any:
    """Answer a request that was refused before any view."""
    return _unfit(exception) if _is_ours(request) else defaults.bad_request(request, exception)


def server_error(request: HttpRequest) -> Any:
    """Answer a fault of ours."""
    if not _is_ours(request):
        return defaults.server_error(request)
    status = HTTPStatus.INTERNAL_SERVER_ERROR
    return problem(status, "server_error", "Something went wrong on our side. Nothing of this request was written.")
