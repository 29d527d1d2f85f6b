"""What a record says is one text, whatever engine keeps it and whoever reads it."""

import json
from datetime import UTC, date, datetime, timedelta, timezone
from uuid import UUID

import pytest
from django.db import models
from django.test.utils import isolate_apps

from stewardship.journal import contents
from stewardship.journal.models import Record, Revision
from stewardship.places.models import Property, Unit

SQUARE = [[-93.0, 44.0], [-92.99, 44.0], [-92.99, 44.01], [-93.0, 44.01], [-93.0, 44.0]]


@pytest.fixture
def pour():
    """Give a record type with a quantity, a derived column, a reference and dates; it has no table."""
    with isolate_apps("stewardship.journal"):

        class Pour(Record):
            kind = "pour"
            derived = frozenset({"used_nl"})
            unit = models.ForeignKey(Unit, models.PROTECT)
            mix_nl = models.BigIntegerField(null=True)
            mix_value = models.CharField(max_length=40)
            mix_unit = models.CharField(max_length=20)
            used_nl = models.BigIntegerField(default=0)
            left_nl = models.BigIntegerField(default=0)
            mixed_at = models.DateTimeField()
            mixed_on = models.DateField(null=True)

            class Meta:
                app_label = "journal"

        yield Pour(
            id=UUID(int=1), rev=3, group_id=UUID(int=2), entered_by_id=UUID(int=3), unit_id=UUID(int=4),
            mix_nl=1_892_705_892, mix_value="64", mix_unit="fl_oz", used_nl=5, left_nl=7,
            mixed_at=datetime(2027, 5, 1, 9, 0, tzinfo=timezone(timedelta(hours=-5))), mixed_on=date(2027, 5, 1),
        )  # fmt: skip


def test_a_content_is_exactly_this_text(pour):
    assert contents.canonical(pour.content()) == (
        '{"left_nl":7,"mix":{"nl":1892705892,"unit":"fl_oz","value":"64"},"mixed_at":"2027-05-01T14:00:00.000000Z",'
        '"mixed_on":"2027-05-01","unit":"00000000-0000-0000-0000-000000000004"}'
    )


def test_a_quantity_that_is_not_stated_is_null_and_not_zero(pour):
    pour.mix_nl = pour.mix_value = pour.mix_unit = pour.mixed_on = None

    assert (pour.content()["mix"], pour.content()["mixed_on"]) == (None, None)


def test_derived_columns_and_those_of_every_record_are_not_told(pour):
    assert pour.content().keys() == {"unit", "mix", "left_nl", "mixed_at", "mixed_on"}


def test_keys_are_sorted_and_text_stays_itself():
    assert contents.canonical({"b": "Ødegård\n", "a": [{"z": None, "y": True}]}) == (
        '{"a":[{"y":true,"z":null}],"b":"Ødegård\\n"}'
    )


@pytest.mark.parametrize("micro", [0, 1, 999_999])
def test_a_moment_always_has_microseconds_and_z(micro):
    moment = datetime(2027, 5, 1, 9, 0, 0, micro, timezone(timedelta(hours=5, minutes=45)))

    assert contents.instant(moment) == f"2027-05-01T03:15:00.{micro:06}Z"
    assert datetime.fromisoformat(contents.instant(moment)) == moment
    assert datetime.fromisoformat(contents.instant(moment)).tzinfo == UTC


@pytest.mark.django_db
def test_a_record_read_back_says_the_text_that_was_written(coordinator):
    polygon = {"type": "Polygon", "coordinates": [SQUARE]}
    fen = coordinator.does("property", "create", name="Fen \\N\t'Edge'", boundary=polygon, time_zone="America/Boise")
    coordinator.does("unit", "create", name="Nørre", property=fen.record.id, boundary=polygon, note="\n")

    for model in (Property, Unit):
        record = model.objects.get()
        written = Revision.objects.get(record_id=record.id).content

        assert contents.canonical(record.content()) == written
        assert json.loads(written, parse_float=pytest.fail)["boundary"]["type"] == "Polygon"
