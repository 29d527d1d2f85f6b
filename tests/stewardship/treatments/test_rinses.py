"""Rinse water is part of the books: how often, how much or a trace, and where it went."""

import pytest

from stewardship.errors import Unreadable
from stewardship.treatments.models import Rinse
from tests.ground import fl_oz, nl

pytestmark = pytest.mark.django_db(transaction=True)


def rinsed(someone, **values):
    told = {"rinsed_at": "2027-05-01T12:30:00-05:00", "by": someone.member.id, "times": 3, "container": "bottle 3"}
    return someone.does("rinse", "create", **told | values).record


def test_a_trace_is_no_zero_and_where_it_went_is_asked_for(volunteer):
    rinse = Rinse.objects.get(id=rinsed(volunteer).id)

    assert (rinse.volume_nl, rinse.times, rinse.on_date.isoformat()) == (None, 3, "2027-05-01")
    assert [(mark["code"], mark["field"]) for mark in rinse.marks] == [("manner_unstated", "manner")]


def test_it_goes_into_the_next_batch_as_carrier(ground, volunteer):
    first, second = ground.batch(), ground.batch()

    rinse = rinsed(volunteer, batch=first, container="", volume=fl_oz("6"), into_batch=second)

    assert (rinse.volume_nl, rinse.into_batch_id, rinse.marks) == (nl("6"), second, [])


def test_it_is_voided_and_reinstated(volunteer):
    rinse = rinsed(volunteer, manner="sprayed out on the treated stumps")

    volunteer.does("rinse", "void", id=rinse.id, reason="typed twice")
    assert Rinse.objects.get().voided_at
    volunteer.does("rinse", "reinstate", id=rinse.id, reason="no")
    assert Rinse.objects.get().voided_at is None


@pytest.mark.parametrize("wrong", [{"container": " "}, {"times": 0}, {"volume": fl_oz("0")}], ids=str)
def test_a_rinse_of_nothing_is_refused(volunteer, wrong):
    with pytest.raises(Unreadable):
        rinsed(volunteer, **wrong)
