"""Each fault of the proxy does to a request, and to its answer, what it says."""

from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from random import Random
from threading import Thread

import pytest

from tests.client.transport import NoAnswer, OverHttp
from tests.faults.proxy import FAULTS, Proxy

SAID = {"said": "x" * 5000}
ANSWERS = {"passed", "delayed", "doubled"}
ASKS = {"passed": 1, "reply dropped": 1, "reply cut": 1, "request cut": 0, "delayed": 1, "doubled": 2}


@pytest.fixture
def service():
    """Serve one answer, and keep every whole request."""
    asked = []

    class Service(BaseHTTPRequestHandler):
        def do_POST(self):
            body = self.rfile.read(int(self.headers["Content-Length"]))
            if len(body) == int(self.headers["Content-Length"]):
                asked.append(body)
                self.send_response(200)
                self.end_headers()
                self.wfile.write(b'{"said":"' + b"x" * 5000 + b'"}')

        def log_message(self, *told):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Service)
    server.asked = asked
    thread = Thread(target=server.serve_forever, args=(0.02,))
    thread.start()
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


def ask(proxy):
    """Return what comes back; None if nothing that is whole does."""
    try:
        return OverHttp(proxy.url, timeout_s=5).send("POST", "/", {}, b"what" * 2000).said()
    except NoAnswer:
        return None


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_does_what_it_says(service, fault):
    with Proxy(service.server_address[1], Random(2), {fault: 1}) as proxy:
        told = [ask(proxy) for _ in range(4)]

    assert told == [SAID if fault in ANSWERS else None] * 4
    assert proxy.seen == {fault: 4}
    assert set(service.asked) <= {b"what" * 2000}
    if fault == "reset":
        assert 0 < len(service.asked) < 4, "it breaks before the service was asked, or after"
    else:
        assert len(service.asked) == 4 * ASKS[fault]


def test_where_no_service_is_nothing_comes_back():
    with Proxy(9, Random(1)) as proxy:
        assert ask(proxy) is None
