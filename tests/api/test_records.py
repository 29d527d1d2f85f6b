"""What every resource does, shown on properties, units and members."""

import json
from uuid import uuid4

import pytest

from tests.api.asking import at, get, patch, post

SQUARE = [[[-88.0, 41.0], [-87.99, 41.0], [-87.99, 41.01], [-88.0, 41.01], [-88.0, 41.0]]]


@pytest.fixture
def meadow(coordinator):
    return post(coordinator, "properties", {"name": "North Meadow"}).json()


def test_a_record_is_created_where_its_location_says(coordinator):
    id = str(uuid4())

    made = post(coordinator, "properties", {"id": id, "name": "North Meadow"})

    assert made.status_code == 201
    assert made["ETag"] == '"1"'
    assert made["Location"] == f"http://testserver{at(coordinator, 'properties')}/{id}"
    assert made["Cache-Control"] == "no-store"
    assert coordinator.client().get(made["Location"]).json() == made.json()


def test_a_record_is_amended_from_the_revision_that_was_read(coordinator, meadow):
    changed = patch(coordinator, f"properties/{meadow['id']}", {"name": "Far Meadow"}, If_Match='"1"')

    assert (changed.status_code, changed["ETag"]) == (200, '"2"')
    assert changed.json() == meadow | {"rev": 2, "name": "Far Meadow"}


def test_a_change_without_its_revision_is_not_made(coordinator, meadow):
    refused = patch(coordinator, f"properties/{meadow['id']}", {"name": "Far Meadow"})

    assert (refused.status_code, refused.json()["code"]) == (428, "if_match_missing")


def test_a_change_of_an_older_revision_is_not_made(coordinator, meadow):
    patch(coordinator, f"properties/{meadow['id']}", {"name": "Far Meadow"}, If_Match='"1"')

    refused = patch(coordinator, f"properties/{meadow['id']}", {"name": "Third"}, If_Match='"1"')

    assert (refused.status_code, refused.json()["code"]) == (412, "conflict")
    assert get(coordinator, f"properties/{meadow['id']}").json()["name"] == "Far Meadow"


@pytest.mark.parametrize("tag", ["*", "1", 'W/"1"', '"one"', '"1", "2"', '"99999999999"'])
def test_an_if_match_that_is_no_etag_of_ours_is_refused(coordinator, meadow, tag):
    refused = patch(coordinator, f"properties/{meadow['id']}", {"name": "Far Meadow"}, If_Match=tag)

    assert (refused.status_code, refused.json()["code"]) == (400, "if_match_invalid")


def test_a_write_sent_again_is_answered_as_it_was_answered_first(coordinator):
    key = str(uuid4())
    first = post(coordinator, "properties", {"name": "North Meadow"}, Idempotency_Key=key)
    patch(coordinator, f"properties/{first.json()['id']}", {"name": "Far Meadow"}, If_Match='"1"')

    again = post(coordinator, "properties", {"name": "North Meadow"}, Idempotency_Key=key)

    assert (again.status_code, again["Idempotency-Replayed"]) == (201, "true")
    assert again.json() == first.json()
    assert again["ETag"] == first["ETag"] == '"1"'
    assert again["Location"] == first["Location"]
    assert "Idempotency-Replayed" not in first


def test_a_key_stands_for_one_thing(coordinator):
    key = str(uuid4())
    post(coordinator, "properties", {"name": "North Meadow"}, Idempotency_Key=key)

    refused = post(coordinator, "properties", {"name": "South Meadow"}, Idempotency_Key=key)

    assert (refused.status_code, refused.json()["code"]) == (422, "mid_reused")


def test_a_key_that_is_no_uuid_is_refused(coordinator):
    refused = post(coordinator, "properties", {"name": "North Meadow"}, Idempotency_Key="again")

    assert (refused.status_code, refused.json()["code"]) == (400, "idempotency_key_invalid")


