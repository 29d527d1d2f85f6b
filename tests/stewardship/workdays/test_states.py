"""Every act from every state: what leads on, and what is refused with a sentence that names the state."""

import pytest

from stewardship.workdays.states import MOVES, State, StateWrong, check_not_ended, check_wants_people, moved

LEADS = {
    ("draft", "open"): "open",
    ("open", "confirm"): "confirmed",
    ("confirmed", "begin"): "under_way",
    ("open", "stop"): "stopped",
    ("confirmed", "stop"): "stopped",
    ("under_way", "stop"): "stopped",
    ("open", "finish"): "done",
    ("confirmed", "finish"): "done",
    ("under_way", "finish"): "done",
    ("stopped", "close"): "closed",
    ("done", "close"): "closed",
    ("draft", "postpone"): "open",
    ("open", "postpone"): "open",
    ("confirmed", "postpone"): "open",
    ("draft", "cancel"): "cancelled",
    ("open", "cancel"): "cancelled",
    ("confirmed", "cancel"): "cancelled",
}


@pytest.mark.parametrize("act", MOVES)
@pytest.mark.parametrize("state", State.values)
def test_each_act_leads_on_from_its_states_and_is_refused_from_all_others(state, act):
    wanted = LEADS.get((state, act))
    if wanted:
        assert moved(state, act) == wanted
        return

    with pytest.raises(StateWrong) as refused:
        moved(state, act)
    assert (refused.value.code, refused.value.where) == ("state_wrong", "state")
    assert str(refused.value) == f"This work day is {State(state).label}, so it cannot be {MOVES[act].words}."


@pytest.mark.parametrize("state", State.values)
@pytest.mark.parametrize(
    ("check", "states"),
    [
        (check_not_ended, {"draft", "open", "confirmed", "under_way", "stopped", "done"}),
        (check_wants_people, {"open", "confirmed", "under_way"}),
    ],
)
def test_plans_and_records_are_taken_in_these_states_only(check, states, state):
    if state in states:
        assert check(state) is None
        return

    with pytest.raises(StateWrong, match=f"This work day is {State(state).label}, so no"):
        check(state)
