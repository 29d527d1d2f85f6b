"""A report is asked for once, compiled in versions, and never from an older state after a newer one."""

from concurrent.futures import ThreadPoolExecutor, wait
from datetime import timedelta

import pytest
from django.db import connection

from stewardship.errors import NotPermitted, Unavailable
from stewardship.jobs import services as jobs
from stewardship.jobs.lease import claim, lease_length
from stewardship.jobs.models import Job
from stewardship.journal.models import Book, Revision
from stewardship.reports.models import ReportVersion, SeasonReport
from stewardship.reports.services import reports
from stewardship.treatments.models import Application
from tests.cast import AT, sent
from tests.concurrency import in_threads
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db(transaction=True)


def numbers():
    return list(ReportVersion.objects.order_by("number").values_list("number", flat=True))


def newest():
    return ReportVersion.objects.latest("number")


# -- asking --------------------------------------------------------------------------------------


def test_asking_twice_gives_one_report_and_one_job(cast, ask):
    first, second = ask(cast.reviewer), ask(cast.coordinator)

    assert first.id == second.id
    assert (SeasonReport.objects.count(), Job.objects.count()) == (1, 1)
    assert first.job_id == second.job_id == Job.objects.get().id


def test_asked_by_many_at_once_it_is_one_report_and_one_job(cast, ask):
    told = in_threads([lambda by=by: ask(by) for by in (cast.coordinator, cast.reviewer) * 2])

    assert len({report.id for report in told}) == 1
    assert (SeasonReport.objects.count(), Job.objects.count()) == (1, 1)


def test_asked_again_after_a_change_it_is_work_of_its_own(coordinator, ask, ground):
    first = ask(coordinator).job_id
    ground.batch()

    assert ask(coordinator).job_id != first


def test_asked_again_while_it_runs_and_nothing_changed_it_is_the_same_job(coordinator, ask):
    job_id = ask(coordinator).job_id
    claim(job_id, AT)

    assert ask(coordinator).job_id == job_id


def test_asked_again_after_something_was_held_it_is_compiled_again(coordinator, ask, work):
    ask(coordinator)
    work()
    coordinator.pushes(sent("batch", "create", {}))
    ask(coordinator)
    work()

    assert [version.figures["held"] for version in ReportVersion.objects.order_by("number")] == [0, 1]


def test_a_report_of_something_unknown_is_refused(coordinator, ask, ground, stranger):
    for unknown in ({"property": stranger.member.id}, {"season": ground.property}):
        with pytest.raises(Unavailable):
            ask(coordinator, **unknown)


def test_a_volunteer_does_not_ask_for_reports(volunteer, ask):
    with pytest.raises(NotPermitted):
        ask(volunteer)


# -- compiling -----------------------------------------------------------------------------------


def test_a_report_is_compiled_by_its_job_in_the_name_of_who_asked(cast, ask, work):
    report = ask(cast.reviewer)

    assert work() == 1

    version, job = newest(), Job.objects.get()
    assert (version.number, version.report_id, version.entered_by_id) == (1, report.id, cast.reviewer.person.id)
    assert (job.state, job.progress) == ("done", 100)
    assert job.result == {"report": str(report.id), "version": 1, "is_new": True, "head": version.head}
    assert Revision.objects.get(record_id=version.id).op == "compile"


def test_a_version_names_the_number_of_the_book_that_it_rests_on(coordinator, ask, ground, work):
    ask(coordinator)
    book = Book.objects.get(group_id=coordinator.group_id)
    work()

    assert (newest().head, newest().head_hash) == (book.head, book.head_hash)


def test_without_a_change_there_is_no_second_version(coordinator, ask, ground, work):
    ground.line(ground.session(), ground.batch(), "5")
    for _ in range(3):
        ask(coordinator)
        work()

    assert numbers() == [1]
    assert sorted(job.result["is_new"] for job in Job.objects.all()) == [False, False, True]


def test_a_late_entry_makes_the_second_version(coordinator, ask, ground, work):
    batch, session = ground.batch(), ground.session()
    ask(coordinator)
    work()
    ground.line(session, batch, "5")
    ask(coordinator)
    work()

    first, second = (version.figures["applications"] for version in ReportVersion.objects.order_by("number"))
    assert (numbers(), first, second) == ([1, 2], 0, 1)
    assert SeasonReport.objects.get().latest == 2


def test_other_properties_other_seasons_and_other_groups_change_nothing(cast, ask, ground, work):
    ask(cast.coordinator)
    work()
    far = cast.coordinator.does("property", "create", name="Far Field").record.id
    unit = cast.coordinator.does("unit", "create", property=far, name="Slope").record.id
    batch = ground.batch()
    ground.line(ground.session(unit=unit), batch, "5")
    ground.line(ground.session(started_at="2028-01-01T09:00:00-06:00"), batch, "5")
    cast.stranger.does("property", "create", name="Theirs")
    ask(cast.coordinator)
    work()

    assert numbers() == [1]