def test_a_refused_write_does_not_use_up_its_key(coordinator):
    key = str(uuid4())
    refused = post(coordinator, "properties", {"name": ""}, Idempotency_Key=key)

    made = post(coordinator, "properties", {"name": "North Meadow"}, Idempotency_Key=key)

    assert (refused.status_code, made.status_code) == (400, 201)


def test_the_same_record_sent_again_without_a_key_is_there_already(coordinator):
    body = {"id": str(uuid4()), "name": "North Meadow"}
    first = post(coordinator, "properties", body)

    again = post(coordinator, "properties", body)

    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()


def test_a_history_tells_who_changed_what_from_what_to_what(coordinator, meadow):
    patch(coordinator, f"properties/{meadow['id']}", {"name": "Far Meadow", "reason": "its old name"}, If_Match='"1"')

    first, second = get(coordinator, f"properties/{meadow['id']}/history").json()["results"]

    assert (first["op"], second["op"]) == ("create", "amend")
    assert {"field": "name", "old": None, "new": "North Meadow"} in first["changes"]
    assert second["changes"] == [{"field": "name", "old": "North Meadow", "new": "Far Meadow"}]
    assert second["who"] == {"person": str(coordinator.person.id), "name": "Maren Oduya"}
    assert second["reason"] == "its old name"
    assert (second["rev"], second["seq"]) == (2, first["seq"] + 1)


def test_a_boundary_is_answered_in_numbers_with_its_area_in_the_groups_unit(coordinator):
    boundary = {"type": "Polygon", "coordinates": SQUARE}

    made = post(coordinator, "properties", {"name": "Square", "boundary": boundary}).json()

    assert made["boundary"] == boundary
    assert made["area"]["unit"] == "acre"
    assert float(made["area"]["value"]) == pytest.approx(made["area_mm2"] / 4_046_856_422.4, rel=1e-3)
    assert get(coordinator, f"properties/{made['id']}").json() == made


def test_a_unit_is_laid_out_within_the_property_of_its_address(coordinator, meadow):
    made = post(coordinator, f"properties/{meadow['id']}/units", {"name": "East"})

    assert made.status_code == 201
    assert made.json()["property"] == meadow["id"]
    assert made["Location"].endswith(f"/units/{made.json()['id']}")
    assert get(coordinator, f"properties/{meadow['id']}/units").json()["results"] == [made.json()]
    assert get(coordinator, "units", property=meadow["id"]).json()["results"] == [made.json()]


def test_a_unit_is_not_laid_out_in_another_property_than_its_address_says(coordinator, meadow):
    refused = post(coordinator, f"properties/{meadow['id']}/units", {"name": "East", "property": str(uuid4())})

    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "/property")


def test_a_further_verb_of_a_type_is_performed_at_its_own_address(coordinator, volunteer):
    ended = post(coordinator, f"members/{volunteer.member.id}/end", {"reason": "moved away"})

    assert ended.status_code == 200
    assert ended.json()["ended_at"]
    assert ended.json() in get(coordinator, "members", ended="true").json()["results"]
    assert ended.json() not in get(coordinator, "members", ended="false").json()["results"]


def test_a_broken_rule_is_a_conflict_that_names_it(coordinator):
    refused = post(coordinator, f"members/{coordinator.member.id}/end")

    assert (refused.status_code, refused.json()["code"]) == (409, "last_coordinator")


def test_the_id_of_a_record_stands_in_the_address_alone(coordinator, meadow):
    refused = patch(coordinator, f"properties/{meadow['id']}", {"id": meadow["id"]}, If_Match='"1"')

    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "/id")


def test_the_group_is_read_and_amended_at_its_own_address(coordinator):
    read = get(coordinator, "").status_code, coordinator.client().get(at(coordinator, "")[:-1])
    changed = coordinator.client().patch(
        at(coordinator, "")[:-1], json.dumps({"area_unit": "ha"}), "application/json", headers={"If-Match": '"1"'}
    )

    assert read[0] == 404
    assert read[1].json()["area_unit"] == "acre"
    assert changed.json()["area_unit"] == "ha"
