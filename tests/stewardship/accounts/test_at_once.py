"""Two at once: two coordinators who put each other out, and two who open one letter."""

from functools import partial
from itertools import product

import pytest

from stewardship.accounts.models import Member, Person
from stewardship.accounts.services.groups import LastCoordinator
from stewardship.errors import RuleViolation
from tests.concurrency import in_threads
from tests.stewardship.accounts.test_invitations import accepted, invited, letters

pytestmark = pytest.mark.django_db(transaction=True)

WAYS = {
    "demote": ("amend", {"role": "volunteer"}),
    "suspend": ("suspend", {"reason": "a quarrel"}),
    "end": ("end", {}),
    "leave": ("leave", {}),
}


def goes(doer, other, way):
    """One coordinator leaves, or puts the other out."""
    op, values = WAYS[way]
    target = doer if way == "leave" else other
    return doer.does("member", op, id=target.member.id, **values)


def coordinators_left(group_id):
    return Member.objects.present().filter(group_id=group_id, role="coordinator").count()


@pytest.mark.parametrize(("one", "two"), list(product(WAYS, WAYS)))
def test_of_two_coordinators_who_go_at_once_one_remains(cast, one, two):
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="coordinator")
    pair = cast.coordinator.read_again(), cast.volunteer.read_again()

    told = in_threads([partial(goes, *pair, one), partial(goes, *reversed(pair), two)])

    assert coordinators_left(cast.group.id) == 1
    refused = [each for each in told if isinstance(each, Exception)]
    both_go = (one == "leave") == (two == "leave")  # else one leaves whom the other puts out
    assert [type(each) for each in refused] == ([LastCoordinator] if both_go else []), told


def test_two_who_open_one_letter_at_once_make_one_membership(coordinator):
    invited(coordinator)
    (secret,) = letters()

    told = in_threads([partial(accepted, secret)] * 4)

    refusals = [each for each in told if isinstance(each, RuleViolation)]
    assert [each.code for each in refusals] == ["link_ended"] * 3, told
    assert Member.objects.filter(display_name="Nell Osgood").count() == 1
    assert Person.objects.filter(email="nell@tamarack.example").count() == 1


def test_two_letters_to_one_new_address_accepted_at_once_make_one_person(cast):
    invited(cast.coordinator)
    invited(cast.stranger)
    first, second = letters()

    told = in_threads([partial(accepted, first), partial(accepted, second)])

    codes = [each.code for each in told if isinstance(each, RuleViolation)]
    assert codes in ([], ["sign_in_first"]), told  # whoever comes second is somebody with a password by then
    assert Person.objects.filter(email="nell@tamarack.example").count() == 1
