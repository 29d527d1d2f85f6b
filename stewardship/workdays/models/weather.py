"""What somebody read of the weather on a work day: a reading, never a forecast."""

from django.db import models
from django.db.models import Q

from stewardship.journal.models import Record
from stewardship.workdays.models.days import WorkDay


class Moment(models.TextChoices):
    """At which point of the day."""

    START = "start", "at the start"
    CHANGE = "change", "when it changed"
    END = "end", "at the end"


class WeatherReading(Record):
    """The weather at one moment of a work day; what is null was not read."""

    kind = "weather_reading"

    work_day = models.ForeignKey(WorkDay, models.PROTECT, related_name="weather_readings", db_index=False)
    read_at = models.DateTimeField()
    moment = models.CharField(max_length=10, choices=Moment)
    wind_speed_um_s = models.BigIntegerField(null=True)
    wind_speed_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    wind_speed_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    wind_direction = models.CharField("where it comes from", max_length=10, blank=True)
    temperature_mc = models.BigIntegerField(null=True)
    temperature_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    temperature_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    humidity_percent = models.PositiveSmallIntegerField(null=True)
    sky = models.CharField(max_length=200, blank=True)
    rain_outlook = models.CharField("what is to be expected of rain, and who says so", max_length=200, blank=True)
    read_from = models.CharField("which instrument or station", max_length=200, blank=True)
    went_on = models.TextField("why work over a stored limit went on; empty: nobody said", blank=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [*Record.Meta.indexes, models.Index(fields=["group", "work_day"], name="readings_of_a_work_day")]
        constraints = [
            models.CheckConstraint(
                name="a_humidity_is_a_percentage", condition=Q(humidity_percent=None) | Q(humidity_percent__lte=100)
            ),
        ]

    def __str__(self) -> str:
        return f"weather at {self.read_at}"