# -- workers that die or are late ----------------------------------------------------------------


def test_a_worker_that_dies_while_compiling_leaves_nothing_and_the_next_makes_one_version(
    coordinator, ask, work, monkeypatch
):
    """The first run is stopped after it has read and before it writes: as by a kill, its lease stays."""
    job_id = ask(coordinator).job_id

    class Killed(BaseException):
        pass

    def killed(**_):
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(reports, "open_entry", killed)
        with pytest.raises(Killed):
            jobs.run(job_id, JOBS, at=AT)
    assert (numbers(), Job.objects.get().state) == ([], "running")

    assert not jobs.run(job_id, JOBS, at=AT + timedelta(seconds=1))
    assert jobs.run(job_id, JOBS, at=AT + lease_length() + timedelta(seconds=1))

    assert (numbers(), Job.objects.get().attempts) == ([1], 2)
    assert not jobs.run(job_id, JOBS, at=AT + timedelta(days=1))


def test_a_run_that_lost_its_lease_writes_no_version(coordinator, ask, monkeypatch):
    """The first run reads; while it sleeps the second takes the job over, compiles and ends; the first wakes."""
    job_id = ask(coordinator).job_id
    whole, later = reports.open_entry, AT + lease_length() + timedelta(seconds=1)

    def overtaken(**told):
        monkeypatch.setattr(reports, "open_entry", whole)
        Job.objects.filter(id=job_id).update(lease_until=AT)
        assert jobs.run(job_id, JOBS, at=later)
        return whole(**told)

    monkeypatch.setattr(reports, "open_entry", overtaken)
    jobs.run(job_id, JOBS, at=AT)

    job = Job.objects.get(id=job_id)
    assert (numbers(), job.state, job.fence) == ([1], "done", 2)


@pytest.mark.parametrize("comes_back", [True, False])
def test_an_older_state_never_follows_a_newer_one(coordinator, ask, ground, work, monkeypatch, comes_back):
    """A run that read before a change is overtaken by one that read after it, and after the change was undone too."""
    batch, session = ground.batch(), ground.session()
    if comes_back:
        ask(coordinator)
        work()
    line = ground.line(session, batch, "5")
    slow = ask(coordinator).job_id
    whole = reports.open_entry

    def overtaken(**told):
        monkeypatch.setattr(reports, "open_entry", whole)
        coordinator.does("application", "void", id=line.id, reason="typed twice")
        jobs.run(ask(coordinator).job_id, JOBS, at=AT)
        return whole(**told)

    monkeypatch.setattr(reports, "open_entry", overtaken)
    jobs.run(slow, JOBS, at=AT)

    assert numbers() == [1]
    assert newest().figures["applications"] == 0
    assert Job.objects.get(id=slow).result["is_new"] is False


def test_what_is_written_while_a_report_is_read_is_not_in_it_and_not_lost(coordinator, ask, ground, monkeypatch):
    """The figures rest on one state though another connection writes between their statements, or waits to."""
    batch, session = ground.batch(), ground.session()
    job_id, figures = ask(coordinator).job_id, reports.season_figures

    def written():
        try:
            return ground.line(session, batch, "5").id
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:

        def read(*told):
            before = figures(*told)
            writing.append(pool.submit(written))
            wait(writing, timeout=1)
            assert figures(*told) == before
            return before

        writing = []
        monkeypatch.setattr(reports, "season_figures", read)
        jobs.run(job_id, JOBS, at=AT)
        line = writing[0].result(timeout=20)

    assert Application.objects.get().id == line
    assert newest().figures["applications"] == 0
    head = Book.objects.get(group_id=coordinator.group_id).head
    assert newest().head == head - 2  # the line and the version came after it


def test_a_former_members_job_is_still_done(cast, ask, work):
    ask(cast.reviewer)
    cast.coordinator.does("member", "end", id=cast.reviewer.member.id)

    work()

    assert numbers() == [1]


def test_the_report_of_the_written_example(coordinator, ask, ground, work):
    """40 of 64 fl oz at 20 % v/v of a 4 lb a.e./gal ester: 8.0 fl oz of product and 0.250 lb a.e. (test_lines.py)."""
    batch, session = ground.batch(), ground.session()
    for ounces in ("25", "15"):
        ground.line(session, batch, ounces)
    ask(coordinator)
    work()

    (product,), (active,) = newest().figures["products"], newest().figures["active_ingredients"]
    assert round(product["product_nl"] * 128 / 3_785_411_784, 1) == 8.0
    assert round(active["ae_ug"] / 453_592_370, 3) == 0.250
    assert (active["name"], active["form"], active["ae_ug_unknown"]) == ("triclopyr", "butoxyethyl ester", 0)
