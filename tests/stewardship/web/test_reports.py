"""Season reports and the year's use: what the board reads, and the records behind each figure."""

from fractions import Fraction

import pytest

from stewardship.jobs.models import Job
from stewardship.jobs.services import run
from stewardship.journal.ids import new_id
from stewardship.journal.verifying import Verification
from stewardship.reports.models import ReportVersion, SeasonReport
from stewardship.reports.services.reports import compile_season_report
from stewardship.rules.units import UNITS
from stewardship.treatments.models import ActiveUse
from tests.cast import AT, sent
from tests.stewardship.web.pages import body, send


@pytest.fixture
def worked(pages):
    """Give a group that used 40 fl oz of a batch in two lines, and worked by hand for an hour and a half."""
    batch, session = pages.ground.batch(), pages.ground.session()
    pages.ground.line(session, batch, "25", stems=30)
    pages.ground.line(session, batch, "15", species=pages.ground.species, method="cut_stump")
    work = {"unit": pages.ground.unit, "species": pages.ground.species, "method": "pulling", "minutes": 90}
    pages.coordinator.does("work_line", "create", done_at="2027-05-01T10:00:00-05:00", **work)
    return pages


def asks(pages, who=None, mid=None):
    client = (who or pages.cast.reviewer).signed_in()
    return send(client, f"/reports/ask/{pages.ground.property}/{pages.season}/", mid=mid)


def compile_all():
    for job in Job.objects.filter(state="queued"):
        assert run(job.id, {"season_report": compile_season_report}, at=AT)


def report(pages, address):
    return body(pages.cast.reviewer.signed_in().get(address))


def test_a_reviewer_asks_for_a_report_sees_its_progress_and_then_the_figures(worked):
    address = asks(worked)["Location"]

    waiting = worked.cast.reviewer.signed_in().get(address)
    compile_all()
    words = report(worked, address)

    assert "A version is being compiled: 0 %" in body(waiting)
    assert 'hx-trigger="every 2s"' in waiting.content.decode()
    assert '<meta http-equiv="refresh" content="5">' in waiting.content.decode()
    assert "A version is being compiled" not in words
    assert "Version 1" in words


def test_the_piece_of_the_page_that_is_polled_ends_by_having_the_page_shown_anew(worked):
    address = asks(worked)["Location"]
    client = worked.cast.reviewer.signed_in()

    waiting = client.get(f"{address}progress/")
    compile_all()
    ready = client.get(f"{address}progress/")

    assert "0 %" in body(waiting)
    assert "HX-Refresh" not in waiting.headers
    assert (ready["HX-Refresh"], ready.content) == ("true", b"")


def test_the_report_tells_every_figure_with_its_book_and_what_is_unknown(worked):
    address = asks(worked)["Location"]
    compile_all()

    words = report(worked, address)

    version = ReportVersion.objects.get()
    assert f"up to entry {version.head}:{version.head_hash}" in words
    assert [*Verification(version.group_id, {version.head: version.head_hash}).findings()] == []
    assert "Sat 1 May 2027, 10:00" in words
    assert "triclopyr, butoxyethyl ester 8 fl oz" in words  # 40 of 64 fl oz that hold 12.8
    assert "0.25 lb" in words  # the worked example of the scenes: 40 fl oz of that mix are 0.250 lb a.e.
    assert "Rhamnus cathartica basal bark triclopyr 5 fl oz" in words
    assert "30 stems (1 unknown)" in words
    assert "Hours without herbicide 1.5 h" in words
    assert "Marked sessions 1: no credential on record" in words
    assert "To settle none" in words


def test_a_second_version_is_made_only_when_a_figure_changed_and_the_first_can_still_be_read(worked):
    address = asks(worked)["Location"]
    compile_all()
    asks(worked)
    compile_all()
    unchanged = ReportVersion.objects.count()
    worked.ground.line(worked.ground.session(), worked.ground.batch(), "4")
    asks(worked)
    compile_all()

    newest, first = report(worked, address), report(worked, f"{address}?version=1")

    assert unchanged == 1
    assert "Version 2" in newest
    assert "8.8 fl oz" in newest
    assert "(not the newest)" in first
    assert "8.8 fl oz" not in first


