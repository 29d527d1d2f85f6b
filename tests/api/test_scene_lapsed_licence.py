"""A scene of the field played through the API: the only licence holder lapsed the day before the work day.

In its own numbers and in others. The work is done all the same, offline, and is marked for good; nothing cures it.
"""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from tests.api.asking import get, patch, post, sent_at
from tests.ground import fl_oz, lay_out
from tests.planning import at, licence
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db

NUMBERS = [
    ("2027-06-30", "2027-07-01", "2027-07-05", "64", "12.8", "10", "credential_expired"),
    ("2027-08-29", "2027-09-18", "2027-10-02", "128", "25.6", "31.5", "credential_expired"),
    ("2027-07-14", "2027-07-15", "2027-07-16", "32", "6.4", "4", "credential_in_grace"),
]


def posted(someone, path, **body):
    answer = post(someone, path, body)
    assert answer.status_code in (200, 201, 202), answer.content
    return answer.json()


def said(day):
    on = date.fromisoformat(day)
    return f"{on.day} {on:%B %Y}"


class Scene:
    """Land, a season, and a work day with herbicide for which the one licence holder signed up while it was good."""

    def __init__(self, cast, ended, on, grace):
        self.cast, self.on = cast, on
        self.coordinator, self.holder, self.other = cast.coordinator, cast.volunteer, cast.other_volunteer
        self.ground = lay_out(cast.coordinator)
        dates = {"first_on": "2027-01-01", "last_on": "2027-12-31"}
        self.season = cast.coordinator.does("season", "create", name="2027", **dates).record.id
        self.licence = licence(cast.coordinator, self.holder, "2027-12-31", number="QX-4471", grace_days=grace)
        told = {"property": str(self.ground.property), "title": "Buckthorn", "on_date": on, "herbicide_planned": True}
        self.day = posted(self.coordinator, "work-days", **told, units=[str(self.ground.unit)])["id"]
        posted(self.coordinator, f"work-days/{self.day}/open")
        duty = {"work_day": self.day, "name": "applicator", "wanted": 1}
        self.duty = posted(self.coordinator, "duties", **duty)["id"]
        posted(self.holder, "sign-ups", work_day=self.day, duty=self.duty)
        self.coordinator.does(
            "credential", "amend", id=self.licence, expires_on=ended, reason="misread: it ends sooner"
        )

    def mutation(self, someone, type, **told):
        op = {"mid": str(uuid4()), "n": next(someone.numbers), "type": type, "op": "create"}
        return op | {"set": told | {"id": str(uuid4())}}

    def pushed(self, someone, *mutations):
        """Hand in what a phone with an old bundle of records kept while it had no signal."""
        body = {"device": str(someone.device.id), "sent_at": sent_at(), "mutations": list(mutations)}
        answer = post(someone, "sync/push", body)
        results = answer.json()["results"]
        assert [result["outcome"] for result in results] == ["applied"] * len(mutations), results
        return [result["id"] for result in results]

    def works_offline(self, mix, product, used):
        """Mix and treat at the hours of the work day."""
        holder = self.holder
        parts = [{"product": str(self.ground.product), "volume": fl_oz(product)}]
        batch = self.mutation(
            holder, "batch", mixed_at=at("9:30", self.on), mixed_by=str(holder.member.id), mix=fl_oz(mix),
            how_known="measured", carrier="oil", parts=parts, work_day=self.day,
        )  # fmt: skip
        session = self.mutation(
            holder, "session", unit=str(self.ground.unit), applicator=str(holder.member.id), work_day=self.day,
            started_at=at("9:45", self.on), ended_at=at("11:00", self.on),
        )  # fmt: skip
        line = self.mutation(
            holder, "application", session=session["set"]["id"], batch=batch["set"]["id"], mix=fl_oz(used),
            species=str(self.ground.species), method="basal_bark", how_known="read_off_container",
        )  # fmt: skip
        return self.pushed(holder, batch, session, line)

    def compiled(self):
        asked = posted(
            self.cast.reviewer, "season-reports", property=str(self.ground.property), season=str(self.season)
        )
        for job in Job.objects.filter(state="queued"):
            assert jobs.run(job.id, JOBS, at=timezone.now() + timedelta(seconds=1))
        return get(self.cast.reviewer, f"season-reports/{asked['id']}/versions/latest").json()["figures"]


