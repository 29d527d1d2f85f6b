"""What a plan is made from and what a place follows is read for one group, in a constant number of queries."""

import pytest

from stewardship.accounts.models import Group
from stewardship.catalog.queries import jurisdiction_of, profiles_of, shelf_for
from stewardship.errors import Unavailable
from stewardship.journal.ids import new_id
from stewardship.places.models import Property
from tests.stewardship.catalog.entries import ester, limit
from tests.stewardship.catalog.mixing.shelves import asked, fl_oz, part
from tests.stewardship.catalog.profiles.entries import rule_profile

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


@pytest.mark.parametrize(
    ("own", "groups", "found"), [("US-WA", "US-OR", "US-WA"), ("", "US-OR", "US-OR"), ("", "", "")]
)
def test_a_property_follows_its_own_jurisdiction_else_the_groups(own, groups, found):
    assert jurisdiction_of(Group(jurisdiction=groups), Property(jurisdiction=own)) == found


@pytest.mark.parametrize(
    ("own", "names"),
    [("US-WA", ["state", "country", "general"]), ("US-OR", ["country", "general"]), ("", ["general"])],
)
def test_the_profiles_of_a_place_are_its_own_its_countrys_and_the_general_ones(
    coordinator, cast, django_assert_num_queries, own, names
):
    for name, code in (("state", "US-WA"), ("country", "US"), ("general", ""), ("elsewhere", "AU-NSW")):
        rule_profile(coordinator, name=name, jurisdiction=code)

    with django_assert_num_queries(1):
        found = profiles_of(cast.group, Property(jurisdiction=own))

    assert [profile.name for profile in found] == names


def test_retired_profiles_and_another_groups_do_not_count(coordinator, stranger, cast):
    rule_profile(stranger)
    coordinator.does("rule_profile", "retire", id=rule_profile(coordinator).id)

    assert profiles_of(cast.group, Property(jurisdiction="US-WA")) == []


def test_a_profile_without_a_reference_key_is_known_by_its_id(coordinator, cast):
    kept = rule_profile(coordinator)

    assert [profile.key for profile in profiles_of(cast.group, Property(jurisdiction="US-WA"))] == [str(kept.id)]
