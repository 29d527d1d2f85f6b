"""Several people top up, use and void from the same batches at once: all ends as if one had followed the other."""

from collections import Counter

import pytest

from stewardship.rules.shares import BatchOverdrawn
from stewardship.treatments.models import Batch, Leftover
from tests.concurrency import in_threads
from tests.ground import fl_oz, nl
from tests.stewardship.treatments.test_conservation import check

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_batch_that_several_pour_from_at_once_gives_what_it_holds_and_no_more(ground):
    batch = ground.batch()
    left = ground.leftover(batch, "64")
    sources = [{"batch": str(batch)}, {"leftover": str(left)}, {"batch": str(batch), "leftover": str(left)}] * 2

    def pours(source):
        told = []
        for _ in range(3):
            try:
                ground.top_up(source | {"volume": fl_oz("6")}, mix="8")
                told.append("poured")
            except BatchOverdrawn:
                told.append("nothing left")
        return told

    told = in_threads([lambda source=source: pours(source) for source in sources])

    assert Counter(word for words in told for word in words) == {"poured": 10, "nothing left": 8}
    old = Batch.objects.get(id=batch)
    assert abs(old.left_nl - nl("4")) <= 10
    assert len(old.poured_on) == old.lines == 10
    assert Leftover.objects.get(id=left).ended_at is None
    check()


def test_batches_that_are_poured_into_each_other_both_ways_do_not_meet_head_on(ground, coordinator):
    """Each pours from both, in its own order, and takes it back: locks are taken in one order, so all of it is done."""
    batches = [ground.batch() for _ in range(2)]
    left = [ground.leftover(batch, "20") for batch in batches]

    def to_and_fro(first, second):
        for _ in range(4):
            poured = [{"leftover": str(left[first]), "volume": fl_oz("1")}, {"batch": str(batches[second])}]
            poured[1]["volume"] = fl_oz("1")
            made = ground.top_up(*poured, mix="8")
            coordinator.does("leftover", "amend", id=left[second], note="seen", reason="seen")
            coordinator.does("batch", "void", id=made, reason="poured back")

    told = in_threads([lambda: to_and_fro(0, 1), lambda: to_and_fro(1, 0), lambda: to_and_fro(0, 1)])

    assert told == [None] * 3
    assert [(b.used_nl, b.lines, b.poured_on) for b in Batch.objects.filter(id__in=batches)] == [(0, 0, [])] * 2
    check()
