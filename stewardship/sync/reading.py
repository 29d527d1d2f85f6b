"""What was sent becomes what a verb takes; whatever is wrong with it is told all at once."""

import json
import re
from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from types import UnionType
from typing import Any, Union, get_args, get_origin
from uuid import UUID

import msgspec
import orjson

from stewardship.errors import RuleViolation, Unreadable
from stewardship.journal.fields import Closed, read_checked
from stewardship.sync.bounds import beyond
from stewardship.sync.verbs import VERBS, Verb

Problem = dict[str, str]


RESCUED = "unreadable"
"""What stands as the type of an entry that nobody could read, kept as text."""


class Sent(msgspec.Struct, kw_only=True, frozen=True):
    """A mutation as it was sent: what a person did, with the values they saw."""

    mid: UUID
    type: str
    op: str
    set: dict[str, Any] = {}
    id: UUID | None = None
    base_rev: int | None = None
    base: dict[str, Any] = {}
    reason: str = ""
    n: int | None = None
    tx: str | None = None
    at: datetime | None = None

    def fingerprint(self) -> str:
        """Return the hash of what is said, whenever and under whatever number it is sent."""
        said = [self.type, self.op, self.id, self.base_rev, self.base, self.set, self.reason]
        try:
            told = orjson.dumps(said, option=orjson.OPT_SORT_KEYS)
        except TypeError:  # an integer beyond 64 bits or half a surrogate pair: to be refused, not to fail
            told = json.dumps(said, sort_keys=True, default=str).encode()
        return sha256(told).hexdigest()


def read(sent: Sent) -> tuple[Verb, Any]:
    """Return the verb and its struct. Raises Unreadable, with every problem and where it is."""
    verb = VERBS.get((sent.type, sent.op))
    if verb is None:
        detail = f"Nobody can {sent.op} a {sent.type} here."[:300]
        raise Unreadable([{"pointer": "/op", "code": "verb_unknown", "detail": detail}])
    return verb, read_fields(_body(sent, verb), verb.fields)


def read_fields(body: Any, kind: type) -> Any:
    """Make a struct of a JSON value. Raises Unreadable, with every problem and where it is."""
    try:
        wish: Any = msgspec.convert(body, kind, dec_hook=read_checked)
    except msgspec.ValidationError as error:
        raise Unreadable(list(problems(body, kind)) or [_problem(error, "")]) from None
    if wrong := list(beyond(wish)):
        raise Unreadable(wrong)
    return wish


def _body(sent: Sent, verb: Verb) -> dict[str, Any]:
    """Return the fields of the verb's struct: what was set, the target's id, the reason."""
    body = dict(sent.set)
    if sent.op != "create":
        if str(body.get("id", sent.id)) != str(sent.id):
            detail = "The record that is meant stands beside the fields; another id stands among them."
            raise Unreadable([{"pointer": "/id", "code": "value_invalid", "detail": detail}])
        body["id"] = sent.id
    if sent.reason and "reason" in verb.fields.__struct_fields__:
        body["reason"] = sent.reason
    return body


def problems(value: Any, kind: Any, pointer: str = "") -> Iterator[Problem]:
    """Give everything that keeps a JSON value from being of this kind."""
    kind = _branch(kind, value)
    if isinstance(value, dict) and isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        yield from _in_struct(value, kind, pointer)
    elif isinstance(value, list) and get_origin(kind) is list:
        for i, item in enumerate(value):
            yield from problems(item, get_args(kind)[0], f"{pointer}/{i}")
    else:
        yield from _of_itself(value, kind, pointer)


def _in_struct(value: dict[str, Any], kind: type[msgspec.Struct], pointer: str) -> Iterator[Problem]:
    found = False
    known = {f.encode_name: f for f in msgspec.structs.fields(kind)}
    for problem in _by_field(value, known, issubclass(kind, Closed), pointer):
        found = True
        yield problem
    if not found:
        yield from _of_itself(value, kind, pointer)


