"""The same refusal through both doors: REST and pages (``perform_one``), and a device's push (invariant I24)."""

from collections.abc import Callable
from dataclasses import dataclass

import msgspec
import pytest

from stewardship.errors import Conflict
from stewardship.journal.ids import new_id
from stewardship.rules.refusals import RuleViolation
from stewardship.sync.models import ToSettle
from stewardship.sync.reading import Sent
from tests.cast import Cast, Someone
from tests.database import everything


@dataclass(frozen=True)
class Case:
    """How a refusal comes about: ``scene`` sets it up and returns who sends what."""

    refusal: type[RuleViolation]
    scene: Callable[[Cast], tuple[Someone, Sent]]

    def __str__(self) -> str:
        return f"{self.refusal.code}-{self.scene.__name__}"


def both_doors(someone: Someone, mutation: Sent) -> RuleViolation:
    """Send it through both doors, prove that it is refused alike and changes nothing; return the refusal.

    Refused by REST it leaves no trace at all. Pushed it is held with all that was sent, and only the ledger,
    the device's number and what waits to be settled tell of it.
    """
    before = everything()
    with pytest.raises(RuleViolation) as refused:
        someone.does_sent(mutation)
    assert everything() == before, "a refusal through REST leaves no trace"

    taken = someone.pushes(msgspec.structs.replace(mutation, mid=new_id()))

    (result,) = taken.results
    assert result["outcome"] == ("conflict" if isinstance(refused.value, Conflict) else "held")
    assert result["code"] == refused.value.code
    assert result["detail"] == str(refused.value) or isinstance(refused.value, Conflict), "sync tells what disagrees"
    told = {name: refused.value.facts[name] for name in ("errors", "reasons") if name in refused.value.facts}
    assert {name: result[name] for name in ("errors", "reasons") if name in result} == told
    held = ToSettle.objects.get(group_id=someone.group_id, id=result["to_settle"])
    assert (str(held.mid), held.code, held.state) == (result["mid"], result["code"], "waiting")
    assert msgspec.json.decode(held.payload, type=Sent).set == mutation.set
    after = everything()
    assert {table for table in after if after[table] != before[table]} <= {
        "sync_mutation", "sync_outbox", "sync_tosettle", "journal_book", "journal_revision",
    }  # fmt: skip
    return refused.value


class _Stopped(Exception):
    """The act was put together and went no further."""


def last_act(act: Callable[[], object]) -> tuple[Someone, Sent]:
    """Return who would do what in this act, put together by the tests' own words, and do not let them do it."""
    told: list[tuple[Someone, Sent]] = []

    def keep(someone: Someone, mutation: Sent, *_: object) -> None:
        told.append((someone, mutation))
        raise _Stopped

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Someone, "does_sent", keep)
        pytest.raises(_Stopped, act)
    return told[0]
