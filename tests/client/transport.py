"""How a request reaches the service: one small protocol, spoken over real HTTP or within the process of a test."""

import gzip
import http.client
import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol
from urllib.parse import urlsplit


class NoAnswer(Exception):
    """Nothing came back, or part of it only: whether the service took the request is not known."""


@dataclass(frozen=True)
class Answer:
    """What came back; names of headers in lower case."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    def plain(self) -> bytes:
        """Return the body as it was before compression. Raises NoAnswer if it was cut."""
        if self.headers.get("content-encoding") != "gzip":
            return self.body
        try:
            return gzip.decompress(self.body)
        except (EOFError, zlib.error, gzip.BadGzipFile) as error:
            raise NoAnswer("the body was cut") from error

    def said(self) -> dict[str, Any]:
        """Return the JSON object in the body. Raises NoAnswer: cut, or the page of somebody in between."""
        try:
            value = json.loads(self.plain())
        except ValueError as error:
            raise NoAnswer("no JSON came back") from error
        if not isinstance(value, dict):
            raise NoAnswer("no answer of the service came back")
        return value

    @property
    def retry_after_s(self) -> float:
        """Return how long the service asks to be left alone [s]."""
        told = self.headers.get("retry-after", "")
        return float(told) if told.isdecimal() else 0.0


class Transport(Protocol):
    """Carries one request there and one answer back."""

    def send(self, method: str, path: str, headers: Mapping[str, str], body: bytes) -> Answer:
        """Return the answer, whatever its status. Raises NoAnswer."""


@dataclass(frozen=True)
class OverHttp:
    """HTTP to an address such as ``https://host:8000``, a connection for each request."""

    base: str
    timeout_s: float = 30.0

    def send(self, method: str, path: str, headers: Mapping[str, str], body: bytes) -> Answer:
        """Return the answer. Raises NoAnswer."""
        place = urlsplit(self.base)
        kind = http.client.HTTPSConnection if place.scheme == "https" else http.client.HTTPConnection
        connection = kind(place.hostname or "", place.port, timeout=self.timeout_s)
        try:
            connection.request(method, path, body or None, {**headers, "Connection": "close"})
            response = connection.getresponse()
            told = {name.lower(): value for name, value in response.getheaders()}
            return Answer(response.status, told, response.read())
        except (OSError, http.client.HTTPException) as error:
            raise NoAnswer(str(error)) from error
        finally:
            connection.close()


class InProcess:
    """The service within this process, through Django's test client: every middleware and view, no socket."""

    def __init__(self) -> None:
        from django.test import Client

        self.client = Client(raise_request_exception=False)

    def send(self, method: str, path: str, headers: Mapping[str, str], body: bytes) -> Answer:
        """Return the answer."""
        told = dict(headers)
        kind = told.pop("Content-Type", "application/octet-stream")
        response = self.client.generic(method, path, body, kind, headers=told)
        return Answer(response.status_code, {n.lower(): v for n, v in response.items()}, response.content)
