"""The main job, end to end: plan, sign up, mix, record by page, by REST and by a device's push, report, review."""

import os
import signal
from fractions import Fraction

import pytest
from django.test import Client

from stewardship.accounts.joining import verify
from stewardship.accounts.models import Person
from stewardship.accounts.services.groups import found_group
from stewardship.journal.ids import new_id
from stewardship.reports.models import ReportVersion
from tests.cast import AT
from tests.ground import ESTER, TRICLOPYR_ESTER, fl_oz
from tests.journeys.http import Caller
from tests.processes import wait_until

pytestmark = pytest.mark.django_db(transaction=True)

PASSWORD = "wet-boots-and-loppers"
FL_OZ = Fraction(3_785_411_784, 128)
LB_UG = 453_592_370


@pytest.fixture
def people(live_server):
    """Found a group and sign its three people in, each with a device."""
    founder = Person.objects.create_user("maren@tamarack.example", PASSWORD)
    verify(founder, "maren@tamarack.example")
    found_group(founder=founder, display_name="Maren", name="Tamarack Hollow", time_zone="America/Chicago", at=AT)
    coordinator = Caller(live_server.url).sign_in("maren@tamarack.example", PASSWORD)
    for name, role in (("tobias", "volunteer"), ("halvard", "reviewer")):
        coordinator.post("members", display_name=name.title(), email=f"{name}@tamarack.example", role=role)
        person = Person.objects.get(email=f"{name}@tamarack.example")
        person.set_password(PASSWORD)
        person.save()
        verify(person, f"{name}@tamarack.example")
    return {
        "coordinator": coordinator,
        "volunteer": Caller(live_server.url).sign_in("tobias@tamarack.example", PASSWORD),
        "reviewer": Caller(live_server.url).sign_in("halvard@tamarack.example", PASSWORD),
    }


def lay_out(coordinator):
    """Enter land, a species, a product and a season."""
    place = coordinator.post("properties", name="Heron Bend")["id"]
    unit = coordinator.post(f"properties/{place}/units", name="North slope")["id"]
    species = coordinator.post("species", scientific_name="Rhamnus cathartica")["id"]
    active = coordinator.post("active-ingredients", **TRICLOPYR_ESTER)["id"]
    ingredient = {"active_ingredient": active, "ae": {"value": "4", "unit": "lb_gal"}}
    product = coordinator.post("products", **ESTER, ingredients=[ingredient])["id"]
    season = coordinator.post("seasons", name="Spring 2026", first_on="2026-03-01", last_on="2026-05-31")["id"]
    return {"property": place, "unit": unit, "species": species, "product": product, "season": season}


def plan_a_day(coordinator, volunteer, land):
    """Plan a herbicide day; it is confirmed only once its applicator is qualified on its date."""
    day = coordinator.post(
        "work-days", property=land["property"], title="Buckthorn on the north slope", on_date="2026-05-02",
        units=[land["unit"]], herbicide_planned=True,
    )["id"]  # fmt: skip
    applicator = coordinator.post(f"work-days/{day}/duties", name="applicator", wanted=1)["id"]
    coordinator.post(f"work-days/{day}/open", 200)
    refused = coordinator.post(f"work-days/{day}/confirm", 409)
    assert refused["code"] == "day_not_ready"
    assert len(refused["reasons"]) >= 1
    coordinator.post(
        "credentials", holder=volunteer.member, covers="herbicide_application", authority="State of Elsewhere",
        number="A-4471", issued_on="2025-05-03", received_on="2025-05-03", expires_on="2026-05-02",
    )  # fmt: skip
    volunteer.post("sign-ups", work_day=day, duty=applicator, member=volunteer.member)
    assert coordinator.post(f"work-days/{day}/confirm", 200)["state"] == "confirmed"
    return day


def mix(land, by, day):
    """Return the batch of the day, as it is sent: 64 fl oz at 20 % v/v in oil."""
    return {
        "id": str(new_id()), "mixed_at": "2026-05-02T09:00:00-05:00", "mixed_by": by.member, "mix": fl_oz("64"),
        "how_known": "measured", "carrier": "oil", "work_day": day,
        "parts": [{"product": land["product"], "volume": fl_oz("12.8")}],
    }  # fmt: skip


def use(land, session, batch, ounces):
    """Return a line, as it is sent."""
    return {
        "id": str(new_id()), "session": session, "batch": batch, "species": land["species"], "method": "basal_bark",
        "mix": fl_oz(ounces), "how_known": "read_off_container", "stems": 17,
    }  # fmt: skip


def work_the_day(coordinator, volunteer, land, day):
    """Check in, mix, and record 40 of 64 fl oz: 25 by REST, 9 by a page, 6 by the phone in the evening."""
    came = volunteer.post(
        "attendances", work_day=day, member=volunteer.member, age_class="adult", in_at="2026-05-02T08:45:00-05:00"
    )["id"]
    assert coordinator.get(f"work-days/{day}")["state"] == "under_way"
    batch = mix(land, volunteer, day)
    session = {
        "id": str(new_id()), "unit": land["unit"], "applicator": volunteer.member, "work_day": day,
        "started_at": "2026-05-02T09:15:00-05:00", "ended_at": "2026-05-02T11:30:00-05:00",
    }  # fmt: skip
    volunteer.post("batches", **batch)
    volunteer.post("sessions", **session)
    volunteer.post("applications", **use(land, session["id"], batch["id"], "25"))
    by_page(land, volunteer, day, batch["id"])
    evening = [
        {"type": "application", "op": "create", "set": use(land, session["id"], batch["id"], "6")},
        {"type": "application", "op": "create", "set": use(land, session["id"], batch["id"], "70")},
    ]
    results = volunteer.push(*evening)
    assert [(r["outcome"], r.get("code")) for r in results] == [("applied", None), ("held", "batch_overdrawn")]
    assert (
        volunteer.post("applications", 409, **use(land, session["id"], batch["id"], "70"))["code"] == "batch_overdrawn"
    )
    volunteer.post(f"attendances/{came}/check-out", 200, out_at="2026-05-02T12:15:00-05:00", how_known="measured")
    coordinator.post(f"work-days/{day}/finish", 200)
    refused = coordinator.post(f"work-days/{day}/close", 409)
    assert [reason["code"] for reason in refused["reasons"]] == ["batch_does_not_balance", "incident_not_asked"]
    left = {"volume": fl_oz("24"), "how_known": "measured", "measured_at": "2026-05-02T12:10:00-05:00"}
    volunteer.post("leftovers", batch=batch["id"], container="bottle 3", kept_where="tool shed", **left)
    coordinator.post(f"work-days/{day}/answer", 200, had_incident=False)
    assert coordinator.get(f"work-days/{day}/close-out")["reasons"] == []
    assert coordinator.post(f"work-days/{day}/close", 200)["state"] == "closed"


