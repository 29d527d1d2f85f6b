"""A revision's hash covers every field of it, its number and the hash before it."""

from datetime import UTC, datetime, timedelta, timezone
from hashlib import sha256
from uuid import UUID

import pytest

from stewardship.journal import chain
from stewardship.journal.models import Revision
from tests.audit import SEALED, sealed

TOLD = chain.Told(
    group_id=UUID(int=1), kind="unit", record_id=UUID(int=2), rev=3, op="amend", mid=UUID(int=4), by_id=UUID(int=5),
    device_id=None, at=datetime(2027, 5, 1, 15, 0, 0, 7, UTC), reason="a slip", audience="group",
)  # fmt: skip
OTHER = {
    "group_id": UUID(int=9), "kind": "property", "record_id": UUID(int=9), "rev": 4, "op": "void", "mid": UUID(int=9),
    "by_id": UUID(int=9), "device_id": UUID(int=9), "at": TOLD.at + timedelta(microseconds=1), "reason": "",
    "audience": "coordinators",
}  # fmt: skip
PREVIOUS, CONTENT = "a" * 64, "b" * 64


def seal(told=TOLD, previous=PREVIOUS, seq=12, content=CONTENT):
    return chain.seal(previous, seq, told, content)


@pytest.mark.parametrize("name", chain.Told._fields)
def test_another_value_of_a_field_is_another_hash(name):
    assert seal(TOLD._replace(**{name: OTHER[name]})) != seal()


@pytest.mark.parametrize("change", [{"previous": "c" * 64}, {"seq": 13}, {"content": "c" * 64}])
def test_another_predecessor_number_or_content_is_another_hash(change):
    assert seal(**change) != seal()


def test_the_same_is_the_same_hash_in_whatever_zone_the_moment_is_told():
    at = TOLD.at.astimezone(timezone(timedelta(hours=-5)))

    assert seal(TOLD._replace(at=at)) == seal(TOLD)


def test_text_does_not_flow_from_one_field_into_the_next():
    assert seal(TOLD._replace(kind="unit", op="amend")) != seal(TOLD._replace(kind="unita", op="mend"))
    assert seal(TOLD._replace(reason='","')) != seal(TOLD._replace(reason='",'))


def test_the_hash_is_the_one_computed_from_its_description():
    revision = Revision(seq=12, content_hash=CONTENT, **TOLD._asdict())

    assert seal() == sealed(PREVIOUS, revision)


def test_every_column_of_a_revision_is_sealed():
    columns = {f.attname for f in Revision._meta.concrete_fields}

    assert columns - set(SEALED) == {"seq", "content", "salt", "content_hash", "hash"}
    assert chain.Told._fields == SEALED


def test_a_content_is_hashed_with_its_salt():
    assert chain.content_hash("ab", "{}") == sha256(b"ab{}").hexdigest()
    assert chain.content_hash("ab", "{}") != chain.content_hash("cd", "{}")
    assert chain.content_hash("ab", '{"n":"Ødegård"}') == sha256('ab{"n":"Ødegård"}'.encode()).hexdigest()
