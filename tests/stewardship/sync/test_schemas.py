"""What an old app sends is still taken: examples of what was sent under each schema are kept for ever."""

import json
from pathlib import Path

import msgspec
import pytest

from stewardship.sync.pull import SCHEMA
from stewardship.sync.reading import Sent, read
from tests.api.asking import hand_in

EXAMPLES = {
    int(path.stem.removeprefix("schema_")): path for path in Path(__file__).parent.glob("examples/schema_*.jsonl")
}


def examples(schema):
    return [json.loads(line) for line in EXAMPLES[schema].read_text().splitlines()]


def test_there_are_examples_of_every_schema():
    assert sorted(EXAMPLES) == list(range(1, SCHEMA + 1))


@pytest.mark.parametrize("schema", EXAMPLES)
def test_every_example_can_be_read_today(schema):
    for example in examples(schema):
        read(msgspec.convert(example, Sent))


@pytest.mark.parametrize("schema", EXAMPLES)
def test_every_example_ends_applied_or_held_and_none_for_its_form(coordinator, schema):
    """Invariant I25."""
    pushed = hand_in(coordinator, *examples(schema), **{"Sync-Schema": str(schema)})

    results = pushed.json()["results"]
    assert len(results) == len(examples(schema))
    assert {result["outcome"] for result in results} <= {"applied", "noop", "merged", "conflict", "held"}
    assert {result.get("code") for result in results}.isdisjoint({"unreadable", "server_error"})
    assert "applied" in {result["outcome"] for result in results}