def _by_field(value: dict[str, Any], known: dict[str, Any], closed: bool, pointer: str) -> Iterator[Problem]:
    for name in value.keys() - known.keys() if closed else ():
        detail = f"There is no field {name!r:.80} here."
        yield {"pointer": f"{pointer}/{_escaped(name)}", "code": "field_unknown", "detail": detail}
    for name, field in known.items():
        if name in value:
            yield from problems(value[name], field.type, f"{pointer}/{name}")
        elif field.required:
            yield {"pointer": f"{pointer}/{name}", "code": "field_missing", "detail": f"{name} is missing."}


def _of_itself(value: Any, kind: Any, pointer: str) -> Iterator[Problem]:
    try:
        msgspec.convert(value, kind, dec_hook=read_checked)
    except msgspec.ValidationError as error:
        yield _problem(error, pointer)


def _branch(kind: Any, value: Any) -> Any:
    """Return the member of a union that a JSON object or array is meant for."""
    if hasattr(kind, "__metadata__") and isinstance(value, dict | list):
        kind = get_args(kind)[0]
    if get_origin(kind) not in (Union, UnionType):
        return kind
    for member in get_args(kind):
        bare = get_args(member)[0] if hasattr(member, "__metadata__") else member
        if isinstance(value, dict) and isinstance(bare, type) and issubclass(bare, msgspec.Struct):
            return bare
        if isinstance(value, list) and get_origin(bare) is list:
            return bare
    return kind


_PATH = re.compile(r" - at `\$(.*)`$", re.DOTALL)
_EXPECTED = re.compile(r"Expected `([^`]+)`, got `([^`]+)`")
_BOUND = re.compile(r"Expected `(\w+)`(?: of length)? (>=|<=) (\d+)")
_ENUM = re.compile(r"Invalid enum value (.+)", re.DOTALL)
_COUNTED = {"str": " characters", "array": " entries"}
_FIXED = {
    "Invalid UUID": "This is no id (UUID).",
    "Invalid RFC3339 encoded datetime": "This is no date and time with offset, such as 2027-05-02T09:30:00-05:00.",
    "Expected `datetime` with a timezone component": "A time needs its offset, such as 2027-05-02T09:30:00-05:00.",
    "Invalid RFC3339 encoded date": "This is no date, such as 2027-05-02.",
    "Expected `str` of length >= 1": "This must not be empty.",
    "Expected `array` of length >= 1": "This must hold at least one entry.",
}
"""Message of the converter -> words for people."""
_WORDS = {
    "str": "text", "int": "a whole number", "float": "a number", "bool": "true or false", "array": "a list",
    "object": "a group of fields", "null": "nothing", "uuid": "an id (UUID)", "datetime": "a date and time with offset",
    "date": "a date, such as 2027-05-02",
}  # fmt: skip


def _problem(error: msgspec.ValidationError, pointer: str) -> Problem:
    text = str(error)
    path = _PATH.search(text)
    deeper = re.sub(r"\[(\d+)\]", r"/\1", path[1].replace(".", "/")) if path else ""
    refusal = error.__cause__.__cause__ if error.__cause__ else None
    code = refusal.code if isinstance(refusal, RuleViolation) else "value_invalid"
    return {"pointer": pointer + deeper, "code": code, "detail": _sentence(_PATH.sub("", text))}


def _sentence(text: str) -> str:
    """Return a message of the converter in words for people."""
    if text in _FIXED:
        return _FIXED[text]
    if found := _BOUND.fullmatch(text):
        side = "at least" if found[2] == ">=" else "at most"
        return f"This must be {_WORDS.get(found[1], found[1])} of {side} {found[3]}{_COUNTED.get(found[1], '')}."
    if found := _ENUM.fullmatch(text):
        return f"{found[1]} is none of the words that may stand here."
    found = _EXPECTED.fullmatch(text)
    if found is None:
        return text
    wanted = " or ".join(_WORDS.get(word.strip(), word.strip()) for word in found[1].split("|"))
    return f"This must be {wanted}, not {_WORDS.get(found[2], found[2])}."


def _escaped(name: str) -> str:
    """Return a member name as a JSON pointer's token (RFC 6901)."""
    return name.replace("~", "~0").replace("/", "~1")
