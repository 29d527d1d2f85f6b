"""What must hold once everybody has handed over everything, whatever was killed meanwhile."""

import json
from collections.abc import Iterator, Sequence
from io import StringIO
from typing import Any

from django.core.management import CommandError, call_command

from stewardship.journal.models import Revision
from stewardship.sync.models import Mutation, Outbox
from tests.faults.crew import Phone
from tests.simulation.checks import KEPT_WHOLE, lost, not_once


def findings(phones: Sequence[Phone]) -> list[str]:
    """Return a sentence for everything that does not hold beside the audit; none if all is well."""
    group_id = phones[0].who.group_id
    revisions = list(Revision.objects.filter(group_id=group_id).order_by("seq"))
    ledger = {str(line.mid): line for line in Mutation.objects.filter(group_id=group_id)}
    entered = {mid: said for phone in phones for mid, said in phone.entered.items()}
    newest = {str(each.record_id): (each.kind, each.rev, each.content) for each in revisions}
    return [
        *(line for phone in phones for line in _of_a_phone(phone, ledger, newest)),
        *lost(entered, ledger, revisions),
        *not_once(entered, ledger, revisions),
        *_halves(entered, ledger),
        *_unproved(),
    ]


def _of_a_phone(phone: Phone, ledger: dict[str, Mutation], newest: dict[str, Any]) -> Iterator[str]:
    name = phone.who.device.name
    lines = sorted((line for line in ledger.values() if line.device_id == phone.who.device.id), key=lambda at: at.n)
    if phone.entered.keys() - phone.heard.acknowledged.keys():
        yield f"{name} did not get rid of everything"
    if phone.copy != newest:
        yield f"{name} does not hold what the book holds"
    yield from _forgotten(phone, ledger)
    yield from _parted(name, lines, phone.heard.ends)
    if [line.n for line in lines] != list(range(1, len(phone.entered) + 1)):
        yield f"the ledger's numbers of {name} are not 1 to {len(phone.entered)}"
    last_n = Outbox.objects.get(device_id=phone.who.device.id, group_id=phone.who.group_id).last_n
    if last_n != len(phone.entered):
        yield f"the last number of {name} is {len(phone.entered)}, and {last_n} is remembered"


def _forgotten(phone: Phone, ledger: dict[str, Mutation]) -> Iterator[str]:
    """I6: what was acknowledged once stands as it was told, and was done when it was told first or before."""
    for mid, told in phone.heard.acknowledged.items():
        stored = json.loads(ledger[mid].result) if mid in ledger else None
        for number, result in enumerate(told):
            if {name: value for name, value in result.items() if name != "replayed"} != stored:
                yield f"{mid} was acknowledged as {result} and stands as {stored}"
            if number and "replayed" not in result:
                yield f"{mid} was done again after it had been acknowledged"
        if told[0].get("code") == "server_error":
            yield f"{mid} was held for a fault of ours: {told[0]['incident']}"


def _parted(name: str, lines: Sequence[Mutation], ends: set[int]) -> Iterator[str]:
    """I5: a push was taken whole or not at all: what came in one moment ends where a push ended."""
    for line, after in zip(lines, [*lines[1:], None], strict=True):
        if (after is None or after.received_at != line.received_at) and line.n not in ends:
            yield f"of a push of {name} a part was taken, up to number {line.n}"


def _halves(entered: dict[str, dict[str, Any]], ledger: dict[str, Mutation]) -> Iterator[str]:
    """I5: what stands and falls together was done in one moment, all of it or nothing."""
    txs: dict[str, set[tuple[Any, bool]]] = {}
    for mid, said in entered.items():
        if "tx" in said and mid in ledger:
            line = ledger[mid]
            txs.setdefault(said["tx"], set()).add((line.received_at, line.outcome in KEPT_WHOLE))
    yield from (f"one half of {tx} was done" for tx, ends in txs.items() if len(ends) > 1)


def _unproved() -> Iterator[str]:
    """Say what ``verify_book`` finds."""
    said = StringIO()
    try:
        call_command("verify_book", stdout=said, stderr=said)
    except (CommandError, SystemExit) as found:
        yield f"verify_book: {found} {said.getvalue()}"
