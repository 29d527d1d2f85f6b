"""The work day."""

from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.journal.models import Record
from stewardship.places.models import Property
from stewardship.workdays.models.series import WorkDaySeries
from stewardship.workdays.models.tasks import ApprovedTask
from stewardship.workdays.states import State


class HazardKind(models.TextChoices):
    """What to look out for on a work day: the usual ones of the trade (common practice, no source)."""

    INSECTS = "insects", "stinging insects and ticks"
    POISON_IVY = "poison_ivy", "poison ivy, oak or sumac"
    OVERHEAD = "overhead", "dead limbs and other things overhead"
    FELLING = "felling", "felling and hung-up trees"
    SLOPE = "slope", "steep, slippery or uneven ground"
    WATER = "water", "water and soft ground"
    HEAT = "heat", "heat and sun"
    COLD = "cold", "cold and wet"
    BURIED_UTILITIES = "buried_utilities", "buried or overhead lines and pipes"
    TRAFFIC = "traffic", "traffic"
    TOOLS = "tools", "saws and sharp tools"
    THORNS = "thorns", "thorns"
    ANIMALS = "animals", "animals"
    PEOPLE = "people", "passers-by"
    OTHER = "other", "something else"


class WorkDay(Record):
    """A day on which people work on one property."""

    kind = "work_day"
    leads = 1

    property = models.ForeignKey(Property, models.PROTECT, related_name="work_days", db_index=False)
    title = models.CharField(max_length=200)
    on_date = models.DateField("local date, by the clock of time_zone")
    time_zone = models.CharField("the property's zone, else the group's, when the day was planned", max_length=60)
    starts_at = models.DateTimeField(null=True)
    ends_at = models.DateTimeField(null=True)
    meeting_point = models.TextField(blank=True)
    access = models.TextField("how one gets there: gate, road, parking, reach of a phone", blank=True)
    bring = models.TextField("what to wear and bring", blank=True)
    hazards = models.JSONField("what to look out for: [{what, note}]", default=list)
    note = models.TextField(blank=True)
    notice = models.TextField("what everybody who signed up should know now", blank=True)
    leader = models.ForeignKey(
        Member, models.PROTECT, related_name="+", db_index=False, null=True, verbose_name="who leads the day"
    )
    leader_contact = models.CharField("how the leader is reached on the day", max_length=200, blank=True)
    capacity = models.PositiveIntegerField("how many people at most over all duties; none: no such limit", null=True)
    sign_up_closes_at = models.DateTimeField("none: as long as people are wanted", null=True)
    weather_decision_at = models.DateTimeField("when it is decided whether the weather admits the day", null=True)
    units = models.JSONField("ids of the units to work in", default=list)
    task = models.ForeignKey(
        ApprovedTask, models.PROTECT, related_name="work_days", db_index=False, null=True,
        verbose_name="the approved task that it serves",
    )  # fmt: skip
    species = models.JSONField("ids of the species that are worked on", default=list)
    methods = models.JSONField("methods that are planned", default=list)
    products = models.JSONField("ids of the products that are planned", default=list)
    herbicide_planned = models.BooleanField(default=False)
    series = models.ForeignKey(WorkDaySeries, models.PROTECT, related_name="days", db_index=False, null=True)
    series_on = models.DateField("the local date for which its series made it", null=True)
    parted_at = models.DateTimeField("when it was changed by itself: its series leaves it alone", null=True)
    postponed_from = models.DateField("the date that it was first planned for, if it was postponed", null=True)
    state = models.CharField(max_length=20, choices=State, default=State.DRAFT)
    state_reason = models.TextField("why it was stopped, cancelled or postponed", blank=True)
    had_incident = models.BooleanField("whether anything went wrong on it; null: nobody has said", null=True)
    stopped_at = models.DateTimeField("when it was stopped early", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "property", "on_date"], name="work_days_of_a_property"),
            models.Index(fields=["group", "on_date"], name="work_days_by_date"),
            models.Index(fields=["group", "series"], name="work_days_of_a_series"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["series", "series_on"], name="a_series_has_each_date_once"),
            models.CheckConstraint(name="a_work_day_ends_after_it_starts", condition=Q(ends_at__gt=F("starts_at"))),
            models.CheckConstraint(
                name="a_stopped_work_day_has_a_time_and_a_reason",
                condition=~Q(state=State.STOPPED) | Q(stopped_at__isnull=False) & ~Q(state_reason=""),
            ),
            models.CheckConstraint(
                name="a_cancelled_work_day_has_a_reason",
                condition=~Q(state=State.CANCELLED) | ~Q(state_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title}, {self.on_date}"

    def zone(self) -> ZoneInfo:
        """Return the zone by whose clock the day's dates are told."""
        return ZoneInfo(self.time_zone)
