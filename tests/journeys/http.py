"""A client on the far side of a real connection: signs in as a program does, sends JSON, reads what comes back."""

import json
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from urllib.error import HTTPError
from urllib.request import Request, urlopen

from stewardship.journal.ids import new_id


@dataclass
class Answer:
    """What came back: status, headers, body."""

    status: int
    headers: Any
    body: Any


@dataclass
class Caller:
    """Somebody with a device, at the address of a running service."""

    base: str
    headers: dict[str, str] = field(default_factory=dict)
    device: str = ""
    group: str = ""
    member: str = ""

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> Answer:
        """Send one request; a refusal is an answer too."""
        sent = None if body is None else json.dumps(body).encode()
        told = {"Content-Type": "application/json"} if sent is not None else {}
        told |= self.headers | {name.replace("_", "-"): value for name, value in headers.items()}
        try:
            with urlopen(Request(self.base + path, sent, told, method=method), timeout=30) as response:
                return Answer(response.status, response.headers, read(response))
        except HTTPError as refusal:
            with refusal:
                return Answer(refusal.code, refusal.headers, read(refusal))

    def sign_in(self, email: str, password: str) -> "Caller":
        """Sign in through the pages' headless door and take a device token."""
        signed = self.ask("POST", "/_allauth/app/v1/auth/login", {"email": email, "password": password})
        assert signed.status == 200, signed.body
        session = signed.body["meta"]["session_token"]
        minted = self.ask("POST", "/api/v1/devices", {"name": "field phone"}, X_Session_Token=session)
        assert minted.status == 201, minted.body
        self.device, self.headers = minted.body["id"], {"Authorization": f"Bearer {minted.body['token']}"}
        membership = self.ask("GET", "/api/v1/me").body["memberships"][0]
        self.group, self.member = membership["group"]["id"], membership["member"]
        return self

    def get(self, path: str) -> Any:
        """Read something of the group."""
        answer = self.ask("GET", f"/api/v1/groups/{self.group}/{path}")
        assert answer.status == 200, answer.body
        return answer.body

    def post(self, path: str, status: int = 201, **body: Any) -> Any:
        """Write something of the group; other words than expected fail the test."""
        answer = self.ask("POST", f"/api/v1/groups/{self.group}/{path}", body)
        assert answer.status == status, answer.body
        return answer.body

    def push(self, *mutations: dict[str, Any], first: int = 1) -> list[dict[str, Any]]:
        """Push from the device, numbered from ``first`` on."""
        numbered = [{"mid": str(new_id()), **m, "n": n} for n, m in enumerate(mutations, first)]
        body = {"device": self.device, "sent_at": datetime.now(UTC).isoformat(), "mutations": numbered}
        results: list[dict[str, Any]] = self.post("sync/push", 200, **body)["results"]
        return results

    def pull(self) -> list[dict[str, Any]]:
        """Pull everything from the beginning: the lines of the answer."""
        answer = self.ask("POST", f"/api/v1/groups/{self.group}/sync/pull", {"cursor": None, "limit": 2000})
        assert answer.status == 200, answer.body
        return [json.loads(line) for line in answer.body.splitlines()]


def read(response: Any) -> Any:
    """Return JSON as a value, anything else as text."""
    text = response.read().decode()
    kind = response.headers.get("Content-Type", "")
    return json.loads(text) if text and kind.split(";")[0].endswith("json") and "ndjson" not in kind else text