def by_page(land, volunteer, day, batch):
    """Sign in as a browser does and record 9 fl oz on a second session."""
    browser = Client()
    signed = browser.post("/accounts/login/", {"login": "tobias@tamarack.example", "password": PASSWORD})
    assert signed.status_code == 302
    told = {
        "mid": str(new_id()), "batch": batch, "unit": land["unit"], "applicator": volunteer.member, "work_day": day,
        "on_date": "2026-05-02", "started": "11:35", "ended": "12:00", "line0-species": land["species"],
        "line0-method": "cut_stump", "line0-amount": "9", "line0-amount_unit": "fl_oz",
        "line0-how_known": "estimated", "line0-stems": "6", "line1-amount_unit": "fl_oz",
    }  # fmt: skip
    recorded = browser.post("/record-use/", told)
    assert recorded.status_code == 302, recorded.content.decode().split("<main")[1]
    assert "30 fl oz" in browser.get(recorded["Location"]).content.decode()  # 64 less 25 and 9


def ask_for_report(caller, land):
    """Ask for the season report and return it with its job."""
    return caller.post("season-reports", 202, property=land["property"], season=land["season"])


def check_figures(reviewer, report):
    """Read version 1 as the board does: 8.0 fl oz of product, 0.250 lb a.e.; New York's rule of shares."""
    figures = reviewer.get(f"season-reports/{report}/versions/1")["figures"]
    (active,), (product,) = figures["active_ingredients"], figures["products"]
    assert abs(product["product_nl"] - 8 * FL_OZ) <= 2
    assert abs(active["ae_ug"] - LB_UG // 4) <= 2
    assert (active["ai_ug_unknown"], active["ae_ug_unknown"], active["lines"]) == (0, 0, 3)
    assert (figures["applications"], figures["sessions"], figures["held"]) == (3, 2, 1)
    assert {line["method"]: line["stems"] for line in figures["treatments"]} == {"basal_bark": 34, "cut_stump": 6}


def test_the_main_job_from_the_plan_to_the_board(people, processes):
    coordinator, volunteer, reviewer = people["coordinator"], people["volunteer"], people["reviewer"]
    land = lay_out(coordinator)
    day = plan_a_day(coordinator, volunteer, land)
    work_the_day(coordinator, volunteer, land, day)

    processes.start("manage.py", "run_jobs", "--interval=0.05", REDIS_URL=None)
    asked = ask_for_report(reviewer, land)
    wait_until(lambda: reviewer.get(f"jobs/{asked['job']['id']}")["state"] == "done")

    check_figures(reviewer, asked["id"])
    assert reviewer.post("applications", 403, **use(land, str(new_id()), str(new_id()), "1"))["code"] == "not_permitted"
    kinds = {line["t"] for line in volunteer.pull() if line["k"] == "put"}
    assert {"batch", "session", "application", "work_day", "report_version", "credential"} <= kinds


@pytest.mark.needs_redis
def test_celery_compiles_the_report_where_there_is_redis(people, processes):
    coordinator = people["coordinator"]
    land = lay_out(coordinator)
    keys = f"test-{new_id()}:"
    for service in (["worker", "--pool=solo"], ["beat", "--schedule", str(processes.folder / "beat")]):
        processes.start("-m", "celery", "-A", "tests.workers.celery_with_kinds", *service, TEST_KEYS=keys)

    asked = ask_for_report(coordinator, land)

    wait_until(lambda: coordinator.get(f"jobs/{asked['job']['id']}")["state"] == "done")
    assert ReportVersion.objects.values_list("number", flat=True).get() == 1


def test_a_worker_killed_in_the_middle_of_a_compile_loses_nothing(people, processes, tmp_path):
    coordinator = people["coordinator"]
    land = lay_out(coordinator)
    asked = ask_for_report(coordinator, land)
    held, free = tmp_path / "held", tmp_path / "free"
    hold = {"HELD_AT": str(held), "HELD_UNTIL": str(free), "REDIS_URL": None}
    first = processes.start("-m", "tests.journeys.held_compile", "run_jobs", "--interval=0.05", **hold)
    wait_until(held.exists)

    os.killpg(first.pid, signal.SIGKILL)
    first.wait()
    processes.start("manage.py", "run_jobs", "--interval=0.05", REDIS_URL=None)

    wait_until(lambda: coordinator.get(f"jobs/{asked['job']['id']}")["state"] == "done")
    assert list(ReportVersion.objects.values_list("number", flat=True)) == [1]
    assert coordinator.get(f"season-reports/{asked['id']}/versions/1")["number"] == 1
