"""What was mixed, used and worked, through REST."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.asking import get, patch, post
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments.records import tank_mix, work_line

NINE = "2027-05-01T09:30:00-05:00"


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


def use(ground, session, batch, ounces="25", **values):
    told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "method": "basal_bark"}
    return told | {"mix": fl_oz(ounces), "how_known": "measured"} | values


def results(someone, path, **parameters):
    return get(someone, path, **parameters).json()["results"]


def test_a_batch_tells_what_is_left_of_it_and_of_each_product_in_the_groups_unit(ground, coordinator):
    """40 of 64 fl oz at 20 % are used: 24 are left, with 4.8 of the product (and 24/64 of the 3.2 fl oz beside it)."""
    batch, session = ground.batch(**tank_mix(ground)), ground.session()
    post(coordinator, "applications", use(ground, session, batch, "40"))

    answer = get(coordinator, f"batches/{batch}").json()

    assert answer["mix"]["value"] == "64"
    assert (answer["left"], answer["used"]) == ({"value": "24", "unit": "fl_oz"}, {"value": "40", "unit": "fl_oz"})
    assert [part["left"] for part in answer["parts_left"]] == [
        {"value": "4.8", "unit": "fl_oz"},
        {"value": "1.2", "unit": "fl_oz"},
    ]
    assert [part["product"] for part in answer["parts_left"]] == [part["product"] for part in answer["parts"]]
    assert answer["lines"] == 1


def test_an_application_tells_its_product_and_what_is_unknown_of_it(ground, volunteer):
    batch, session = ground.batch(**tank_mix(ground)), ground.session()

    answer = post(volunteer, "applications", use(ground, session, batch, "32")).json()

    ester, salt = answer["products"]
    assert (ester["shown"], salt["shown"]) == ({"value": "6.4", "unit": "fl_oz"}, {"value": "1.6", "unit": "fl_oz"})
    assert salt["actives"][0]["ae_ug"] is None
    assert ester["actives"][0]["ae_ug"] == 90_718_474  # 6.4 fl oz of 4 lb a.e./gal: 0.2 lb
    assert (answer["unit"], answer["on_date"]) == (str(ground.unit), "2027-05-01")


def test_more_than_is_left_is_a_conflict(ground, volunteer):
    batch, session = ground.batch(), ground.session()

    refused = post(volunteer, "applications", use(ground, session, batch, "64.1"))

    assert (refused.status_code, refused.json()["code"], refused.json()["where"]) == (409, "batch_overdrawn", "mix")
    assert get(volunteer, f"batches/{batch}").json()["lines"] == 0


@pytest.mark.parametrize("missing", ["session", "batch", "species", "unit"])
def test_what_does_not_exist_cannot_be_used(ground, volunteer, missing):
    told = use(ground, ground.session(), ground.batch()) | {missing: str(ground.property)}

    refused = post(volunteer, "applications", told)

    assert (refused.status_code, refused.json()["code"], refused.json()["where"]) == (
        404,
        "target_unavailable",
        missing,
    )


def test_everything_wrong_with_a_line_is_told_at_once(ground, volunteer):
    told = use(ground, ground.session(), ground.batch(), mix={"value": "-1", "unit": "gal"}, stems=0, colour="red")

    refused = post(volunteer, "applications", told)

    assert refused.status_code == 400
    assert {(each["pointer"], each["code"]) for each in refused.json()["errors"]} == {
        ("/mix", "amount_negative"),
        ("/stems", "value_invalid"),
        ("/colour", "field_unknown"),
    }


def test_a_lapsed_credential_is_in_the_warnings_wherever_the_record_is_told(ground, volunteer):
    session = post(
        volunteer, "sessions", {"unit": str(ground.unit), "applicator": str(volunteer.member.id), "started_at": NINE}
    ).json()
    line = post(volunteer, "applications", use(ground, session["id"], ground.batch())).json()

    told = [
        session,
        line,
        get(volunteer, f"sessions/{session['id']}").json(),
        results(volunteer, "applications")[0],
        get(volunteer, f"batches/{line['batch']}").json(),
    ]

    assert [[warning["code"] for warning in each["warnings"]] for each in told] == [["credential_missing"]] * 5
    assert told[0]["warnings"][0].keys() == {"code", "detail", "field", "source"}
    assert "marks" not in session


def test_a_correction_names_its_revision_and_its_reason(ground, coordinator):
    line = ground.line(ground.session(), ground.batch(), "25")

    missing = patch(coordinator, f"applications/{line.id}", {"mix": fl_oz("20")}, If_Match='"1"')
    done = patch(coordinator, f"applications/{line.id}", {"mix": fl_oz("20"), "reason": "misread"}, If_Match='"1"')
    gone = post(coordinator, f"applications/{line.id}/void", {"reason": "typed twice"})

    assert (missing.status_code, missing.json()["code"]) == (409, "reason_missing")
    assert (done.status_code, done.json()["products"][0]["shown"]["value"]) == (200, "4")
    assert gone.json()["voided_at"]
    ops = [(each["op"], each["reason"]) for each in results(coordinator, f"applications/{line.id}/history")]
    assert ops == [("create", ""), ("amend", "misread"), ("void", "typed twice")]


def test_lists_are_filtered(ground, coordinator, volunteer):
    far = coordinator.does("property", "create", name="Far Field").record.id
    slope = coordinator.does("unit", "create", property=far, name="Slope").record.id
    batches = [ground.batch(), ground.batch()]
    sessions = [ground.session(), ground.session(volunteer, unit=slope, started_at="2027-06-01T09:00:00-05:00")]
    here = ground.line(sessions[0], batches[0], "5", unit=ground.other_unit)
    there = ground.line(sessions[1], batches[1], "5", method="cut_stump")
    coordinator.does("application", "void", id=there.id, reason="typed twice")

    def found(**filters):
        return {each["id"] for each in results(coordinator, "applications", **filters)}

    one, other = {str(here.id)}, {str(there.id)}
    assert found() == one | other
    for name, mine, theirs in (
        ("property", ground.property, far),
        ("unit", ground.other_unit, slope),
        ("session", *sessions),
        ("batch", *batches),
        ("method", "basal_bark", "cut_stump"),
        ("voided", "false", "true"),
        ("on_date", "2027-05-01", "2027-06-01"),
    ):
        assert (found(**{name: str(mine)}), found(**{name: str(theirs)})) == (one, other), name
    assert found(from_date="2027-05-02") == found(from_date="2027-06-01", to_date="2027-06-01") == other
    assert found(to_date="2027-05-31", species=str(ground.species)) == one
    assert found(work_day=str(far)) == set()
    assert [each["id"] for each in results(coordinator, "sessions", applicator=str(volunteer.member.id))] == [
        str(sessions[1])
    ]
    assert results(coordinator, "sessions", ended="true") == []
    assert len(results(coordinator, "batches", mixed_by=str(coordinator.member.id), voided="false")) == 2


def test_work_by_hand_is_listed_by_species_and_method(ground, volunteer):
    id = work_line(ground, volunteer)

    assert [each["id"] for each in results(volunteer, "work-lines", method="pulling")] == [str(id)]
    assert results(volunteer, "work-lines", method="digging", species=str(ground.species)) == []


@pytest.mark.parametrize(
    ("path", "filters"),
    [("applications", {"method": "pulling"}), ("work-lines", {"session": "x"}), ("batches", {"from_date": "May"})],
)
def test_a_filter_that_means_nothing_is_refused(ground, volunteer, path, filters):
    assert get(volunteer, path, **filters).status_code == 400


@pytest.mark.parametrize("path", ["batches", "sessions", "applications", "work-lines"])
def test_a_list_costs_the_same_statements_whatever_its_length(ground, coordinator, path):
    batch, session, client = ground.batch(), ground.session(), coordinator.client()

    def statements():
        with CaptureQueriesContext(connection) as seen:
            assert client.get(f"/api/v1/groups/{coordinator.group_id}/{path}").status_code == 200
        return len(seen)

    statements()
    few = statements()
    for _ in range(12):
        ground.batch(), ground.session(), ground.line(session, batch, "1"), work_line(ground, coordinator)

    assert statements() == few


def test_sessions_are_found_by_how_far_their_record_has_come(cast, ground):
    lead = cast.coordinator
    ended = {"started_at": NINE, "ended_at": "2027-05-01T10:00:00-05:00"}
    draft, attested, locked = (str(ground.session(**ended)) for _ in range(3))
    for id in (attested, locked):
        lead.does("session", "attest", id=id)
    lead.does("session", "lock", id=locked)

    def found(**query):
        return {each["id"]: each["state"] for each in results(lead, "sessions", **query)}

    assert found(attested="false") == {draft: "draft"}
    assert found(attested="true", locked="false") == {attested: "attested"}
    assert found(locked="true") == {locked: "locked"}
