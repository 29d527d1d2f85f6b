"""A network that does to requests what networks do, as its random numbers say; or nothing, once it is calm."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random

from tests.client.transport import Answer, NoAnswer, Transport

Request = tuple[str, str, Mapping[str, str], bytes]
Faults = Mapping[str, tuple[int, Callable[["Network", Request], Answer]]]
"""What may become of a request: how likely it is, and how it goes."""


@dataclass
class Network:
    """Between every device and the service."""

    service: Transport
    random: Random
    is_calm: bool = False
    faults: Faults = field(default_factory=lambda: FAULTS)
    late: list[Request] = field(default_factory=list)
    """Requests that their senders gave up and that arrive all the same, some day, in any order."""
    pushes: list[Request] = field(default_factory=list)
    """Every push that somebody sent, whatever became of it."""
    seen: dict[str, int] = field(default_factory=dict)
    """What was done to requests, and how often."""

    def send(self, method: str, path: str, headers: Mapping[str, str], body: bytes) -> Answer:
        """Carry a request and its answer. Raises NoAnswer."""
        request = (method, path, headers, body)
        if path.endswith("/push"):
            self.pushes.append(request)
        if self.is_calm:
            return self.service.send(*request)
        does = self.random.choices(list(self.faults), [weight for weight, _ in self.faults.values()])[0]
        self.seen[does] = self.seen.get(does, 0) + 1
        return self.faults[does][1](self, request)

    def deliver_late(self) -> None:
        """Let one of the late requests arrive; nobody waits for the answer."""
        if self.late:
            self.service.send(*self.late.pop(self.random.randrange(len(self.late))))


def _carry(network: Network, request: Request) -> Answer:
    return network.service.send(*request)


def _drop(network: Network, request: Request) -> Answer:
    raise NoAnswer("the request was lost")


def _lose_the_answer(network: Network, request: Request) -> Answer:
    network.service.send(*request)
    raise NoAnswer("the answer was lost")


def _double(network: Network, request: Request) -> Answer:
    first = network.service.send(*request)
    second = network.service.send(*request)
    return network.random.choice([first, second])


def _double_and_lose_the_answers(network: Network, request: Request) -> Answer:
    network.service.send(*request)
    return _lose_the_answer(network, request)


def _delay(network: Network, request: Request) -> Answer:
    network.late.append(request)
    raise NoAnswer("it took too long")


def _cut_the_request(network: Network, request: Request) -> Answer:
    method, path, headers, body = request
    network.service.send(method, path, headers, body[: network.random.randrange(len(body))])
    raise NoAnswer("the connection broke while sending")


def _cut_the_answer(network: Network, request: Request) -> Answer:
    answer = network.service.send(*request)
    return Answer(answer.status, answer.headers, answer.body[: network.random.randrange(len(answer.body))])


def _turn_away(network: Network, request: Request) -> Answer:
    """Answer as a gateway does whose service is away, or that was asked too much."""
    status = network.random.choice([429, 500, 502, 503, 504])
    headers = {"retry-after": str(network.random.randrange(60))} if status in (429, 503) else {}
    return Answer(status, headers, b"<html>Try again later</html>")


def _answer_for_the_service(network: Network, request: Request) -> Answer:
    """Answer as the sign-in page of a wireless network does: 200, and nothing of the service in it."""
    return Answer(200, {"content-type": "text/html"}, b"<html>Accept our terms</html>")


FAULTS: Faults = {
    "carried": (55, _carry),
    "dropped": (6, _drop),
    "answer lost": (9, _lose_the_answer),
    "doubled": (7, _double),
    "delayed": (7, _delay),
    "request cut": (4, _cut_the_request),
    "answer cut": (6, _cut_the_answer),
    "turned away": (4, _turn_away),
    "answered by another": (2, _answer_for_the_service),
}
LOSSY: Faults = {
    "carried": (49, _carry),
    "answer lost": (21, _lose_the_answer),
    "doubled": (21, _double),
    "doubled and lost": (9, _double_and_lose_the_answers),
}
"""Of ten answers three are lost, and of ten requests three come twice, whatever becomes of the answer."""
