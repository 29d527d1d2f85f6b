"""Filters take what they declare, bounded, and refuse the rest."""

from datetime import UTC, date, datetime

import pytest
from django.core.exceptions import ValidationError

from api import filtering
from tests.api.asking import get

NO_DAYS = ("1899-12-31", "3000-01-01", "2027-02-30", "05/02/2027", "2027-5-2", "٢٠٢٧-٠٥-٠٢")
NO_MOMENTS = ("2027-05-02T09:00:00", "2027-05-02", "x", "0001-01-01T00:00:00Z", "2027-13-01T00:00:00Z")
NO_NUMBERS = ("-1", "1.5", "1e3", "x", str((1 << 53) + 1))


def clean(filter, text):
    return filter.field.clean(text)


@pytest.mark.parametrize(
    ("filter", "text", "value"),
    [
        (filtering.Day(), "2027-05-02", date(2027, 5, 2)),
        (filtering.Day(), "1900-01-01", date(1900, 1, 1)),
        (filtering.Day(), "2999-12-31", date(2999, 12, 31)),
        (filtering.Moment(), "2027-05-02T09:00:00Z", datetime(2027, 5, 2, 9, tzinfo=UTC)),
        (filtering.Moment(), "2027-05-02T09:00:00-05:00", datetime(2027, 5, 2, 14, tzinfo=UTC)),
        (filtering.Number(), "0", 0),
        (filtering.Number(), str(1 << 53), 1 << 53),
        (filtering.Flag(), "true", True),
        (filtering.Flag(), "false", False),
        (filtering.Choice(words=["puller"]), "puller", "puller"),
        (filtering.Text(), "a" * 200, "a" * 200),
        (filtering.Text(), " a ", " a "),
    ],
)
def test_a_value_is_read(filter, text, value):
    assert clean(filter, text) == value


@pytest.mark.parametrize(
    ("filter", "text"),
    [
        *[(filtering.Day(), text) for text in NO_DAYS],
        *[(filtering.Moment(), text) for text in NO_MOMENTS],
        *[(filtering.Number(), text) for text in NO_NUMBERS],
        *[(filtering.Flag(), text) for text in ("True", "1", "yes", "null")],
        *[(filtering.Id(), text) for text in ("x", "1", "0" * 31)],
        (filtering.Choice(words=["puller"]), "king"),
        (filtering.Text(), "a" * 201),
        (filtering.Text(), "\x00"),
    ],
)  # fmt: skip
def test_a_value_that_cannot_be_meant_is_refused(filter, text):
    with pytest.raises(ValidationError):
        clean(filter, text)


def test_a_list_is_filtered_by_what_it_declares(coordinator, former):
    names = {
        query: {member["display_name"] for member in get(coordinator, "members", **dict([query])).json()["results"]}
        for query in (("role", "reviewer"), ("ended", "true"), ("person", str(former.person.id)))
    }

    assert names == {
        ("role", "reviewer"): {"Halvard Pim"},
        ("ended", "true"): {"Josie Tarnwell"},
        ("person", str(former.person.id)): {"Josie Tarnwell"},
    }


def test_a_part_of_a_name_finds_it_in_any_case(coordinator):
    coordinator.does("property", "create", name="Heron Bend")
    coordinator.does("property", "create", name="North Meadow")

    found = get(coordinator, "properties", name="heron").json()["results"]

    assert [record["name"] for record in found] == ["Heron Bend"]


@pytest.mark.parametrize("path", ["members", "properties", "units"])
def test_a_filter_that_a_list_does_not_have_is_refused(coordinator, path):
    refused = get(coordinator, path, colour="green")

    assert (refused.status_code, refused.json()["code"]) == (400, "filter_unknown")


@pytest.mark.parametrize("parameters", ["role=", "role=reviewer&role=volunteer"])
def test_a_filter_is_given_once_with_a_value(coordinator, parameters):
    refused = coordinator.client().get(f"/api/v1/groups/{coordinator.group_id}/members?{parameters}")

    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "/role")


def test_what_takes_no_parameters_refuses_them(coordinator):
    for address in ("/api/v1/me?x=1", f"/api/v1/groups/{coordinator.group_id}/members/{coordinator.member.id}?x=1"):
        assert coordinator.client().get(address).json()["code"] == "filter_unknown"
