import socket

import pytest

from tests.network import ForeignAddress, refuse_foreign

# 192.0.2.0/24 and 2001:db8::/32 are set aside for documentation (RFC 5737, RFC 3849): nobody answers there.


@pytest.mark.parametrize("call", ["connect", "connect_ex"])
def test_a_test_reaches_no_other_machine(call):
    with socket.socket() as ours, pytest.raises(ForeignAddress, match=r"192\.0\.2\.1"):
        getattr(ours, call)(("192.0.2.1", 443))


def test_a_test_looks_up_no_foreign_name():
    with pytest.raises(ForeignAddress, match=r"service\.example"):
        socket.create_connection(("service.example", 443))


def test_a_test_reaches_its_own_machine():
    with socket.create_server(("127.0.0.1", 0)) as server:
        socket.create_connection(server.getsockname()).close()


@pytest.mark.parametrize("host", ["192.0.2.1", "2001:db8::1", "10.0.0.1", "service.example", "127.0.0.1.example"])
def test_foreign_addresses_are_refused(host):
    with pytest.raises(ForeignAddress):
        refuse_foreign((host, 80))


@pytest.mark.parametrize("address", [("127.0.0.1", 80), ("127.9.9.9", 80), ("::1", 80, 0, 0), ("localhost", 80), "/s"])
def test_addresses_of_this_machine_are_let_through(address):
    refuse_foreign(address)
