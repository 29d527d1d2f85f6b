"""A job: work that is done later, as a row that is itself the outbox."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.journal.ids import new_id


class State(models.TextChoices):
    """Where a job stands."""

    QUEUED = "queued"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    CANCELLED = "cancelled"


UNFINISHED = (State.QUEUED, State.RUNNING)
UNIQUE_WHILE_UNFINISHED = Q(state__in=["queued", "running"])


class Job(models.Model):
    """Work that somebody asked for, written in the transaction of its cause. No record: it is not in the book."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False, null=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False, null=True)
    kind = models.CharField(max_length=40)
    args = models.JSONField(default=dict)
    key = models.CharField("the same while unfinished means the same work", max_length=200)
    state = models.CharField(max_length=10, choices=State, default=State.QUEUED)
    run_after = models.DateTimeField()
    called_at = models.DateTimeField("when a worker was last called for it", null=True)
    attempts = models.PositiveIntegerField(default=0)
    lease_owner = models.UUIDField("the run that holds it", null=True)
    lease_until = models.DateTimeField(null=True)
    fence = models.PositiveIntegerField("raised by every claim", default=0)
    progress = models.PositiveSmallIntegerField("per cent", default=0)
    message = models.CharField("what it is doing", max_length=200, blank=True)
    result = models.JSONField(default=dict)
    error_code = models.CharField(max_length=40, blank=True)
    error_detail = models.CharField("a sentence for people; the log has the rest", max_length=500, blank=True)
    made_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)

    class Meta:
        indexes = [
            models.Index(fields=["group", "id"], name="job_in_group"),
            models.Index(fields=["state", "run_after"], name="jobs_by_state_and_time"),
        ]
        constraints = [
            models.UniqueConstraint(
                name="unfinished_work_of_a_group_is_asked_once",
                fields=["group", "kind", "key"],
                condition=UNIQUE_WHILE_UNFINISHED & Q(group__isnull=False),
            ),
            models.UniqueConstraint(
                name="unfinished_work_of_no_group_is_asked_once",
                fields=["kind", "key"],
                condition=UNIQUE_WHILE_UNFINISHED & Q(group__isnull=True),
            ),
            models.CheckConstraint(
                name="a_running_job_has_a_lease",
                condition=~Q(state="running") | Q(lease_owner__isnull=False, lease_until__isnull=False),
            ),
            models.CheckConstraint(
                name="a_job_has_its_end_once_it_is_finished",
                condition=Q(state__in=["queued", "running"], finished_at__isnull=True)
                | Q(state__in=["done", "failed", "cancelled"], finished_at__isnull=False),
            ),
            models.CheckConstraint(name="progress_is_per_cent", condition=Q(progress__gte=0, progress__lte=100)),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.id}: {self.state}"
