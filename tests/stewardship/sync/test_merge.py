"""The three-way merge by itself (invariant I19): deterministic, disjoint fields commute, units never mix sources."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.sync.merge import Sides, merge

POLICIES = {"note": "keep_both", "helpers": "union"}
UNITS = (("mix", "how_known"), ("written_by", "written_at"))
PLAIN = ("mix", "how_known", "written_by", "written_at", "stems", "species")
LINES = st.lists(st.sampled_from("abcde"), unique=True, max_size=4).map("\n".join)
MEMBERS = st.lists(st.sampled_from("vwxyz"), unique=True, max_size=4)


def states():
    """Give whole records over few values, so that they often agree and often do not."""
    return st.fixed_dictionaries(
        dict.fromkeys(PLAIN, st.integers(0, 2) | st.none()) | {"note": LINES, "helpers": MEMBERS}
    )


@st.composite
def wishes(draw, names=None):
    """Give some fields of a record."""
    whole = draw(states())
    chosen = draw(st.sets(st.sampled_from(sorted(names or whole))))
    return {name: whole[name] for name in sorted(chosen)}


def merged(wish, base, server):
    return merge(wish, base, server, policies=POLICIES, units=UNITS)


def applied(wish, base, server):
    """Return the record after a merge that needs nobody; as it was where somebody must decide."""
    found = merged(wish, base, server)
    return server if found.disputed else server | found.values


# -- one field -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("base", "wish", "server"), list(product(range(3), repeat=3)))
def test_each_case_of_three_values_of_a_field(base, wish, server):
    found = merge({"stems": wish}, {"stems": base}, {"stems": server}, policies={})

    if server == base:
        assert found == ({"stems": wish}, {}, {})
    elif server == wish:
        assert (found.values, found.disputed) == ({}, {})
    else:
        assert (found.values, found.disputed) == ({}, {"stems": Sides(base, wish, server)})


def test_a_field_of_which_nobody_knows_what_was_seen_counts_as_changed():
    assert merge({"stems": 1}, {}, {"stems": 2}, policies={}).disputed == {"stems": Sides(None, 1, 2)}
    assert merge({"stems": 2}, {}, {"stems": 2}, policies={}).disputed == {}


def test_what_is_the_same_is_asked_of_the_caller():
    def within_one(name, one, other):
        return abs(one - other) <= 1

    assert merge({"stems": 9}, {"stems": 4}, {"stems": 5}, policies={}, same=within_one).values == {"stems": 9}


NOTES = [
    ("", "yours", "theirs", "theirs\nyours"),
    ("a", "a\nyours", "a\ntheirs", "a\ntheirs\nyours"),
    ("a\nb", "a\nb\nyours", "b", "b\nyours"),
    ("a", "", "a\ntheirs", "a\ntheirs"),
    ("a", "b", "b\nc", "b\nc"),
    (None, "yours", "theirs", "theirs\nyours"),
]


@pytest.mark.parametrize(("base", "wish", "server", "told"), NOTES)
def test_a_note_keeps_the_lines_of_both(base, wish, server, told):
    found = merged({"note": wish}, {"note": base}, {"note": server})

    assert server.splitlines() == [line for line in found.values["note"].splitlines() if line in server.splitlines()]
    assert (found.values["note"], found.disputed) == (told, {})


LISTS = [
    ([], ["x"], ["y"], ["y", "x"]),
    (["x"], ["x", "y"], ["x", "z"], ["x", "z", "y"]),
    (["x", "y"], ["x"], ["x", "y", "z"], ["x", "z"]),
    (["x", "y"], ["x", "y", "z"], ["y"], ["y", "z"]),
    (None, ["x"], ["y"], ["y", "x"]),
]


@pytest.mark.parametrize(("base", "wish", "server", "told"), LISTS)
def test_a_list_takes_what_either_added_and_gives_up_what_either_took_out(base, wish, server, told):
    assert merged({"helpers": wish}, {"helpers": base}, {"helpers": server}).values == {"helpers": told}


@pytest.mark.parametrize("name", ["note", "helpers"])
def test_what_is_empty_on_one_side_is_no_text_and_no_list_to_keep_both_of(name):
    assert merged({name: None}, {name: ["a"]}, {name: ["b"]}).disputed == {name: Sides(["a"], None, ["b"])}


# -- units -----------------------------------------------------------------------------------------


def test_one_half_of_a_unit_is_not_taken_where_the_other_half_was_changed():
    seen = {"mix": 20, "how_known": "estimated"}

    found = merged({"mix": 25}, seen, {"mix": 20, "how_known": "measured"})

    assert (found.values, found.disputed) == ({}, {"mix": Sides(20, 25, 20)})


def test_both_halves_of_a_unit_are_settled_together():
    seen = {"mix": 20, "how_known": "estimated"}

    found = merged({"mix": 25, "how_known": "measured"}, seen, {"mix": 25, "how_known": "apportioned"})

    assert found.disputed.keys() == {"mix", "how_known"}
    assert (found.values, found.moved) == ({}, {})


@given(wishes(), states(), states())
def test_units_never_mix_sources(wish, base, server):
    found = merged(wish, base, server)

    for unit in UNITS:
        asked = {name: wish[name] for name in unit if name in wish}
        taken = {name: found.values[name] for name in unit if name in found.values}
        assert taken in ({}, asked)
        if taken:
            assert {name: server[name] for name in unit} == {name: base[name] for name in unit}


# -- laws ------------------------------------------------------------------------------------------


@given(wishes(), states(), states())
def test_the_same_again_gives_the_same(wish, base, server):
    backwards = dict(reversed(wish.items()))

    assert merged(wish, base, server) == merged(backwards, base, server)


@given(wishes(), states(), states())
def test_every_wish_ends_in_one_place(wish, base, server):
    found = merged(wish, base, server)

    assert not found.values.keys() & found.disputed.keys()
    assert not found.moved.keys() & found.disputed.keys()
    assert found.values.keys() | found.disputed.keys() | found.moved.keys() == wish.keys()


@given(wishes(), states(), states())
def test_a_merge_that_is_made_again_changes_nothing_more(wish, base, server):
    after = applied(wish, base, server)

    assert applied(wish, base, after) == after


@given(states(), st.data())
def test_disjoint_fields_commute(base, data):
    one = data.draw(wishes(("mix", "how_known", "stems", "note")))
    other = data.draw(wishes(("written_by", "written_at", "species", "helpers")))

    assert applied(other, base, applied(one, base, base)) == applied(one, base, applied(other, base, base))


@given(wishes(), states(), states())
def test_what_nobody_wished_for_stays_as_the_server_has_it(wish, base, server):
    assert merged(wish, base, server).values.keys() <= wish.keys()


@given(wishes(), states(), states())
def test_a_value_that_the_server_changed_is_replaced_by_nobody_unseen(wish, base, server):
    found = merged(wish, base, server)

    for name, value in found.values.items():
        assert name in POLICIES or server[name] == base[name], f"{name} was replaced by {value}"


@given(wishes(("note", "helpers")), states(), states())
def test_what_both_sides_kept_is_never_dropped(wish, base, server):
    after = server | merged(wish, base, server).values

    for line in wish.get("note", "").splitlines():
        assert line not in server["note"].splitlines() or line in after["note"].splitlines()
    for member in wish.get("helpers", []):
        assert member not in server["helpers"] or member in after["helpers"]


@given(wishes(("note", "helpers")), states(), states())
def test_what_one_side_added_is_there_afterwards(wish, base, server):
    after = server | merged(wish, base, server).values

    for line in wish.get("note", "").splitlines():
        assert line in base["note"].splitlines() or line in after["note"].splitlines()
    for member in wish.get("helpers", []):
        assert member in base["helpers"] or member in after["helpers"]
