"""What a plan is made from is read for one group, in a constant number of queries."""

import pytest

from stewardship.accounts.models import Group
from stewardship.catalog.queries import shelf_for
from stewardship.errors import Unavailable
from stewardship.journal.ids import new_id
from tests.stewardship.catalog.entries import ester, limit
from tests.stewardship.catalog.mixing.shelves import asked, fl_oz, part

pytestmark = pytest.mark.django_db


def body(product, **more):
    return asked({"make": fl_oz("64"), "parts": [part(product, "20")], **more})


def test_the_products_of_the_mix_and_of_its_leftover_are_read_at_once(coordinator, django_assert_num_queries):
    one, other = ester(coordinator), ester(coordinator)
    left = {"volume": fl_oz("8"), "parts": [part(other, "20")]}

    with django_assert_num_queries(1):
        shelf = shelf_for(Group(id=coordinator.group_id), body(one, leftover=left))

    assert shelf.products.keys() == {one.id, other.id}
    assert shelf.mass_unit == "lb"


def test_limits_are_read_where_a_method_is_given_but_retired_ones_are_not(coordinator, cast):
    product, kept = ester(coordinator), limit(coordinator)
    coordinator.does("limit", "retire", id=limit(coordinator).id)
    limit(coordinator, what="wind", unit="mph")

    assert shelf_for(cast.group, body(product)).limits == []
    assert [each.id for each in shelf_for(cast.group, body(product, method="basal_bark")).limits] == [kept.id]


def test_another_groups_limits_do_not_count(coordinator, stranger, cast):
    limit(stranger)

    assert shelf_for(cast.group, body(ester(coordinator), method="basal_bark")).limits == []


def test_another_groups_product_and_an_unknown_one_are_unavailable(coordinator, stranger, cast):
    foreign = ester(stranger)

    with pytest.raises(Unavailable):
        shelf_for(cast.group, body(foreign))
    foreign.id = new_id()
    with pytest.raises(Unavailable):
        shelf_for(cast.group, body(foreign))


def test_an_unknown_species_is_unavailable(coordinator, cast):
    with pytest.raises(Unavailable):
        shelf_for(cast.group, body(ester(coordinator), species=str(new_id())))
