"""Rows come back as they were written, by any number, of any column type; Django's own writing is the reference."""

import json
from datetime import UTC, date, datetime, timedelta, timezone
from uuid import UUID

import pytest
from django.db import DataError, IntegrityError, connection, models, transaction
from django.test.utils import CaptureQueriesContext, isolate_apps

from stewardship.accounts.models import Device
from stewardship.journal import rows
from stewardship.journal.ids import new_id

ODD_TEXTS = [
    "", " ", "'", '"', "\\", "\\N", "\\.", "\t", "\n", "\r\n", "a\tb\nc\\d", "%s", "%%", "{}", "NULL", "null", ",",
    "née Ødegård", "水", "🌱", "\u202ereversed", "a\u0301", "'); DROP TABLE sample; --", "\x01\x1f\x7f", "x" * 5000,
]  # fmt: skip
BEFORE_UTC = timezone(timedelta(hours=-5, minutes=-30))


@pytest.fixture
def sample(db):
    """Give a model with every type of column that records have, and its table."""
    with isolate_apps("stewardship.journal"):

        class Sample(models.Model):  # noqa: DJ008
            id = models.UUIDField(primary_key=True)
            other = models.UUIDField(null=True)
            name = models.CharField(max_length=40)
            text = models.TextField(null=True)  # noqa: DJ001
            whole = models.BigIntegerField(null=True)
            small = models.PositiveIntegerField(default=0)
            flag = models.BooleanField(null=True)
            at = models.DateTimeField(null=True)
            day = models.DateField(null=True)
            told = models.JSONField(null=True)

            class Meta:
                app_label = "journal"
                db_table = "sample"

        columns = ", ".join(
            f'"{f.column}" {f.db_type(connection)} {"NULL" if f.null else "NOT NULL"}'
            f"{' PRIMARY KEY' if f.primary_key else ''}"
            for f in Sample._meta.concrete_fields
        )
        with connection.cursor() as cursor:
            cursor.execute(f"CREATE TABLE sample ({columns})")
        yield Sample


def some(sample, count):
    """Return unsaved rows that between them hold every odd value."""
    made = []
    for i in range(count):
        text = ODD_TEXTS[i % len(ODD_TEXTS)]
        made.append(
            sample(
                id=new_id(),
                other=new_id() if i % 2 else None,
                name=text[:40],
                text=text if i % 5 else None,
                whole=[None, 0, -1, 2**63 - 1, -(2**63)][i % 5],
                small=i,
                flag=[None, True, False][i % 3],
                at=[None, datetime(2027, 5, 1, 9, 0, 0, i, BEFORE_UTC), datetime(1999, 12, 31, tzinfo=UTC)][i % 3],
                day=[None, date(2028, 2, 29), date(1, 1, 1), date(9999, 12, 31)][i % 4],
                told=[None, {"a": [1, None, True, text]}, [], text, 0, False, {"quantity": str(2**70)}][i % 7],
            )
        )
    return made


def values(row):
    return [getattr(row, f.attname) for f in row._meta.concrete_fields]


