import copy
import pickle

import pytest

from stewardship.rules.refusals import RuleViolation


class JugTooSmall(RuleViolation):
    code = "jug_too_small"
    message = "The jug holds {holds}, not {wanted}."
    where = "jug.size"


def test_a_refusal_says_its_sentence_with_the_facts_in_it():
    refusal = JugTooSmall(holds="1 gal", wanted="2 gal")

    assert str(refusal) == refusal.message == "The jug holds 1 gal, not 2 gal."
    assert (refusal.code, refusal.where) == ("jug_too_small", "jug.size")
    assert (refusal.holds, refusal.facts) == ("1 gal", {"holds": "1 gal", "wanted": "2 gal"})


def test_the_place_given_when_raising_comes_before_that_of_the_class():
    assert JugTooSmall(where="parts.0.jug", holds=1, wanted=2).where == "parts.0.jug"
    assert RuleViolation().where == ""


def test_a_message_given_when_raising_is_taken_as_it_stands():
    assert str(JugTooSmall("Somebody wrote {this} on the jug.")) == "Somebody wrote {this} on the jug."


def test_a_fact_with_braces_is_quoted_and_not_read_again():
    assert str(JugTooSmall(holds="{wanted}", wanted=2)) == "The jug holds {wanted}, not 2."


def test_a_sentence_that_lacks_a_fact_fails_at_once():
    with pytest.raises(KeyError, match="wanted"):
        JugTooSmall(holds=1)


def test_a_class_can_be_raised_bare_when_its_sentence_needs_no_facts():
    with pytest.raises(RuleViolation, match="rule of the record book") as caught:
        raise RuleViolation

    assert caught.value.code == "rule_broken"


@pytest.mark.parametrize("copied", [copy.copy, lambda refusal: pickle.loads(pickle.dumps(refusal))])
def test_a_copy_says_the_same(copied):
    refusal = copied(JugTooSmall(where="jug", holds=1, wanted=2))

    assert (str(refusal), refusal.where, refusal.holds) == ("The jug holds 1, not 2.", "jug", 1)
