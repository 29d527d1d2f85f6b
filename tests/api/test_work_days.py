"""A work day through REST, from the draft to its close."""

import pytest

from tests.api.asking import get, patch, post
from tests.planning import ON, Plan, at, licence


@pytest.fixture
def plan(coordinator):
    return Plan(coordinator)


def test_a_day_is_planned_staffed_held_and_closed(coordinator, volunteer, plan):
    licence(coordinator, volunteer, ON)
    day = f"work-days/{plan.id}"
    assert post(coordinator, f"{day}/open").json()["state"] == "open"
    duty = post(coordinator, f"{day}/duties", {"name": "applicator", "wanted": 1}).json()
    signed_up = post(volunteer, "sign-ups", {"work_day": str(plan.id), "duty": duty["id"]})
    assert signed_up.status_code == 201
    assert post(coordinator, f"{day}/confirm").json()["state"] == "confirmed"
    came = post(volunteer, "attendances", {"work_day": str(plan.id), "in_at": at("9:00")}).json()
    assert get(volunteer, day).json()["state"] == "under_way"
    left = {"out_at": at("12:00"), "how_known": "measured"}
    assert post(volunteer, f"attendances/{came['id']}/check-out", left).status_code == 200
    assert post(coordinator, f"{day}/finish").json()["state"] == "done"
    assert post(coordinator, f"{day}/answer", {"had_incident": False}).status_code == 200
    told = get(volunteer, f"{day}/close-out").json()
    assert told == {"work_day": str(plan.id), "is_closable": True, "reasons": []}

    assert post(coordinator, f"{day}/close").json()["state"] == "closed"


def test_every_reason_comes_in_one_answer(coordinator, plan):
    patched = patch(coordinator, f"work-days/{plan.id}", {"units": []}, If_Match='"1"')
    assert patched.json()["units"] == []

    refused = post(coordinator, f"work-days/{plan.id}/confirm")

    assert (refused.status_code, refused.json()["code"]) == (409, "day_not_ready")
    codes = [reason["code"] for reason in refused.json()["reasons"]]
    assert codes == ["state_wrong", "unit_missing", "applicator_missing"]


def test_a_close_too_early_tells_who_has_not_checked_out(coordinator, volunteer, plan):
    plan.does("open")
    plan.comes(volunteer)

    refused = post(coordinator, f"work-days/{plan.id}/close")

    assert (refused.status_code, refused.json()["code"]) == (409, "day_not_closable")
    assert [reason["code"] for reason in refused.json()["reasons"]] == [
        "state_wrong",
        "not_checked_out",
        "incident_not_asked",
    ]
    assert get(volunteer, f"work-days/{plan.id}/close-out").json()["reasons"] == refused.json()["reasons"]


def test_a_stop_and_a_cancellation_need_a_reason(coordinator, plan):
    refused = post(coordinator, f"work-days/{plan.id}/cancel")

    assert refused.json()["code"] == "reason_missing"
    assert post(coordinator, f"work-days/{plan.id}/cancel", {"reason": "storm"}).json()["state_reason"] == "storm"


def test_a_check_in_that_is_flagged_says_so_in_its_warnings(volunteer, plan):
    plan.does("open")

    came = post(volunteer, "attendances", {"work_day": str(plan.id), "in_at": at("9:00")})

    assert came.status_code == 201
    assert [warning["code"] for warning in came.json()["warnings"]] == ["day_not_confirmed"]


def test_lists_are_filtered(coordinator, volunteer, plan):
    other = Plan(coordinator, on_date="2027-08-01", starts_at=None, ends_at=None, herbicide_planned=False)
    plan.does("open")
    duty = plan.duty("cutter")
    id = plan.takes(volunteer, duty)
    came = plan.comes(volunteer)

    def found(path, **filters):
        return [record["id"] for record in get(volunteer, path, **filters).json()["results"]]

    assert found("work-days", state="open") == found("work-days", to_date=ON) == [str(plan.id)]
    assert found("work-days", property=other.property) == found("work-days", herbicide_planned="false")
    assert found("work-days", from_date="2027-07-02") == found("work-days", on_date="2027-08-01") == [str(other.id)]
    assert found("duties", name="cutter") == found(f"work-days/{plan.id}/duties") == [str(duty)]
    assert found(f"work-days/{other.id}/duties") == found("duties", work_day=other.id) == []
    assert found("sign-ups", member=volunteer.member.id) == found("sign-ups", withdrawn="false") == [str(id)]
    assert found("sign-ups", withdrawn="true") == found("sign-ups", work_day=other.id) == []
    assert found("attendances", without_check_out="true") == found("attendances", age_class="adult") == [str(came.id)]
    assert found("attendances", without_check_out="false") == found("attendances", voided="true") == []


def test_another_groups_day_is_not_found(stranger, plan):
    for path in (f"work-days/{plan.id}", f"work-days/{plan.id}/duties"):
        assert get(stranger, path).status_code == 404
    assert post(stranger, f"work-days/{plan.id}/open").status_code == 404
