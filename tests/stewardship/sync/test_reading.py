"""What was sent is read, or everything that is wrong with it is told with its place."""

from datetime import datetime
from typing import Annotated, Literal
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import UNSET, Meta, UnsetType

from stewardship.errors import Unreadable
from stewardship.journal.fields import Closed, Moment, Name, Volume, ZoneName
from stewardship.sync.reading import read, read_fields
from stewardship.sync.verbs import VERBS
from tests.cast import sent


class Part(Closed, frozen=True):
    amount: Volume
    kind: Literal["oil", "water"]


class Wish(Closed, frozen=True):
    name: Name
    parts: Annotated[list[Part], Meta(max_length=3)] = []
    part: Part | None | UnsetType = UNSET
    at: Moment | None = None
    zone: ZoneName = ZoneName("")
    count: Annotated[int, Meta(ge=0, le=100)] = 0


OUNCES = {"value": "40", "unit": "fl_oz"}


def wrong(body, kind=Wish):
    """Return pointer -> code of everything that is wrong."""
    with pytest.raises(Unreadable) as refused:
        read_fields(body, kind)
    told = refused.value.facts["errors"]
    assert all(problem["detail"] for problem in told)
    assert refused.value.where == told[0]["pointer"]
    return {problem["pointer"]: problem["code"] for problem in told}


def test_what_is_right_is_read():
    wish = read_fields({"name": "a", "parts": [{"amount": OUNCES, "kind": "oil"}], "at": "2027-05-01T10:00:00Z"}, Wish)

    assert (wish.name, wish.parts[0].amount.unit, wish.part) == ("a", "fl_oz", UNSET)
    assert isinstance(wish.at, datetime)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"parts": [{"amount": OUNCES, "kind": "tar"}]}, "'tar' is none of the words that may stand here."),
        ({"parts": [{"amount": OUNCES, "kind": "oil"}] * 4}, "This must be a list of at most 3 entries."),
        ({"count": 101}, "This must be a whole number of at most 100."),
        ({"count": "many"}, "This must be a whole number, not text."),
        ({"at": "noon"}, "This is no date and time with offset, such as 2027-05-02T09:30:00-05:00."),
        ({"at": "2027-05-01T10:00:00"}, "A time needs its offset, such as 2027-05-02T09:30:00-05:00."),
        ({"id": "this one"}, "This is no id (UUID)."),
        ({"why": ""}, "This must not be empty."),
        ({"why": "long" * 3}, "This must be text of at most 10 characters."),
    ],
    ids=lambda each: next(iter(each)) if isinstance(each, dict) else "",
)
def test_what_is_wrong_is_told_in_words_for_people(changes, words):
    class Reasoned(Wish, frozen=True):
        id: UUID | None = None
        why: Annotated[str, Meta(min_length=1, max_length=10)] = "so"

    with pytest.raises(Unreadable) as refused:
        read_fields({"name": "a"} | changes, Reasoned)

    assert [problem["detail"] for problem in refused.value.facts["errors"]] == [words]


def test_every_problem_is_told_at_once_however_deep():
    body = {
        "name": " ",
        "colour": "green",
        "a/b~c": 1,
        "parts": [{"amount": OUNCES, "kind": "oil"}, {"amount": {"value": "x", "unit": "furlong"}, "kind": "tar"}, 7],
        "part": {"kind": "oil", "extra": None},
        "at": "2027-05-01T10:00:00",
        "zone": "Mars/Base",
        "count": 101,
    }

    assert wrong(body) == {
        "/name": "value_invalid",
        "/colour": "field_unknown",
        "/a~1b~0c": "field_unknown",
        "/parts/1/amount": "number_unreadable",
        "/parts/1/kind": "value_invalid",
        "/parts/2": "value_invalid",
        "/part/amount": "field_missing",
        "/part/extra": "field_unknown",
        "/at": "value_invalid",
        "/zone": "value_invalid",
        "/count": "value_invalid",
    }


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/name"),
        ([], ""),
        ("text", ""),
        (None, ""),
        (7, ""),
        ({"name": "a", "parts": [{"amount": OUNCES, "kind": "oil"}] * 4}, "/parts"),
        ({"name": "a", "parts": {}}, "/parts"),
        ({"name": "a", "part": []}, "/part"),
        ({"name": "a" * 201}, "/name"),
        ({"name": None}, "/name"),
        ({"name": "a", "count": True}, "/count"),
        ({"name": "a", "count": "1"}, "/count"),
        ({"name": "a", "count": 2**70}, "/count"),
        ({"name": "a", "count": float("nan")}, "/count"),
        ({"name": "a", "parts": [{"amount": {"value": "1"}, "kind": "oil"}]}, "/parts/0/amount/unit"),
        ({"name": "a", "parts": [{"amount": {"value": "-1", "unit": "ml"}, "kind": "oil"}]}, "/parts/0/amount"),
        ({"name": "a", "parts": [{"amount": "40 fl oz", "kind": "oil"}]}, "/parts/0/amount"),
    ],
)
def test_one_thing_that_is_wrong_has_its_place(body, pointer):
    assert list(wrong(body)) == [pointer]


