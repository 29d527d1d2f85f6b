"""A device: what a person does without a signal goes into its outbox; with one it pushes, then pulls.

Each answer of the service has its row in the table of ``_after_push`` and ``_after_pull``. None of them ever takes
anything out of the outbox but an outcome for it.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from random import Random
from typing import Any
from uuid import UUID

from tests.client.pages import read_page
from tests.client.store import Copy, Entered, Store
from tests.client.transport import Answer, NoAnswer, Transport

OUTCOMES = frozenset({"applied", "noop", "merged", "conflict", "held"})
TRY_AGAIN = frozenset({408, 425, 429})
TOO_MUCH = frozenset({400, 413, 422})
FIRST_WAIT_S, LONGEST_WAIT_S = 2.0, 15 * 60.0
PERSON = {401: "sign_in", 426: "update"}
BEGIN_ANEW = frozenset({"cursor_gone", "cursor_unreadable", "book_rewound"})
"""Codes of a pull after which the copy is emptied and pulled from nothing."""
ELSEWHERE = BEGIN_ANEW | {"not_permitted"}
"""Codes of a pull after which nothing of the copy is for this person any more; outbox and sent box stay."""
MOST_TURNS = 3
"""How often in one push or pull the device is told to begin otherwise, before it waits instead."""


@dataclass
class Device:
    """One person's work in one group on one device. It never sleeps: ``wait_until`` says when it tries again."""

    store: Store
    transport: Transport
    group: str
    now: Callable[[], datetime]
    """The clock on the wall of the device, which may be wrong: it is told, and nothing is decided by it."""
    ticks_s: Callable[[], float]
    """A clock that only ever counts up [s]."""
    random: Random
    most: int = 500
    """Mutations in a push."""
    page: int = 2000
    """Records in a page of a pull."""
    most_rescued: int = 100_000
    """Characters of what is rescued."""
    notice: str = ""
    """What the service has to say to everybody."""
    wait_until: float = 0.0
    needs: str = ""
    """What a person has to see to: ``sign_in``, ``update``, or the code of a refusal."""
    poll_after_s: float = 0.0
    _tries: int = 0
    _turns: int = 0

    # -- what a person does --------------------------------------------------------------------------

    def enter(self, type: str, op: str, said: dict[str, Any] | None = None, **beside: Any) -> str:
        """Put what a person did into the outbox; return its id. ``beside``: id, base_rev, base, reason, tx."""
        mid = self.new_id()
        told = {"mid": mid, "type": type, "op": op, "at": self.now().isoformat(), **beside}
        self.store.enter(told | ({"set": said} if said is not None else {}), beside.get("tx"))
        return mid

    def create(self, type: str, said: dict[str, Any], **beside: Any) -> str:
        """Enter a new record; return its id, which the device makes."""
        id = self.new_id()
        self.enter(type, "create", said | {"id": id}, **beside)
        return id

    def amend(self, id: str, said: dict[str, Any], reason: str, **beside: Any) -> str:
        """Correct fields of a record, with the values that its person saw in them."""
        seen = self.sees(id)
        base = {name: (seen.says or {}).get(name) for name in said} | self._own_wishes(id, said)
        told = {"id": id, "base_rev": seen.rev, "base": base, "reason": reason}
        return self.enter(seen.type, "amend", said, **told, **beside)

    def act(self, id: str, op: str, reason: str = "", said: dict[str, Any] | None = None) -> str:
        """Do something else with a record, such as voiding it."""
        seen = self.sees(id)
        return self.enter(seen.type, op, said or {}, id=id, base_rev=seen.rev, reason=reason)

    def sees(self, id: str) -> Copy:
        """Return a record as its person sees it: from the copy, or as they entered it themselves. Raises KeyError."""
        if seen := self.store.record(id):
            return seen
        for each in self.store.outbox():
            if each.said["op"] == "create" and each.said["set"]["id"] == id:
                return Copy(id, each.said["type"], 1, each.said["set"])
        raise KeyError(id)

    def _own_wishes(self, id: str, names: dict[str, Any]) -> dict[str, Any]:
        """Return what the person's own entries that still wait made of these fields: that is what they saw."""
        wished: dict[str, Any] = {}
        for each in self.store.outbox():
            if each.said.get("id") == id and each.said["op"] == "amend":
                wished |= {name: value for name, value in each.said["set"].items() if name in names}
        return wished

    def to_show(self) -> list[tuple[str, dict[str, Any]]]:
        """Return what is in conflict or held, for its author to see: id and outcome."""
        return [(mid, told) for mid, told in self.store.sent_box() if told["outcome"] in ("conflict", "held")]

    def new_id(self) -> str:
        """Return a UUIDv7 (RFC 9562, section 5.7); a wrong clock makes it no less unique."""
        ms = int(self.now().timestamp() * 1000) & (1 << 48) - 1
        noise = self.random.getrandbits(80)
        value = (ms << 80 | noise) & ~(0xF << 76) | 0x7 << 76
        return str(UUID(int=value & ~(0x3 << 62) | 0x2 << 62))

    # -- asking what is taken --------------------------------------------------------------------------

    def hello(self) -> None:
        """Ask how much is taken at once, and what there is to know; without an answer all stays as it is."""
        self._begin()
        answer = None if self.is_waiting else self._ask("hello")
        told = self._read(answer) if answer is not None else None
        if told is None or answer is None:
            return
        if answer.status != 200:
            self._stop(answer.status, told)
            return
        limits = told["limits"]
        self.most, self.page = min(self.most, limits["mutations"]), min(self.page, limits["page"])
        self.most_rescued, self.notice = limits["rescue"], told["notice"] or ""

    # -- handing over --------------------------------------------------------------------------------

    def sync(self) -> None:
        """Push, then pull; push again what a pull put back into the outbox."""
        self.push()
        self.pull()
        if self.store.outbox(1):
            self.push()
            self.pull()

    @property
    def is_waiting(self) -> bool:
        """Tell whether the device waits, for the clock or for its person."""
        return bool(self.needs) or self.ticks_s() < self.wait_until

    def push(self) -> None:
        """Hand over what waits, in its order, until nothing is left or the device has to wait."""
        self._begin()
        most = self.most
        while not self.is_waiting and (batch := self.store.outbox(most)):
            answer = self._ask("push", {"mutations": [each.told() for each in batch]})
            if answer is not None:
                most = self._after_push(answer, batch)

    def _after_push(self, answer: Answer, batch: list[Entered]) -> int:
        """Do what the answer to a push asks for; return how many to send next."""
        if answer.status == 200:
            self._settle(answer, batch)
        elif answer.status in TOO_MUCH:
            return self._halve(batch)
        elif answer.status == 409:
            self._count_anew(answer)
        elif (told := self._read(answer)) is not None:
            self._stop(answer.status, told)
        return self.most

    def _settle(self, answer: Answer, batch: list[Entered]) -> None:
        """Move to the sent box what has an outcome, and nothing else."""
        told = self._read(answer)
        if told is None:
            return
        results = [r for r in told.get("results", ()) if r.get("outcome") in OUTCOMES]
        if len(batch) == 1 and results:  # one that was rescued has another id there, made of its text
            results = [results[0] | {"mid": batch[0].mid}]
        if not self.store.answer(results, told.get("head", 0)) and batch:
            self._wait()
        elif told.get("backoff_s"):
            self._wait(told["backoff_s"])
        self._check_how_far(told)

    def _check_how_far(self, told: dict[str, Any]) -> None:
        """Send again what the service forgot: it was restored if it is behind what it once acknowledged."""
        last_n = told.get("last_n", 0)
        if last_n < self.store.acknowledged_n() and not self.store.send_again(last_n + 1):
            self._be_another()

    def _halve(self, batch: list[Entered]) -> int:
        """Send half as many; what cannot be taken by itself, with all that stands and falls with it, is rescued."""
        if len({each.tx or each.mid for each in batch}) > 1:
            return max(1, len(batch) // 2)
        for each in batch:
            if not self.is_waiting:
                self._rescue(each)
        return self.most

    def _rescue(self, each: Entered) -> None:
        """Hand over as plain text what the service cannot read: a person reads it there.

        The text is the same whenever it is sent, so that it is kept once.
        """
        text = json.dumps(each.said, ensure_ascii=False)[: self.most_rescued]
        answer = self._ask("rescue", {"n": each.n, "text": text})
        if answer is None:
            return
        if answer.status == 200:
            self._settle(answer, [each])
        elif answer.status == 409:
            self._count_anew(answer)
        elif (told := self._read(answer)) is not None:
            self._stop(answer.status, told)

    def _count_anew(self, answer: Answer) -> None:
        """Send again what the service lacks; where that is not here, or another has the numbers, be a new device."""
        told = self._read(answer)
        self._turns += 1
        if told is None or self._turns > MOST_TURNS:
            self._wait()
        elif told.get("code") == "device_forked":
            self._be_another()
        elif told.get("code") != "gap":
            self._stop(answer.status, told)
        elif not self.store.send_again(told["expected"]):
            self._be_another()

    def _be_another(self) -> None:
        """Count under an id of its own, with the same token: everything is numbered anew and sent again."""
        self.store.number_anew(self.new_id(), self.store["token"])

    def signed_in(self, device: str, token: str) -> None:
        """Go on after a sign-in; as another device everything is numbered anew and sent again, under its own id."""
        self.needs = ""
        if device == self.store["device"]:
            self.store.keep(token=token)
        else:
            self.store.number_anew(device, token)

    # -- taking in -----------------------------------------------------------------------------------

    def pull(self) -> bool:
        """Take in what changed, page by page; tell whether the copy is whole."""
        self._begin()
        while not self.is_waiting:
            cursor = self.store["staged_cursor"] or self.store["cursor"]
            answer = self._ask("pull", {"cursor": cursor, "limit": self.page})
            if answer is not None and self._after_pull(answer):
                return True
        return False

    def _after_pull(self, answer: Answer) -> bool:
        """Do what the answer to a pull asks for; tell whether it was the last page."""
        if answer.status == 200:
            return self._lay_aside(answer)
        told = self._read(answer)
        if told is None:
            return False
        self._turns += 1
        if told.get("code") in ELSEWHERE:
            self.store.empty_copy()
        if told.get("code") not in BEGIN_ANEW or self._turns > MOST_TURNS:
            self._ask_how_far()
            self._stop(answer.status, told)
        return False

    def _ask_how_far(self) -> None:
        """Push nothing: who may not pull learns in no other way that the service was restored."""
        answer = self._ask("push", {"mutations": []})
        if answer is not None and answer.status == 200:
            self._settle(answer, [])

    def _lay_aside(self, answer: Answer) -> bool:
        try:
            page = read_page(answer.plain())
        except NoAnswer:
            self._wait()
            return False
        self._tries = 0
        self.store.stage(page)
        self.poll_after_s = page.poll_after_s
        return not page.more

    # -- asking --------------------------------------------------------------------------------------

    def _begin(self) -> None:
        """Try again what was refused; what needs its person waits for them."""
        self._turns = 0
        if self.needs not in ("sign_in", "update"):
            self.needs = ""

    def _ask(self, call: str, body: dict[str, Any] | None = None) -> Answer | None:
        """Send a request; None if there is nothing to go by: then the device keeps everything and waits."""
        if call in ("push", "rescue"):
            body = {"device": self.store["device"], "sent_at": self.now().isoformat()} | (body or {})
        method, sent = ("GET", b"") if body is None else ("POST", json.dumps(body).encode())
        try:
            answer = self.transport.send(method, f"/api/v1/groups/{self.group}/sync/{call}", self._headers(), sent)
        except NoAnswer:
            self._wait()
            return None
        if answer.status in TRY_AGAIN or answer.status >= 500:
            self._wait(answer.retry_after_s)
            return None
        return answer

    def _headers(self) -> dict[str, str]:
        return {
            "Authorization": f"Bearer {self.store['token']}", "Content-Type": "application/json",
            "Accept-Encoding": "gzip", "Sync-Protocol": "1", "Sync-Schema": "1",
        }  # fmt: skip

    def _read(self, answer: Answer) -> dict[str, Any] | None:
        try:
            told = answer.said()
        except NoAnswer:
            self._wait()
            return None
        self._tries = 0
        return told

    def _stop(self, status: int, told: dict[str, Any]) -> None:
        """Keep everything, and leave it to a person."""
        self.needs = PERSON.get(status) or told.get("code", str(status))

    def _wait(self, asked_s: float = 0.0) -> None:
        """Wait as long as was asked, then a random part of a span that doubles each time: "full jitter".

        So a thousand devices that lost one service do not come back at one moment.
        """
        self._tries += 1
        span_s = min(LONGEST_WAIT_S, FIRST_WAIT_S * 2 ** min(self._tries - 1, 20))
        self.wait_until = self.ticks_s() + asked_s + self.random.uniform(0, span_s)
