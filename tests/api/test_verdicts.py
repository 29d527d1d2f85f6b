"""Verdicts through the API: one record's, and a page of those that want attention."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.ground import lay_out
from tests.stewardship.treatments.verdicts.records import at_home_in, own_rule, rule, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def ground(coordinator):
    """Give ground in Washington, under its rule."""
    ground = lay_out(coordinator)
    at_home_in(ground, "US-WA")
    rule(coordinator, "us-wa")
    return ground


def ask(cast, what, someone=None, **query):
    answer = (someone or cast.volunteer).client().get(f"/api/v1/groups/{cast.group.id}/{what}", query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_a_verdict_names_the_rule_its_source_what_is_missing_the_time_and_the_day_it_is_kept_until(cast, ground):
    line = whole(ground, site_type="")

    [told] = ask(cast, f"applications/{line}/verdicts")["results"]

    assert told["profile"]["name"] == "Washington"
    assert told["profile"]["source"].startswith("Recordkeeping pages, WSDA")
    assert {"field": "site_type", "words": "what kind of place it is"} in told["missing"]
    assert (told["is_complete"], told["used_spot_list"]) == (False, False)
    assert told["due"] == "2027-05-02T04:59:59.999999Z"  # midnight in Chicago
    assert told["state"] in ("open", "overdue")
    assert isinstance(told["left_seconds"], int)
    assert told["keep_until"] == "2034-05-01"
    assert told["place"] == {"form": "address", "said": "12 Mill Road, Fenton"}


def test_no_credential_number_of_another_person_is_told(cast, ground):
    line = whole(ground)

    assert "C-1042" not in str(ask(cast, f"applications/{line}/verdicts"))


def test_the_list_has_what_wants_attention_and_each_state_by_its_name(cast, ground, coordinator):
    own_rule(coordinator, jurisdiction="US-WA")  # asks for the place alone
    line = whole(ground, site_type="")

    def profiles(**query):
        return [each["profile"]["name"] for each in ask(cast, "verdicts", **query)["results"]]

    assert profiles() == ["Washington"]
    assert profiles(state="incomplete") == ["Washington"]
    assert profiles(state="in_time") == ["The county's rule"]
    assert profiles(state="outside") == []
    assert profiles(property=str(ground.property), from_date="2027-05-01", to_date="2027-05-01") == ["Washington"]
    assert profiles(from_date="2027-05-02") == profiles(to_date="2027-04-30") == []
    coordinator.does("application", "void", id=line, reason="typed twice")
    assert profiles() == []


def test_the_list_comes_in_pages(cast, ground):
    made = {str(whole(ground, site_type="")) for _ in range(3)}

    first = ask(cast, "verdicts", limit=2)
    second = cast.volunteer.client().get(first["next"]).json()

    told = [each["application"] for each in first["results"] + second["results"]]
    assert (set(told), len(told)) == (made, 3)
    assert second["next"] is None


def test_an_unknown_filter_or_state_is_refused(cast, ground):
    for query in ({"colour": "red"}, {"state": "fine"}, {"from_date": "yesterday"}):
        answer = cast.volunteer.client().get(f"/api/v1/groups/{cast.group.id}/verdicts", query)

        assert answer.status_code == 400, query


def test_a_line_of_another_group_or_of_none_is_not_there(cast, ground):
    line = whole(ground)

    assert cast.stranger.client().get(f"/api/v1/groups/{cast.group.id}/applications/{line}/verdicts").status_code == 404
    foreign = f"/api/v1/groups/{cast.stranger.group_id}/applications/{line}/verdicts"
    assert cast.stranger.client().get(foreign).status_code == 404


def test_1_and_12_lines_cost_the_same_statements(cast, ground):
    def counted():
        with CaptureQueriesContext(connection) as seen:
            ask(cast, "verdicts")
        return len(seen)

    whole(ground, supervisor=cast.other_volunteer.member.id)
    counted()  # the first request of a device notes when it was seen
    one = counted()
    for _ in range(11):
        whole(ground, supervisor=cast.other_volunteer.member.id)

    assert counted() == one <= 15
