"""What must always hold of sync and of the record book; each of it is named by a test that holds it.

A test says "Invariant", I and the number in its docstring, so that none of them gets lost when tests are moved.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

TESTS = Path(__file__).resolve().parent

INVARIANTS = {
    1: "no skip: every committed change reaches every entitled device that keeps pulling",
    2: "numbers strictly rising, contiguous, in the order of commits; what is rolled back uses none",
    3: "a cursor never exceeds what was delivered",
    4: "exactly once, however often, late, split or reordered a mutation is sent",
    5: "nothing lost: outbox, ledger and what waits to be settled hold everything that a person entered",
    6: "acknowledged is durable",
    7: "state after pulling to c and then to h = state after pulling to h, for every c and page size",
    8: "in a quiet system devices and service are equal for their audiences, byte for byte",
    9: "no silent overwrite: a correction replaced the value its author saw, an equal one, or followed a policy",
    10: "history is immutable and without gap, a row is its newest revision, reasons stand there, the chain verifies",
    11: "no leak: no row, field or id outside one's audience in pull, conflict, result or error",
    12: "the book is complete: each record's rev is its newest revision's, derived columns equal their recomputation",
    13: "a change of role takes effect at the next call: 410, wipe, pull; nothing is read after it",
    14: "a no-op changes no rev and uses no number",
    15: "a session is never seen without its lines at a completed pull",
    16: "bad mutations in a batch leave all others their normal outcome",
    17: "a cloned or restored device loses and overwrites nothing",
    18: "a restored service gets back what it forgot: the union of both histories",
    19: "merge is deterministic; disjoint fields commute; units never mix sources",
    20: "no result depends on a clock",
    21: "every HTTP error leaves ledger, head and last_n unchanged",
    22: "statements per push are constant for 1, 10, 500; a pull is an index range",
    23: "no deadlock reaches a client",
    24: "through both doors the same rule gives the same code",
    25: "every old schema's stored examples push to a valid or held mutation",
}


def named() -> set[int]:
    """Return the invariants that the docstring of a test, or of a module of tests, names."""
    sources = [source for path in TESTS.rglob("test_*.py") if "nvariant" in (source := path.read_text())]
    told = [text for source in sources for text in _docstrings(source) if "nvariant" in text]
    return {int(number) for text in told for number in re.findall(r"\bI(\d+)\b", text)}


def _docstrings(source: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(source)):
        is_test = isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
        if is_test or isinstance(node, ast.Module):
            yield ast.get_docstring(node) or ""


def test_each_invariant_is_named_by_a_test():
    assert named() == INVARIANTS.keys()
