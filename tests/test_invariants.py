"""Each invariant of sync, 1 to 25, is named by a test that holds it: none gets lost when tests are moved."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

TESTS = Path(__file__).resolve().parent
MOST = 25


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
    assert named() == set(range(1, MOST + 1))
