"""Who is missing, over HTTP."""

import pytest

from tests.planning import ON, Plan, licence


def get(someone, **query):
    return someone.client().get(f"/api/v1/groups/{someone.group_id}/work-days/coverage", query)


def test_each_day_tells_its_duties_who_is_good_and_who_could_be_asked(cast):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan = Plan(cast.coordinator)
    plan.does("open")
    duty = plan.duty()

    told = get(cast.coordinator, **{"from": ON, "to": ON}).json()

    (day,) = told["results"]
    assert (told["from"], told["to"], told["lapses"]) == (ON, ON, [])
    assert (day["work_day"], day["on_date"], day["is_short"], day["lacks_applicator"]) == (str(plan.id), ON, True, True)
    member = {"member": str(cast.volunteer.member.id), "display_name": "Tobias Quill"}
    assert day["duties"] == [
        {
            "duty": str(duty), "name": "applicator", "asks_credential": True, "wanted": 1, "lacking": 1, "good": [],
            "not_good": [], "waiting": [], "candidates": [member],
        }
    ]  # fmt: skip


def test_a_lapse_before_a_day_is_told_with_its_sentence(cast):
    credential = licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan = Plan(cast.coordinator)
    plan.does("open")
    plan.takes(cast.volunteer, plan.duty())
    cast.coordinator.does("credential", "amend", id=credential, expires_on="2027-06-30", reason="misread")

    (lapse,) = get(cast.coordinator, **{"from": ON, "to": ON}).json()["lapses"]

    assert (lapse["display_name"], lapse["on_date"], lapse["code"]) == ("Tobias Quill", ON, "credential_expired")
    assert "ended on 30 June 2027" in lapse["detail"]


@pytest.mark.parametrize(
    "query",
    [
        {}, {"from": ON}, {"to": ON}, {"from": ON, "to": "2027-06-30"}, {"from": ON, "to": "2028-07-02"},
        {"from": "soon", "to": ON}, {"from": ON, "to": ON, "x": "1"},
    ],
)  # fmt: skip
def test_a_period_that_cannot_be_meant_is_refused(coordinator, query):
    refused = get(coordinator, **query)

    assert refused.status_code == 400
    assert refused.json()["errors"]


def test_a_period_has_at_most_366_days(coordinator):
    assert get(coordinator, **{"from": ON, "to": "2028-07-01"}).status_code == 200


def test_nobody_but_a_coordinator_reads_it(cast):
    for someone in (cast.volunteer, cast.reviewer):
        assert get(someone, **{"from": ON, "to": ON}).status_code == 403