@pytest.mark.parametrize("number", ["7", "0", "x"])
def test_a_version_that_is_not_there_is_told_so(worked, number):
    address = asks(worked)["Location"]
    compile_all()

    assert worked.cast.reviewer.signed_in().get(f"{address}?version={number}").status_code == 404


def test_an_asking_that_is_sent_twice_is_one_job(worked):
    mid = new_id()

    first, second = asks(worked, mid=mid), asks(worked, mid=mid)

    assert first["Location"] == second["Location"]
    assert (SeasonReport.objects.count(), Job.objects.count()) == (1, 1)


def test_an_asking_without_its_id_is_told_and_changes_nothing(worked):
    client = worked.cast.reviewer.signed_in()

    response = client.post(f"/reports/ask/{worked.ground.property}/{worked.season}/", follow=True)

    assert "was not asked for" in body(response)
    assert Job.objects.count() == 0


def test_a_compiling_that_failed_is_told_with_what_to_do(worked):
    address = asks(worked)["Location"]
    Job.objects.update(state="failed", finished_at=AT, error_code="x", error_detail="An error stopped this work.")

    words = report(worked, address)

    assert "The last compiling failed" in words
    assert "An error stopped this work." in words
    assert "Compile it" in words


def test_a_volunteer_reads_a_report_and_is_offered_no_compiling(worked):
    address = asks(worked)["Location"]
    compile_all()

    words = body(worked.cast.volunteer.signed_in().get(address))

    assert "Version 1" in words
    assert "Compile it" not in words


def test_the_year_shows_each_active_ingredient_and_every_figure_opens_its_records(worked):
    client = worked.cast.reviewer.signed_in()

    html = client.get("/yearly-use/").content.decode()
    active = ActiveUse.objects.first().active_ingredient_id
    lines = body(client.get(f"/yearly-use/{active}/{worked.ground.property}/{worked.season}/"))

    assert html.count(f'href="/yearly-use/{active}/{worked.ground.property}/{worked.season}/"') == 4
    assert "8 fl oz" in html
    assert lines.count("Rhamnus cathartica") == 2
    assert "5 fl oz" in lines
    assert "3 fl oz" in lines


def test_the_figures_of_the_year_are_the_sums_of_the_rows_behind_them(worked):
    rows = ActiveUse.objects.all()
    pounds = sum(Fraction(row.ae_ug) for row in rows) / UNITS["lb"].per_unit

    words = body(worked.cast.reviewer.signed_in().get("/yearly-use/"))

    assert abs(pounds - Fraction(1, 4)) < Fraction(1, 10**6)
    assert "0.25 lb" in words


def test_what_no_label_states_is_unknown_in_the_year_and_never_nothing(worked):
    does = worked.coordinator.does
    active = does("active_ingredient", "create", name="fosamine", form="ammonium salt").record.id
    product = does(
        "product", "create", name="fosamine salt", formulation="salt", carriers=["water"],
        ingredients=[{"active_ingredient": str(active), "ai_percent_w_w": "41.5"}],
    ).record.id  # fmt: skip
    volume = {"value": "1", "unit": "fl_oz"}
    batch = worked.ground.batch(carrier="water", parts=[{"product": str(product), "volume": volume}])
    worked.ground.line(worked.ground.session(), batch, "64")

    words = report(worked, "/yearly-use/")

    assert "1 fl oz unknown 1 without a.i. unknown 1 without a.e." in words


def test_a_voided_line_is_in_no_figure_of_the_year(worked):
    line = ActiveUse.objects.order_by("-product_nl").first().application_id

    worked.coordinator.does("application", "void", id=line, reason="counted twice")

    assert "3 fl oz" in report(worked, "/yearly-use/")


def test_use_on_a_day_that_no_season_holds_is_shown_apart(worked):
    worked.ground.line(worked.ground.session(started_at="2027-03-01T09:30:00-06:00"), worked.ground.batch(), "5")

    words = report(worked, "/yearly-use/")

    assert "in no season" in words
    assert "1 fl oz" in words


