"""The closed list of methods."""

from stewardship.rules.methods import HERBICIDE_METHODS, MANUAL_METHODS, METHODS, WORDS


def test_every_method_has_a_word():
    assert tuple(WORDS) == METHODS


def test_a_method_is_either_with_herbicide_or_without():
    assert not set(HERBICIDE_METHODS) & set(MANUAL_METHODS)
    assert {"cut_stump", "basal_bark", "hack_and_squirt", "foliar"} <= set(HERBICIDE_METHODS)
    assert {"girdling", "pulling"} <= set(MANUAL_METHODS)
