"""A TCP proxy before the service that does to requests and answers what networks do.

It carries one request a connection, whose sender and whose service both end it: ``Connection: close``.
"""

import contextlib
import re
import socket
import socketserver
import struct
import threading
from collections import Counter
from collections.abc import Callable
from random import Random
from typing import Any

PATIENCE_S = 30
CHUNK = 1 << 16
RESET = struct.pack("ii", 1, 0)
"""SO_LINGER, on, no time: closing throws away what is left and says so with a reset."""
_LENGTH = re.compile(rb"^content-length: *(\d+)", re.IGNORECASE | re.MULTILINE)


class Proxy:
    """Stands between devices and a service at a port; what it does is drawn from ``weights`` (see ``FAULTS``)."""

    def __init__(self, service_port: int, random: Random, weights: dict[str, int] | None = None) -> None:
        self.service = ("127.0.0.1", service_port)
        self.random, self.weights = random, weights or {"passed": 1}
        self.seen: Counter[str] = Counter()
        """What was done, and how often."""
        self.under_way = 0
        """Requests that are with the service now."""
        self._guard = threading.Lock()
        self._server = _Server(("127.0.0.1", 0), self._carry)
        self.url = f"http://127.0.0.1:{self._server.server_address[1]}"
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.05,))

    def __enter__(self) -> "Proxy":
        """Begin to carry."""
        self._thread.start()
        return self

    def __exit__(self, *told: object) -> None:
        """Carry what is under way, and end."""
        self._server.shutdown()
        self._thread.join()
        self._server.server_close()

    def _carry(self, device: socket.socket) -> None:
        device.settimeout(PATIENCE_S)
        with contextlib.suppress(OSError):  # a side that is gone is what this is about
            request = _whole_request(device)
            if not request:
                return
            with self._guard:
                does = self.random.choices(list(self.weights), list(self.weights.values()))[0]
                part = self.random.random()
                self.seen[does] += 1
            FAULTS[does](self, device, request, part)

    def ask(self, request: bytes) -> bytes:
        """Carry a request and return the answer, as far as it comes."""
        with self._guard:
            self.under_way += 1
        try:
            with socket.create_connection(self.service, PATIENCE_S) as service:
                service.sendall(request)
                return b"".join(iter(lambda: service.recv(CHUNK), b""))
        except ConnectionResetError:
            return b""
        finally:
            with self._guard:
                self.under_way -= 1

    def ask_in_part(self, request: bytes) -> None:
        """Carry the beginning of a request and hang up."""
        with socket.create_connection(self.service, PATIENCE_S) as service:
            service.sendall(request)


class _Server(socketserver.ThreadingTCPServer):
    request_queue_size = 64

    def __init__(self, address: tuple[str, int], carry: Callable[[socket.socket], None]) -> None:
        self.carry = carry
        super().__init__(address, None)

    def finish_request(self, request: Any, client_address: Any) -> None:
        self.carry(request)


def _whole_request(device: socket.socket) -> bytes:
    """Return a request, head and body; nothing if its sender ends before that."""
    told = b""
    while (end := told.find(b"\r\n\r\n")) < 0 or len(told) < end + 4 + _length(told[:end]):
        if not (more := device.recv(CHUNK)):
            return b""
        told += more
    return told


def _length(head: bytes) -> int:
    found = _LENGTH.search(head)
    return int(found[1]) if found else 0


# -- what may become of a request: ``part`` (0 to 1) says where it is cut or how long it takes -------------


def _pass(proxy: Proxy, device: socket.socket, request: bytes, part: float) -> None:
    device.sendall(proxy.ask(request))


def _drop_the_reply(proxy: Proxy, device: socket.socket, request: bytes, part: float) -> None:
    proxy.ask(request)


def _cut_the_reply(proxy: Proxy, device: socket.socket, request: bytes, part: float) -> None:
    reply = proxy.ask(request)
    device.sendall(reply[: int(part * len(reply))])


def _cut_the_request(proxy: Proxy, device: socket.socket, request: bytes, part: float) -> None:
    proxy.ask_in_part(request[: int(part * len(request))])


def _reset(proxy: Proxy, device: socket.socket, request: bytes, part: float) -> None:
    """Break the connection, before the service was asked or after."""
    if part < 0.5:
        proxy.ask(request)
    device.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)
    device.close()


def _delay(proxy: Proxy, device: socket.socket, request: bytes, part: float) -> None:
    threading.Event().wait(part / 5)
    device.sendall(proxy.ask(request))


def _double(proxy: Proxy, device: socket.socket, request: bytes, part: float) -> None:
    """Carry a request twice at once; its sender gets one of the answers."""
    again = threading.Thread(target=_suppressed(proxy.ask), args=(request,))
    again.start()
    try:
        device.sendall(proxy.ask(request))
    finally:
        again.join()


def _suppressed(ask: Callable[[bytes], bytes]) -> Callable[[bytes], None]:
    def asked(request: bytes) -> None:
        with contextlib.suppress(OSError):
            ask(request)

    return asked


FAULTS: dict[str, Callable[[Proxy, socket.socket, bytes, float], None]] = {
    "passed": _pass,
    "reply dropped": _drop_the_reply,
    "reply cut": _cut_the_reply,
    "request cut": _cut_the_request,
    "reset": _reset,
    "delayed": _delay,
    "doubled": _double,
}
