"""Who records and corrects what, and says why: the same for batches, sessions, applications and work lines."""

import pytest

from stewardship.errors import NotPermitted, ReasonMissing, Unavailable
from stewardship.journal.ids import new_id
from tests.stewardship.treatments.records import AMENDS, CORRECTIONS, KINDS, corrects, entered

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("kind", "op"), CORRECTIONS)
def test_one_corrects_ones_own_and_a_coordinator_anyones(ground, cast, kind, op):
    for by in (cast.volunteer, cast.coordinator):
        id = entered(kind, ground, cast.volunteer)

        assert corrects(by, kind, op, id).result["outcome"] == "applied"


@pytest.mark.parametrize(("kind", "op"), CORRECTIONS)
def test_another_volunteer_and_a_reviewer_correct_nothing(ground, cast, kind, op):
    id = entered(kind, ground, cast.volunteer)

    for by in (cast.other_volunteer, cast.reviewer):
        with pytest.raises(NotPermitted):
            corrects(by, kind, op, id)


@pytest.mark.parametrize("kind", KINDS)
def test_a_reviewer_records_nothing(ground, cast, kind):
    cast.coordinator.does("member", "amend", id=cast.reviewer.member.id, role="coordinator")
    cast.reviewer.read_again()
    entered(kind, ground, cast.reviewer)
    cast.coordinator.does("member", "amend", id=cast.reviewer.member.id, role="reviewer")
    cast.reviewer.read_again()

    with pytest.raises(NotPermitted):
        entered(kind, ground, cast.reviewer)


@pytest.mark.parametrize(("kind", "op"), CORRECTIONS)
def test_a_correction_says_why(ground, volunteer, kind, op):
    id = entered(kind, ground, volunteer)

    with pytest.raises(ReasonMissing) as refused:
        corrects(volunteer, kind, op, id, reason="  ")

    assert (refused.value.code, refused.value.where) == ("reason_missing", "reason")


@pytest.mark.parametrize(("kind", "op"), CORRECTIONS)
def test_what_is_unknown_is_not_corrected(ground, volunteer, kind, op):
    with pytest.raises(Unavailable):
        volunteer.does(kind, op, id=new_id(), reason="misread", **(AMENDS[kind] if op == "amend" else {}))


@pytest.mark.parametrize("kind", KINDS)
def test_another_groups_record_is_unknown(ground, volunteer, stranger, kind):
    id = entered(kind, ground, volunteer)

    with pytest.raises(Unavailable):
        stranger.does(kind, "void", id=id, reason="misread")
