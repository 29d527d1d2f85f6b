"""Whatever is received, mixed, topped up, used, corrected, voided, disposed of and closed: nothing gets lost.

A story is told to the service as a device tells it, through push, and to an oracle of whole numbers beside it. After
each step both say the same of every lot and batch, to the nanolitre; product is conserved over all batches together;
and holding the books against one another finds no sum in them that is wrong.
"""

import os
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from stewardship.reports.reconciling import read, reconciled
from stewardship.treatments.models import Application, Batch, Lot, StockMovement
from tests import cast
from tests.audit import findings
from tests.cast import sent
from tests.ground import lay_out
from tests.simulation.books import Batch as MixTold
from tests.simulation.books import Books, Draw, Measure
from tests.simulation.books import Lot as LotTold

BEGINS = datetime(2027, 5, 1, 13, 0, tzinfo=UTC)
STORIES = int(os.environ.get("STORIES", "5"))
WRONG = {"batch_column_wrong", "part_differs_from_lots", "lot_does_not_balance", "unit_ledger_wrong"}

nanolitres = st.integers(1, 3_000_000_000)
"""Up to three litres, to the nanolitre."""
shares = st.integers(1, 999)
choices = st.integers(0, 10**6)


def ml(nl):
    """Return an amount as it is sent: exactly so many nanolitres."""
    return {"value": f"{nl // 10**6}.{nl % 10**6:06}", "unit": "ml"}