def stored(sample):
    """Return the table as the database holds it, past Django's conversions; of a JSON text what it says."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM sample ORDER BY id")
        return [(*row, told and json.loads(told)) for *row, told in cursor.fetchall()]


def held(sample):
    return [values(row) for row in sample.objects.order_by("id")]


COUNTS = [1, 2, rows.COPY_FROM - 1, rows.COPY_FROM, 500]


@pytest.mark.parametrize("count", COUNTS)
def test_inserted_rows_come_back_as_they_were(sample, count):
    made = some(sample, count)

    rows.insert(sample, [values(row) for row in made])

    assert held(sample) == [values(row) for row in sorted(made, key=lambda row: row.id)]


@pytest.mark.parametrize("count", COUNTS)
def test_inserted_rows_are_stored_as_django_stores_them(sample, count):
    made = some(sample, count)
    sample.objects.bulk_create(made)
    by_django = stored(sample)
    sample.objects.all().delete()

    rows.insert(sample, [values(row) for row in made])

    assert stored(sample) == by_django


@pytest.mark.parametrize("count", COUNTS)
def test_updated_rows_come_back_as_they_were(sample, count):
    made = some(sample, count)
    sample.objects.bulk_create(
        [sample(id=row.id, name="before", text="before", whole=1, day=date(2020, 1, 1)) for row in made]
    )
    names = [f.attname for f in sample._meta.concrete_fields if f.attname != "id"]

    rows.update(sample, names, made)

    assert held(sample) == [values(row) for row in sorted(made, key=lambda row: row.id)]


def test_an_update_writes_the_named_columns_of_the_given_rows_and_no_more(sample):
    first, second, third = made = some(sample, 3)
    sample.objects.bulk_create(made)
    first.small = second.small = third.small = 77
    first.name = second.name = "not to be written"

    rows.update(sample, ["small"], [first, second])

    assert sorted(sample.objects.values_list("small", flat=True)) == [2, 77, 77]
    assert not sample.objects.filter(name="not to be written").exists()


@pytest.mark.parametrize("count", COUNTS)
def test_each_call_is_one_statement(sample, count):
    made = some(sample, count)

    with CaptureQueriesContext(connection) as inserting:
        rows.insert(sample, [values(row) for row in made])
    with CaptureQueriesContext(connection) as updating:
        rows.update(sample, ["name", "told"], made)
    with CaptureQueriesContext(connection) as deleting:
        rows.delete(sample, "id", [row.id for row in made])

    assert len(inserting) == len(updating) == len(deleting) == 1
    assert not sample.objects.exists()


def test_nothing_to_do_is_no_statement(sample, django_assert_num_queries):
    with django_assert_num_queries(0):
        rows.insert(sample, [])
        rows.update(sample, ["name"], [])
        rows.delete(sample, "id", [])


@pytest.mark.parametrize("count", COUNTS)
def test_rows_are_read_as_django_reads_them(sample, count):
    made = some(sample, count)
    sample.objects.bulk_create(made)

    read = rows.select(sample, id={row.id for row in made})

    assert [values(row) for row in read] == held(sample)
    assert not any(row._state.adding for row in read)


def test_only_the_rows_with_all_of_the_values_are_read(sample):
    made = some(sample, 8)
    made[2].name, made[3].name = "it", "it"
    sample.objects.bulk_create(made)

    assert [row.small for row in rows.select(sample, name="it", small={1, 2, 99})] == [2]
    assert rows.select(sample, name={"'); DROP TABLE sample; --"}, small=0) == []


def test_a_row_beside_is_read_with_the_same_statement(cast, django_assert_num_queries):
    with django_assert_num_queries(1):
        (device,) = rows.select(Device, beside="person", id=cast.volunteer.device.id)

        assert values(device) == values(cast.volunteer.device)
        assert values(device.person) == values(cast.volunteer.person)


@pytest.mark.parametrize("lock", [False, True])
def test_rows_are_locked_only_where_that_is_asked_for(sample, lock):
    with transaction.atomic(), CaptureQueriesContext(connection) as told:
        rows.select(sample, lock=lock, small=1)

    (query,) = [each["sql"] for each in told if each["sql"].startswith("SELECT")]
    assert ("FOR NO KEY UPDATE" in query) is (lock and connection.vendor == "postgresql")


def test_a_delete_takes_the_rows_with_one_of_the_values_only(sample):
    made = some(sample, 4)
    sample.objects.bulk_create(made)

    rows.delete(sample, "small", [0, 3, 99])

    assert sorted(sample.objects.values_list("small", flat=True)) == [1, 2]


@pytest.mark.needs_postgresql
@pytest.mark.parametrize("count", [1, rows.COPY_FROM])
def test_a_text_too_long_for_its_column_is_refused_and_never_cut(sample, count):
    made = [sample(id=new_id(), name="fits") for _ in range(count)]
    sample.objects.bulk_create(made)
    for row in made:
        row.name = "x" * 41

    with pytest.raises(DataError), transaction.atomic():
        rows.update(sample, ["name"], made)


@pytest.mark.parametrize("count", [2, rows.COPY_FROM])
def test_a_broken_constraint_is_an_integrity_error_by_either_way_of_inserting(sample, count):
    made = some(sample, count)
    made[-1].id = made[0].id

    with pytest.raises(IntegrityError), transaction.atomic():
        rows.insert(sample, [values(row) for row in made])


@pytest.mark.parametrize("count", [2, rows.COPY_FROM])
def test_where_the_first_is_kept_a_taken_key_is_left_out_and_the_rest_written(sample, count):
    made = some(sample, count)
    rows.insert(sample, [values(made[0])])
    again = some(sample, count)
    again[0].id, again[0].small = made[0].id, 77

    with CaptureQueriesContext(connection) as inserting:
        rows.insert(sample, [values(row) for row in again], keep_first=True)

    assert len(inserting) == 1
    assert held(sample) == [values(row) for row in sorted([made[0], *again[1:]], key=lambda row: row.id)]


def test_an_id_of_a_foreign_key_is_stored_like_the_key_it_points_to(coordinator):
    from stewardship.places.models import Unit

    made = coordinator.does("property", "create", name="Fen Edge").record
    unit = coordinator.does("unit", "create", name="North", property=made.id).record

    found = Unit.objects.select_related("property", "entered_by", "group").get(id=unit.id)

    assert isinstance(found.property_id, UUID)
    assert (found.property.name, found.group.id) == ("Fen Edge", coordinator.group_id)
