"""The JSON that is taken: strict, bounded, and read at the speed of C unless something in it looks odd."""

import json
import re
import zlib
from itertools import accumulate
from typing import Any, NoReturn

import orjson
from django.conf import settings
from django.utils.http import parse_header_parameters
from rest_framework.exceptions import UnsupportedMediaType
from rest_framework.parsers import BaseParser

from stewardship.errors import RuleViolation

MAX_BYTES = 1 << 20
MAX_DEPTH = 32
MAX_INTEGER = 1 << 53

_CONTAINERS = (dict, list)
_SPACED_COLONS = (b" :", b"\t:", b"\r:", b"\n:")
_MEMBER = re.compile(rb'"[ \t\r\n]*:')
_DIGITS_ONLY = bytes(ord("0") if byte in b"0123456789" else ord(" ") for byte in range(256))
_LONG_NUMBER = b"0" * len(str(MAX_INTEGER))
_STRING = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"', re.DOTALL)
_BRACKET = re.compile(r"[\[\]{}]")
_REFUSED_TEXT = re.compile("[\x00\ud800-\udfff]")


class BodyUnreadable(RuleViolation):
    """A body that is no JSON of ours."""

    code = "body_unreadable"
    message = "What was sent could not be read as JSON."


class BodyTooLarge(RuleViolation):
    """A body that is longer than any request needs."""

    code = "body_too_large"
    message = "What was sent is larger than 1 MiB. Send it in smaller parts."


class StrictJson(BaseParser):
    """JSON in UTF-8, plain or in gzip; see ``parse_json``."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        """Return the value of a request's body."""
        request = parser_context["request"]
        _check_charset(media_type or "")
        body = _inflated(_read(stream, request), request.headers.get("Content-Encoding", ""))
        request.size_bytes = len(body)
        return parse_json(body)


class Octets(BaseParser):
    """Bytes as they are: a file or a piece of one, never more than a whole file may have."""

    media_type = "application/octet-stream"

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> bytes:
        """Return the body; one byte beyond what a file may have is enough to refuse it."""
        request = parser_context["request"]
        if encoding := request.headers.get("Content-Encoding", ""):
            raise UnsupportedMediaType(encoding, "A file is sent as it is, without another encoding.")
        body: bytes = stream.read(settings.ATTACHMENT_MAX_BYTES + 1)
        return body


def parse_json(body: bytes) -> Any:
    """Return the value that these bytes say.

    Raises BodyTooLarge (over 1 MiB) or BodyUnreadable: not UTF-8, not JSON, deeper than 32, a name twice in one
    object, a whole number beyond 2^53 either way, NaN or infinity, a NUL or half of a surrogate pair.
    """
    if len(body) > MAX_BYTES:
        raise BodyTooLarge
    try:
        value = orjson.loads(body)
    except orjson.JSONDecodeError:
        return _parse_slowly(body)
    return _parse_slowly(body) if _looks_odd(body, value) else value


def _looks_odd(body: bytes, value: Any) -> bool:
    """Return whether there may be a NUL, a whole number that is too large, a name sent twice, or too much depth."""
    if b"\\u0000" in body or _LONG_NUMBER in body.translate(_DIGITS_ONLY):
        return True
    spaced = any(colon in body for colon in _SPACED_COLONS)
    return _members(value) != (len(_MEMBER.findall(body)) if spaced else body.count(b'":'))


def _members(value: Any) -> int:
    """Return how many members all objects have together, -1 if the value is too deep to be taken.

    The text has at least as many (a quote before a colon may also stand within a string), so an equal number means
    that no name was sent twice in one object.
    """
    count, level = 0, [value] if isinstance(value, _CONTAINERS) else []
    for _ in range(MAX_DEPTH):
        if not level:
            return count
        count += sum(len(node) for node in level if type(node) is dict)
        children = (node.values() if type(node) is dict else node for node in level)
        level = [child for members in children for child in members if type(child) in _CONTAINERS]
    return -1 if level else count


# -- the slow way, which can say what is wrong --------------------------------------------------------


def _parse_slowly(body: bytes) -> Any:
    try:
        text = body.decode()
    except UnicodeDecodeError as error:
        raise BodyUnreadable(f"What was sent is not UTF-8 text (byte {error.start}).") from error
    depths = accumulate(1 if bracket in "[{" else -1 for bracket in _BRACKET.findall(_STRING.sub("", text)))
    if max(depths, default=0) > MAX_DEPTH:
        raise BodyUnreadable(f"What was sent is nested deeper than {MAX_DEPTH} levels.")
    try:
        value = json.loads(
            text, object_pairs_hook=_object, parse_int=_integer, parse_float=_number, parse_constant=_no_constant
        )
    except (json.JSONDecodeError, RecursionError) as error:
        place = f" (line {error.lineno}, column {error.colno})" if isinstance(error, json.JSONDecodeError) else ""
        raise BodyUnreadable(f"What was sent could not be read as JSON{place}.") from error
    _check_text(value)
    return value


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members = dict(pairs)
    if len(members) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise BodyUnreadable(f"The name {ascii(twice)[:80]} stands twice in one object.")
    return members


def _integer(digits: str) -> int:
    if len(digits) > len("-9007199254740992") or abs(number := int(digits)) > MAX_INTEGER:
        raise BodyUnreadable("A whole number is beyond 9,007,199,254,740,992. Send it as text.")
    return number


def _number(digits: str) -> float:
    number = float(digits)
    if number in (float("inf"), float("-inf")):
        raise BodyUnreadable("A number is larger than any that can be kept.")
    return number


def _no_constant(name: str) -> NoReturn:
    raise BodyUnreadable(f"{name} is no number of JSON.")


def _check_text(value: Any) -> None:
    waiting = [value]
    while waiting:
        node = waiting.pop()
        if isinstance(node, str) and _REFUSED_TEXT.search(node):
            raise BodyUnreadable("A text contains a NUL character or half of a surrogate pair.")
        if isinstance(node, dict):
            waiting.extend(node)
            waiting.extend(node.values())
        elif isinstance(node, list):
            waiting.extend(node)


# -- bytes --------------------------------------------------------------------------------------------


def _check_charset(media_type: str) -> None:
    _, parameters = parse_header_parameters(media_type)
    if parameters.get("charset", "utf-8").lower() not in ("utf-8", "utf8"):
        raise UnsupportedMediaType(media_type, "JSON is taken as UTF-8 only.")


def _read(stream: Any, request: Any) -> bytes:
    length: str = request.META.get("CONTENT_LENGTH") or "0"
    if length.isdecimal() and int(length[:20]) > MAX_BYTES:
        raise BodyTooLarge
    body: bytes = stream.read(MAX_BYTES + 1)
    return body


def _inflated(body: bytes, encoding: str) -> bytes:
    """Return the body as it was before compression, never more of it than is taken."""
    if encoding.strip().lower() in ("", "identity"):
        return body
    if encoding.strip().lower() != "gzip":
        raise UnsupportedMediaType(encoding, "A body may be sent plain or in gzip, in no other encoding.")
    inflater = zlib.decompressobj(wbits=31)
    try:
        plain = inflater.decompress(body, MAX_BYTES + 1)
    except zlib.error as error:
        raise BodyUnreadable("What was sent is not the gzip that it says it is.") from error
    if len(plain) > MAX_BYTES:
        raise BodyTooLarge
    if not inflater.eof:
        raise BodyUnreadable("The gzip that was sent breaks off.")
    if inflater.unused_data:
        raise BodyUnreadable("Something stands behind the end of the gzip that was sent.")
    return plain
