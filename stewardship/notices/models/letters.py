"""A letter: one mail to one person with everything that was due for them."""

from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.journal.ids import new_id


class State(models.TextChoices):
    """Where a letter stands."""

    QUEUED = "queued"
    SENDING = "sending"
    SENT = "sent"
    FAILED = "failed"


class Letter(models.Model):
    """A mail as it is sent, word for word the same each time it is tried. No record: it is not in the book."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    address = models.EmailField("where it goes")
    message_id = models.CharField("its Message-ID, the same each time it is tried", max_length=200, unique=True)
    subject = models.CharField(max_length=300)
    text = models.TextField()
    html = models.TextField()
    state = models.CharField(max_length=10, choices=State, default=State.QUEUED)
    run_after = models.DateTimeField("when it is tried next")
    attempts = models.PositiveIntegerField(default=0)
    unclear_ends = models.PositiveIntegerField("attempts of which nobody knows whether the letter went", default=0)
    lease_until = models.DateTimeField("until when the run that is sending it has it for itself", null=True)
    error = models.CharField("what the mail server said, or what is not known", max_length=500, blank=True)
    made_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)

    class Meta:
        indexes = [
            models.Index(
                fields=["group", "run_after"],
                condition=Q(state__in=["queued", "sending"]),
                name="letters_that_are_not_sent",
            ),
            models.Index(fields=["group", "member"], name="letters_of_a_member"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_letter_that_is_being_sent_has_a_lease",
                condition=~Q(state="sending") | Q(lease_until__isnull=False),
            ),
            models.CheckConstraint(
                name="a_letter_has_its_end_once_it_is_finished",
                condition=Q(state__in=["queued", "sending"], finished_at__isnull=True)
                | Q(state__in=["sent", "failed"], finished_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.subject}: {self.state}"
