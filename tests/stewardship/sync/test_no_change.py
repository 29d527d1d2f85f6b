"""Invariant I14: what changes nothing makes no revision and takes no number, whatever the type of record."""

import pytest

from stewardship.journal.models import Book, Revision
from stewardship.sync.verbs import VERBS
from tests.api.scene import Scene
from tests.cast import sent

AMENDED = [kind for kind, op in VERBS if op == "amend"]


@pytest.fixture
def scene(cast):
    return Scene(cast.coordinator)


def test_a_correction_that_was_made_before_is_no_change(scene):
    device, found = scene.coordinator, {}
    for kind in AMENDED:
        with scene.taken_back():
            id, fields = scene.target(kind, "amend"), scene.fields(kind, "amend")
            device.does(kind, "amend", id=id, **fields)
            before, reason = head(device), fields.pop("reason", "")

            (result,) = device.pushes(sent(kind, "amend", fields, id=id, reason=reason, n=1)).results

            told = result.get("code") or result["outcome"], head(device) - before
            if told != ("noop", 0) or result["rev"] != newest(id):
                found[kind] = told, result
    assert found == {}


def head(someone):
    return Book.objects.get(group_id=someone.group_id).head


def newest(id):
    return Revision.objects.filter(record_id=id).latest("rev").rev
