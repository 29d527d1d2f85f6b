"""The JSON that is taken, and what is refused before anything is read from it."""

import gzip
import json
import zlib

import orjson
import pytest

from api import parsing
from api.parsing import MAX_BYTES, BodyTooLarge, BodyUnreadable, parse_json

BIG = 1 << 53


@pytest.mark.parametrize(
    "body",
    [
        b"null", b"[]", b'""', b"0", b'{"a": {"a": 1}}', b'{"a":1,"b":[{"a":1},{"a":1}]}', b'{"a" : 1 , "b"\t:2}',
        rb'{"a":"\" : \\"}', b'{"a":":","b":"x:"}', rb'{"a\"":1,"a":2}', rb'{"a":"\\u0000"}', b'{"":1}',
        b'{"a":"1234567890123456789012345"}', str(BIG).encode(), str(-BIG).encode(), b"1e300",
        b'{"a":-87.98765432109876543}', "\U0001f33f".encode().join([b'"', b'"']), rb'"\ud83c\udf3f"',
        b"[" * 32 + b"]" * 32, b'[{"a":' * 16 + b"1" + b"}]" * 16,
    ],
)  # fmt: skip
def test_json_is_read_as_the_standard_library_reads_it(body):
    assert parse_json(body) == json.loads(body)


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (b"", "could not be read as JSON"),
        (b"{", "could not be read as JSON"),
        (b"{'a': 1}", "could not be read as JSON"),
        (b"[1,]", "could not be read as JSON"),
        (b"[1] [2]", "could not be read as JSON"),
        (b'"a\nb"', "could not be read as JSON"),
        (b"\xef\xbb\xbf{}", "could not be read as JSON"),
        ("{}".encode("utf-16"), "UTF-8"),
        (b'"\xff"', "UTF-8"),
        (b'"\xed\xa0\x80"', "UTF-8"),
        (b"NaN", "NaN"),
        (b"[Infinity]", "Infinity"),
        (b"-Infinity", "-Infinity"),
        (b"1e400", "larger than any"),
        (str(BIG + 1).encode(), "whole number"),
        (str(-BIG - 1).encode(), "whole number"),
        (b"9" * 5000, "whole number"),
        (rb'"\u0000"', "NUL"),
        (rb'{"a\u0000":1}', "NUL"),
        (rb'"\ud800"', "surrogate"),
        (rb'["\udf3f\ud83c"]', "surrogate"),
        (b'{"a":1,"a":1}', "twice"),
        (b'{"a" :1,"a":1}', "twice"),
        (b'{"a":{"b":1,"c":2,"b":3}}', "twice"),
        (rb'{"a":1,"\u0061":2}', "twice"),
        (rb'{"a\\":1,"a\\":2}', "twice"),
        (b"[" * 33 + b"]" * 33, "deeper than 32"),
        (b"[" * 500_000, "deeper than 32"),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, "deeper than 32"),
        (b"[" * 33, "deeper than 32"),
    ],
    ids=lambda value: repr(value[:20]),
)  # fmt: skip
def test_what_could_be_meant_in_two_ways_or_harm_is_refused_in_words(body, says):
    with pytest.raises(BodyUnreadable, match=says):
        parse_json(body)


def test_a_mebibyte_is_taken_and_a_byte_more_is_not():
    longest = b'"' + b"a" * (MAX_BYTES - 2) + b'"'

    assert len(parse_json(longest)) == MAX_BYTES - 2
    with pytest.raises(BodyTooLarge):
        parse_json(longest + b" ")


def test_a_plain_push_is_never_read_twice(monkeypatch):
    mutation = {"mid": "0193a6", "n": 412, "type": "unit", "op": "create", "set": {"name": "Ridge, part 2"}}
    body = orjson.dumps({"device": "0193a5", "mutations": [mutation] * 500})
    monkeypatch.setattr(parsing, "_parse_slowly", lambda body: pytest.fail("read the slow way"))

    assert len(parse_json(body)["mutations"]) == 500


# -- through HTTP ---------------------------------------------------------------------------------------


def send(coordinator, body, content_type="application/json", **headers):
    address = f"/api/v1/groups/{coordinator.group_id}/properties"
    headers = {name.replace("_", "-"): value for name, value in headers.items()}
    return coordinator.client().generic("POST", address, body, content_type, headers=headers)


def told(response):
    return response.status_code, response.json()["code"]


@pytest.mark.parametrize("content_type", ["application/json", "application/json; charset=UTF-8"])
def test_utf_8_is_the_one_charset(coordinator, content_type):
    assert send(coordinator, b'{"name": "Heron Bend"}', content_type).status_code == 201


@pytest.mark.parametrize(
    "content_type",
    ["application/json; charset=latin-1", "application/json; charset=bz2_codec", "text/plain", "application/xml", "x"],
)
def test_another_type_or_charset_is_not_taken(coordinator, content_type):
    assert told(send(coordinator, b'{"name": "Heron Bend"}', content_type)) == (415, "unsupported_media_type")


def test_a_form_is_not_taken(coordinator):
    address = f"/api/v1/groups/{coordinator.group_id}/properties"

    assert told(coordinator.client().post(address, {"name": "Heron Bend"})) == (415, "unsupported_media_type")


def test_gzip_is_taken(coordinator):
    assert send(coordinator, gzip.compress(b'{"name": "Heron Bend"}'), Content_Encoding="gzip").status_code == 201


def test_a_small_gzip_of_something_huge_is_refused(coordinator):
    bomb = gzip.compress(b" " * (100 * MAX_BYTES))

    assert told(send(coordinator, bomb, Content_Encoding="gzip")) == (413, "body_too_large")


@pytest.mark.parametrize("body", [b"{}", gzip.compress(b'{"name": "Heron"}', mtime=0)[:-9], zlib.compress(b"{}"), b""])
def test_a_broken_gzip_is_refused(coordinator, body):
    body = body or b"\x1f"

    assert told(send(coordinator, body, Content_Encoding="gzip")) == (400, "body_unreadable")


def test_another_encoding_is_not_taken(coordinator):
    assert told(send(coordinator, b"{}", Content_Encoding="br")) == (415, "unsupported_media_type")


def test_a_body_that_is_too_large_is_refused_before_it_is_read(coordinator):
    assert told(send(coordinator, b" " * (MAX_BYTES + 1))) == (413, "body_too_large")


@pytest.mark.parametrize("body", [b"[]", b'"x"', b"1", b"null", b"true"])
def test_a_body_that_is_no_object_is_refused(coordinator, body):
    assert told(send(coordinator, body)) == (400, "unreadable")
