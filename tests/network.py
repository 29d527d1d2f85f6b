"""A guard: tests speak to this machine and to nothing else."""

import ipaddress
import socket
from typing import Any

import pytest


class ForeignAddress(RuntimeError):
    """A test tried to reach another machine."""


def refuse_foreign(address: Any) -> None:
    """Refuse an address, as sockets take it, that is neither loopback nor a socket file."""
    if not isinstance(address, tuple):
        return
    host = str(address[0])
    try:
        foreign = not ipaddress.ip_address(host.split("%")[0]).is_loopback
    except ValueError:
        foreign = host not in {"", "localhost"}
    if foreign:
        raise ForeignAddress(f"Tests may not reach {host}")


def keep_to_this_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make Python's sockets and name look-ups refuse other machines while ``monkeypatch`` holds."""
    connect, connect_ex, look_up = socket.socket.connect, socket.socket.connect_ex, socket.getaddrinfo

    def guarded_connect(self: socket.socket, address: Any) -> None:
        refuse_foreign(address)
        return connect(self, address)

    def guarded_connect_ex(self: socket.socket, address: Any) -> int:
        refuse_foreign(address)
        return connect_ex(self, address)

    def guarded_look_up(host: Any, *args: Any, **kwargs: Any) -> Any:
        refuse_foreign((host.decode() if isinstance(host, bytes) else host or "",))
        return look_up(host, *args, **kwargs)

    monkeypatch.setattr(socket.socket, "connect", guarded_connect)
    monkeypatch.setattr(socket.socket, "connect_ex", guarded_connect_ex)
    monkeypatch.setattr(socket, "getaddrinfo", guarded_look_up)