def test_a_sentence_is_for_people():
    with pytest.raises(Unreadable) as refused:
        read_fields({"name": 7}, Wish)

    assert str(refused.value) == "This must be text, not a whole number."


def test_a_verb_that_does_not_exist_is_told_by_name_and_not_at_length():
    with pytest.raises(Unreadable) as refused:
        read(sent("moon" * 5000, "land"))

    (problem,) = refused.value.facts["errors"]
    assert (problem["pointer"], problem["code"]) == ("/op", "verb_unknown")
    assert len(problem["detail"]) <= 300


def test_an_act_without_its_target_is_told_so():
    with pytest.raises(Unreadable) as refused:
        read(sent("property", "amend", {"name": "x"}))

    assert refused.value.facts["errors"][0]["pointer"] == "/id"


def test_the_target_is_the_one_beside_the_fields():
    _, wish = read(sent("property", "amend", {"name": "x"}, id=UUID(int=1)))

    assert wish.id == UUID(int=1)


def test_a_second_target_among_the_fields_is_not_swallowed():
    with pytest.raises(Unreadable) as refused:
        read(sent("property", "amend", {"name": "x", "id": str(UUID(int=2))}, id=UUID(int=1)))

    assert refused.value.facts["errors"][0]["pointer"] == "/id"


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.uuids().map(str),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)
places = sorted({name for verb in VERBS.values() for name in verb.fields.__struct_fields__})
known_names = st.dictionaries(st.sampled_from(places), anything, max_size=6)
geometry = st.fixed_dictionaries({
    "type": st.sampled_from(["Polygon", "MultiPolygon", "Point", 7]), "coordinates": anything
})  # fmt: skip


def problems_of(mutation):
    """Return what is wrong with it, None if it can be read; anything but Unreadable passes through."""
    try:
        read(mutation)
    except Unreadable as refused:
        return refused.facts["errors"]
    return None


@settings(deadline=None, max_examples=600)
@given(
    verb=st.sampled_from(sorted(VERBS)),
    fields=known_names | st.dictionaries(st.text(), anything, max_size=3),
    target=st.none() | st.uuids(),
    reason=st.text(),
    boundary=st.none() | geometry,
)
def test_no_json_value_whatever_is_more_than_unreadable(verb, fields, target, reason, boundary):
    mutation = sent(*verb, fields | ({"boundary": boundary} if boundary else {}), id=target, reason=reason)

    told = problems_of(mutation)

    assert told is None or (told and all({"pointer", "code", "detail"} == problem.keys() for problem in told))


@settings(deadline=None, max_examples=300)
@given(fields=st.dictionaries(st.text(), anything, max_size=4), base_rev=st.none() | st.integers(), reason=st.text())
def test_no_json_value_whatever_is_without_a_fingerprint(fields, base_rev, reason):
    mutation = sent("property", "create", fields, base_rev=base_rev, reason=reason)

    assert len(mutation.fingerprint()) == 64
    assert (
        mutation.fingerprint()
        == sent("property", "create", dict(reversed(fields.items())), base_rev=base_rev, reason=reason).fingerprint()
    )


@pytest.mark.parametrize(
    "change",
    [
        {"type": "unit"}, {"op": "amend"}, {"set": {"name": "b"}}, {"id": UUID(int=1)}, {"base_rev": 0},
        {"reason": "x"}, {"set": {"name": "a", "note": ""}}, {"set": {}},
    ],
)  # fmt: skip
def test_other_words_have_another_fingerprint(change):
    said = {"type": "property", "op": "create", "set": {"name": "a"}}

    assert sent(**(said | change)).fingerprint() != sent(**said).fingerprint()