class Story(RuleBasedStateMachine):
    """What a group does with its herbicide, in any order."""

    @initialize()
    def begin(self):
        """Found a group of its own, with ground and a product."""
        self.who = cast._founds("Sedge Meadow Crew", cast.ZONE, "Runa Fell", f"runa-{uuid4()}@sedge.example")
        self.ground = lay_out(self.who)
        self.books = Books()

    # -- telling ---------------------------------------------------------------------------------

    def push(self, *mutations):
        """Push and return the outcomes: the codes of what was held, else "applied"."""
        results = self.who.pushes(*mutations).results
        return [result.get("code", result["outcome"]) for result in results]

    def at(self, minute):
        """Return a time as it is sent."""
        return (BEGINS + timedelta(minutes=minute)).isoformat().replace("+00:00", "Z")

    def any_of(self, several, choice):
        """Return one of several."""
        return several[choice % len(several)]

    def living(self):
        """Return the batches that were not voided."""
        return [batch for batch in self.books.batches if not batch.voided]

    @rule(nl=nanolitres)
    def receive(self, nl):
        """Buy a lot."""
        id = uuid4()
        told = {"id": str(id), "product": str(self.ground.product), "received": ml(nl)}
        assert self.push(sent("lot", "create", told)) == ["applied"]
        self.books.lots.append(LotTold(id, nl))

    def _mix(self, at, mix, fresh, lot, poured=()):
        """Return the mutation that mixes a batch, and its id."""
        id, product = uuid4(), str(self.ground.product)
        part = {"product": product, "volume": ml(fresh)} | ({"lots": [{"lot": str(lot.id)}]} if lot else {})
        told = {
            "id": str(id), "mixed_at": self.at(at), "mixed_by": str(self.who.member.id), "mix": ml(mix),
            "how_known": "measured", "carrier": "oil", "parts": [part] if fresh else [],
        }  # fmt: skip
        if poured:
            told["poured_from"] = [{"batch": str(batch.id), "volume": ml(nl)} for batch, nl in poured]
        return id, sent("batch", "create", told)

    @rule(mix=nanolitres, share=shares, choice=choices, from_lot=st.booleans())
    def mix(self, mix, share, choice, from_lot):
        """Mix a batch, of a lot or of product that nobody knows the lot of."""
        at, fresh = self.books.now(), max(1, mix * share // 1000)
        lot = self.any_of(self.books.lots, choice) if from_lot and self.books.lots else None
        id, mutation = self._mix(at, mix, fresh, lot)
        assert self.push(mutation) == ["applied"]
        self.books.mixed(MixTold(id, mix, fresh), lot)

    @precondition(lambda self: self.living())
    @rule(choice=choices, nl=nanolitres, more=nanolitres, share=st.integers(0, 999))
    def top_up(self, choice, nl, more, share):
        """Pour from a batch into a new one, perhaps with fresh product, any number of generations deep."""
        parent, at, fresh = self.any_of(self.living(), choice), self.books.now(), more * share // 1000
        taken = parent.takes(nl)
        id, mutation = self._mix(at, nl + more, fresh, None, [(parent, nl)])
        outcome = self.push(mutation)
        if taken is None:
            assert outcome == ["batch_overdrawn"]
            return
        assert outcome == ["applied"]
        child, draw = MixTold(id, nl + more, fresh), Draw(("batch", id), taken, at)
        parent.draws.append(draw)
        child.parents.append((parent, draw))
        self.books.mixed(child, None)

    # -- using -----------------------------------------------------------------------------------

    @precondition(lambda self: self.living())
    @rule(choice=choices, nl=nanolitres, stems=st.integers(1, 50))
    def apply(self, choice, nl, stems):
        """Use some of a batch, or try to."""
        batch, at, id, session = self.any_of(self.living(), choice), self.books.now(), uuid4(), str(uuid4())
        begun = {"id": session, "unit": str(self.ground.unit), "applicator": str(self.who.member.id)}
        told = {
            "id": str(id), "session": session, "batch": str(batch.id), "species": str(self.ground.species),
            "method": "basal_bark", "mix": ml(nl), "how_known": "measured", "stems": stems,
        }  # fmt: skip
        taken = batch.takes(nl)
        outcome = self.push(
            sent("session", "create", begun | {"started_at": self.at(at)}), sent("application", "create", told)
        )
        assert outcome == ["applied", "applied" if taken is not None else "batch_overdrawn"]
        if taken is not None:
            batch.draws.append(Draw(("line", id), taken, at))

    @precondition(lambda self: self.books.drawing("line"))
    @rule(choice=choices, nl=nanolitres)
    def amend(self, choice, nl):
        """Correct how much a line used."""
        batch, line = self.any_of(self.books.drawing("line"), choice)
        (outcome,) = self.push(sent("application", "amend", {"mix": ml(nl)}, id=line.by[1], reason="misread"))
        if not line.counts:
            assert outcome == "voided"
            return
        line.counts = False
        taken = batch.takes(nl) if nl != line.nl else nl
        line.counts = True
        assert outcome in (("batch_overdrawn",) if taken is None else ("applied", "noop"))
        line.nl = line.nl if taken is None else taken

    @precondition(lambda self: self.books.drawing("line"))
    @rule(choice=choices)
    def void_or_reinstate_line(self, choice):
        """Void a line; one that was voided is put back, as far as its batch still holds it."""
        batch, line = self.any_of(self.books.drawing("line"), choice)
        op = "void" if line.counts else "reinstate"
        taken = None if line.counts or batch.voided else batch.takes(line.nl)
        (outcome,) = self.push(sent("application", op, {}, id=line.by[1], reason="counted twice"))
        if op == "reinstate" and taken is None:
            assert outcome == ("voided" if batch.voided else "batch_overdrawn")
            return
        assert outcome == "applied"
        line.counts, line.nl = not line.counts, line.nl if taken is None else taken

    @precondition(lambda self: self.living())
    @rule(choice=choices, nl=nanolitres, what=st.sampled_from(["disposal", "loss", "spill"]))
    def dispose(self, choice, nl, what):
        """Dispose of, lose or spill some of a batch."""
        batch, at, id = self.any_of(self.living(), choice), self.books.now(), uuid4()
        told = {
            "id": str(id), "what": what, "batch": str(batch.id), "volume": ml(nl), "happened_at": self.at(at),
            "by": str(self.who.member.id), "manner": "hazardous waste day", "incident": "wiped up",
        }  # fmt: skip
        taken = batch.takes(nl)
        (outcome,) = self.push(sent("stock_movement", "create", told))
        assert outcome == ("applied" if taken is not None else "batch_overdrawn")
        if taken is not None:
            batch.draws.append(Draw(("movement", id), taken, at))

    @precondition(lambda self: [1 for _, draw in self.books.drawing("movement") if draw.counts])
    @rule(choice=choices)
    def void_movement(self, choice):
        """Take back what was disposed of."""
        _, draw = self.any_of([each for each in self.books.drawing("movement") if each[1].counts], choice)
        assert self.push(sent("stock_movement", "void", {}, id=draw.by[1], reason="never done")) == ["applied"]
        draw.counts = False

    # -- measuring, closing, voiding ---------------------------------------------------------------

    @precondition(lambda self: self.living())
    @rule(choice=choices, off=st.integers(-20, 20))
    def measure(self, choice, off):
        """Measure what is left, a little off what the book says; an earlier measure ends."""
        batch, at = self.any_of(self.living(), choice), self.books.now()
        nl = max(1, batch.left + batch.left * off // 1000)
        ends = [
            sent("leftover", "end", {"ended_at": self.at(at), "end": "measured_again"}, id=measure.id)
            for measure in batch.measures
            if measure.ended is None
        ]
        id = uuid4()
        told = {"id": str(id), "batch": str(batch.id), "volume": ml(nl), "measured_at": self.at(at)}
        outcome = self.push(*ends, sent("leftover", "create", told | {"how_known": "measured"}))
        assert set(outcome) == {"applied"}
        for measure in batch.measures:
            measure.ended = at if measure.ended is None else measure.ended
        batch.measures.append(Measure(id, nl, at))

    @precondition(lambda self: self.living())
    @rule(choice=choices)
    def close_or_reopen(self, choice):
        """Close a batch and book its difference; a closed one is opened again."""
        batch, at = self.any_of(self.living(), choice), self.books.now()
        if batch.closed:
            (outcome,) = self.push(sent("batch", "reopen", {}, id=batch.id, reason="too early"))
            if batch.used > batch.mix:
                assert outcome == "more_drawn_than_mixed"
            if outcome == "more_drawn_than_mixed":  # or of one product, by what its shares were rounded
                assert batch.used + len(batch.living) >= batch.mix
                return
            assert outcome == "applied"
            batch.closed, batch.booked = False, 0
            return
        told = sent("batch", "close", {"closed_at": self.at(at)}, id=batch.id, reason="nobody knows where it went")
        assert self.push(told) == ["applied"]
        batch.closed, batch.booked = True, min(batch.difference, batch.left)

    @precondition(lambda self: self.living())
    @rule(choice=choices)
    def void(self, choice):
        """Void a batch, where nothing draws on it."""
        batch = self.any_of(self.living(), choice)
        (outcome,) = self.push(sent("batch", "void", {}, id=batch.id, reason="never mixed"))
        if batch.living or batch.closed:
            assert outcome == ("batch_in_use" if batch.living else "batch_closed")
            return
        assert outcome == "applied"
        self.books.unmixed(batch)

    # -- after each step -----------------------------------------------------------------------------

    @invariant()
    def both_say_the_same(self):
        """Compare every lot and batch with the oracle's, and add up all product there is."""
        stored = {batch.id: batch for batch in Batch.objects.filter(group_id=self.who.group_id)}
        found = read(self.who.group_id)
        for told in self.books.batches:
            batch = stored[told.id]
            assert (batch.used_nl, batch.left_nl) == (told.used, told.left)
            assert batch.mix_nl == batch.used_nl + batch.left_nl + batch.difference_nl
            assert batch.left_nl >= 0
            if not told.voided:
                account = found.accounts.of(batch)
                assert account.difference_nl == told.difference
                assert told.mix == told.used + account.difference_nl + account.leftover_nl
        lots = Lot.objects.filter(group_id=self.who.group_id)
        assert dict(lots.values_list("id", "left_nl")) == {lot.id: lot.left for lot in self.books.lots}
        self._product_is_conserved(stored)

    def _product_is_conserved(self, stored):
        """Check that fresh product is what lines used, movements took, closes booked and batches still hold."""
        group = {"group_id": self.who.group_id, "voided_at": None}
        gone = sum(p["nl"] for line in Application.objects.filter(**group) for p in line.products)
        gone += sum(p["nl"] for each in StockMovement.objects.filter(**group, taken_nl__gt=0) for p in each.products)
        living = [stored[told.id] for told in self.living()]
        held = sum(part["left_nl"] for batch in living for part in batch.parts_left)
        booked = sum(nl for batch in living for nl in batch.difference_parts)
        assert sum(told.fresh for told in self.living()) == gone + held + booked
        for batch in living:
            assert all(part["left_nl"] >= 0 for part in batch.parts_left)
            if not batch.left_nl:
                assert [part["left_nl"] for part in batch.parts_left] == [0] * len(batch.parts)

    @invariant()
    def no_sum_in_the_books_is_wrong(self):
        """Hold the books against one another."""
        told = reconciled(read(self.who.group_id))
        assert [finding for finding in told["findings"] if finding["code"] in WRONG] == []


@pytest.mark.django_db(transaction=True)
def test_nothing_gets_lost_whatever_is_told():
    run_state_machine_as_test(
        Story,
        settings=settings(
            max_examples=STORIES,
            stateful_step_count=25,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),  # fmt: skip
    )

    assert list(findings()) == []


@pytest.mark.heavy
@pytest.mark.django_db(transaction=True)
def test_nothing_gets_lost_in_many_stories():
    run_state_machine_as_test(
        Story,
        settings=settings(
            max_examples=40, stateful_step_count=50, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