@pytest.mark.parametrize(
    ("ended", "on", "renewed", "mix", "product", "used", "code"),
    NUMBERS,
    ids=["as told", "in other numbers", "in grace"],
)
def test_a_lapsed_licence(cast, ended, on, renewed, mix, product, used, code):
    scene = Scene(cast, ended, on, grace=60 if code == "credential_in_grace" else 0)
    coordinator, holder = scene.coordinator, scene.holder

    # Confirming with herbicide is refused with every reason at once; nobody else can be put on the duty either.
    posted(coordinator, "duties", work_day=scene.day, name="hauler", wanted=2)
    refused = post(coordinator, f"work-days/{scene.day}/confirm")
    assert (refused.status_code, refused.json()["code"]) == (409, "day_not_ready")
    reasons = refused.json()["reasons"]
    assert [reason["code"] for reason in reasons] == [code, "duty_short"]
    assert f"QX-4471 ended on {said(ended)}" in reasons[0]["detail"]
    second = posted(coordinator, "duties", work_day=scene.day, name="applicator", wanted=1)["id"]
    answer = post(scene.other, "sign-ups", {"work_day": scene.day, "duty": second})
    assert (answer.status_code, answer.json()["code"]) == (409, "not_qualified")
    assert [reason["code"] for reason in answer.json()["reasons"]] == ["credential_missing"]

    # Without herbicide the day is held, and what is pulled is recorded.
    day = get(coordinator, f"work-days/{scene.day}").json()
    body = {"herbicide_planned": False}
    assert patch(coordinator, f"work-days/{scene.day}", body, If_Match=f'"{day["rev"]}"').status_code == 200
    posted(coordinator, f"work-days/{scene.day}/confirm")
    pulled = {"species": str(scene.ground.species), "method": "pulling", "minutes": 90, "stems": 40}
    pulled |= {"unit": str(scene.ground.unit), "work_day": scene.day, "done_at": at("10:00", on)}
    assert posted(scene.other, "work-lines", **pulled).get("warnings", []) == []

    # A phone with an old bundle mixed and treated: accepted, marked by the date, with the number as it stood.
    batch_id, session_id, line_id = scene.works_offline(mix, product, used)
    batch, session, line = (
        get(coordinator, path).json()
        for path in (f"batches/{batch_id}", f"sessions/{session_id}", f"applications/{line_id}")
    )
    for record, field in ((batch, "mixed_by"), (session, "applicator"), (line, "applicator")):
        [mark] = [each for each in record["warnings"] if each["field"] == field]
        assert mark["code"] == code
        assert f"QX-4471 ended on {said(ended)}" in mark["detail"]
        assert said(on) in mark["detail"]
    status = code.removeprefix("credential_").removeprefix("in_")
    for record, role in ((batch, "mixed_by"), (session, "applicator")):
        [kept] = record["credentials"]
        assert (kept["member"], kept["role"], kept["number"]) == (str(holder.member.id), role, "QX-4471")
        assert (kept["status"], kept["ends_on"]) == (status, ended)
    assert scene.compiled()["worked_by_hand"]["stems"] == 40
    use = {"session": session_id, "on_date": on, "codes": [code], "answered": False}
    assert scene.compiled()["without_licence"] == {"uses": [use], "open": 1, "answered": 0}

    # The renewal a few days later changes nothing of what was done.
    licence(coordinator, holder, "2029-06-30", number="QX-5002", issued_on=renewed, received_on=renewed)
    assert get(coordinator, f"sessions/{session_id}").json() == session
    assert get(coordinator, f"batches/{batch_id}").json() == batch
    assert get(coordinator, f"applications/{line_id}").json() == line
    assert scene.compiled()["without_licence"]["open"] == 1
    verdicts = get(coordinator, f"applications/{line_id}/verdicts")
    assert "QX-5002" not in verdicts.content.decode()

    # The coordinator answers for it: the board sees one use, answered, and the mark still stands.
    letter = {
        "answer": "The renewal was under way; the authority was written to.",
        "answer_document": "letter of 6 July",
    }
    assert post(holder, f"sessions/{session_id}/answer", letter).status_code == 403
    posted(coordinator, f"sessions/{session_id}/answer", **letter)
    assert scene.compiled()["without_licence"] == {"uses": [use | {"answered": True}], "open": 0, "answered": 1}
    after = get(coordinator, f"sessions/{session_id}").json()
    assert (after["warnings"], after["answer_document"]) == (session["warnings"], "letter of 6 July")


def test_the_last_day_itself_is_no_lapse(cast):
    scene = Scene(cast, "2027-06-30", "2027-06-30", grace=0)
    posted(scene.coordinator, f"work-days/{scene.day}/confirm")

    _, session_id, line_id = scene.works_offline("64", "12.8", "10")

    session, line = (
        get(scene.coordinator, path).json() for path in (f"sessions/{session_id}", f"applications/{line_id}")
    )
    assert [kept["status"] for kept in session["credentials"]] == ["valid"]
    assert [
        mark["code"] for mark in session.get("warnings", []) + line.get("warnings", []) if "credential" in mark["code"]
    ] == []
    assert scene.compiled()["without_licence"] == {"uses": [], "open": 0, "answered": 0}