def test_held_entries_are_counted_beside_every_sum(worked):
    values = {"session": str(new_id()), "batch": str(new_id())}
    worked.cast.volunteer.pushes(*(sent("application", "create", values) for _ in range(3)))
    ground, use = worked.ground, ActiveUse.objects.select_related("application").first()
    addresses = [
        f"/yearly-use/{use.active_ingredient_id}/{ground.property}/{worked.season}/", "/yearly-use/", "/balances/",
        f"/units/{ground.unit}/", f"/batches/{use.application.batch_id}/", "/stock/", f"/stock/{ground.lot()}/",
    ]  # fmt: skip

    pages = [(address, body(worked.coordinator.signed_in().get(address))) for address in addresses]
    pages.append(("/", report(worked, "/")))

    told = "3 entries wait for a coordinator to settle and are in no total here."
    assert [address for address, words in pages if told not in words] == []
    assert "3 entries wait for a coordinator to settle." in body(worked.coordinator.signed_in().get("/"))


def test_a_report_says_how_many_entries_waited_when_it_was_compiled(worked):
    worked.cast.volunteer.pushes(sent("application", "create", {}))
    address = asks(worked)["Location"]
    compile_all()
    worked.cast.volunteer.pushes(sent("application", "create", {}))

    words = report(worked, address)

    assert "When this was compiled, 1 entry waited for a coordinator to settle and is in no total below." in words


@pytest.mark.parametrize("address", ["/yearly-use/", "/reports/", "/"])
def test_lists_cost_the_same_statements_for_little_and_much(worked, django_assert_max_num_queries, address):
    client = worked.cast.reviewer.signed_in()
    with django_assert_max_num_queries(20) as few:
        client.get(address)
    does = worked.coordinator.does
    for n in range(5):
        place = does("property", "create", name=f"Place {n}").record.id
        unit = does("unit", "create", property=place, name="All").record.id
        does("season", "create", name=f"Season {n}", first_on=f"201{n}-01-01", last_on=f"201{n}-12-31")
        worked.ground.line(worked.ground.session(unit=unit), worked.ground.batch(), "1")
        does("season_report", "create", property=place, season=worked.season)

    with django_assert_max_num_queries(20) as many:
        client.get(address)

    assert len(many) == len(few)


def test_the_records_behind_a_figure_cost_the_same_statements_for_few_and_for_many(
    worked, django_assert_max_num_queries
):
    client = worked.cast.reviewer.signed_in()
    active = ActiveUse.objects.first().active_ingredient_id
    address = f"/yearly-use/{active}/{worked.ground.property}/{worked.season}/"
    with django_assert_max_num_queries(20) as few:
        client.get(address)
    for _ in range(5):
        worked.ground.line(worked.ground.session(), worked.ground.batch(), "1")

    with django_assert_max_num_queries(20) as many:
        client.get(address)

    assert len(many) == len(few)


def test_a_report_says_which_batch_does_not_balance_and_counts_an_unknown_container_once(worked):
    ground, coordinator = worked.ground, worked.coordinator
    batch, session = ground.batch(), ground.session()
    for ounces in ("40", "10"):
        ground.line(session, batch, ounces)
    told = {"how_known": "measured", "measured_at": "2027-05-01T12:00:00-05:00"}
    coordinator.does("leftover", "create", batch=batch, volume={"value": "24", "unit": "fl_oz"}, **told)
    found = coordinator.does(
        "leftover", "create", property=ground.property, volume={"value": "20", "unit": "fl_oz"}, **told
    ).record
    disposal = {"what": "disposal", "leftover": found.id, "volume": {"value": "20", "unit": "fl_oz"}, "manner": "burnt"}
    disposal |= {"by": coordinator.member.id, "happened_at": "2027-05-02T12:00:00-05:00"}
    coordinator.does("stock_movement", "create", **disposal)

    address = asks(worked)["Location"]
    compile_all()
    words = report(worked, address)

    assert "1 batch does not balance: +10 fl oz (+: more is accounted for than was mixed; –: missing)" in words
    assert "of 1 nobody has measured what is left" in words
    assert "1 container of unknown contents, 20 fl oz, disposed in no sum above" in words
