"""What people agree to: the texts of a group, and who agreed to them until when."""

from datetime import date
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models.details import OfAPerson
from stewardship.journal.models import Record
from stewardship.rules.dates import local_date


class ConsentKind(models.TextChoices):
    """What a text is for."""

    WAIVER = "waiver", "waiver"
    GUARDIAN = "guardian_consent", "guardian's consent"
    PHOTO = "photo", "consent to photographs"


class Renewal(models.TextChoices):
    """How long a consent lasts."""

    NEVER = "never", "until it is withdrawn"
    MONTHS = "months", "for some months"
    YEAR = "calendar_year", "until the end of the calendar year"


class ConsentText(Record):
    """A text that people are asked to agree to. A new wording is a new text."""

    kind = "consent_text"

    what = models.CharField(max_length=20, choices=ConsentKind)
    title = models.CharField(max_length=200)
    text = models.TextField()
    from_on = models.DateField("first day on which it is asked for")
    renewal = models.CharField(max_length=20, choices=Renewal, default=Renewal.NEVER)
    renew_months = models.PositiveSmallIntegerField("how many months a consent lasts; none: no number", null=True)
    only_under_18 = models.BooleanField("asked of those under 18 only", default=False)
    retired_at = models.DateTimeField("when it was taken out of use", null=True)

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_consent_for_months_says_how_many",
                condition=Q(renewal="months", renew_months__gte=1) | ~Q(renewal="months") & Q(renew_months=None),
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def is_in_use(self, on: date) -> bool:
        """Tell whether it is asked for on a local date."""
        return self.from_on <= on and self.retired_at is None


class HowGiven(models.TextChoices):
    """How somebody agreed."""

    SIGNED_IN = "signed_in", "signed in as themselves"
    SHEET = "signed_sheet", "signed on a sheet"


class Consent(OfAPerson):
    """A member's yes to one text, or that of the guardian of a member who is under 18."""

    kind = "consent"

    text = models.ForeignKey(ConsentText, models.PROTECT, related_name="consents", db_index=False)
    given_on = models.DateField("local date, by the group's clock")
    given_by = models.CharField("name of the guardian who gave it; empty: the member", max_length=200, blank=True)
    relation = models.CharField("what the guardian is to the member", max_length=100, blank=True)
    how = models.CharField(max_length=20, choices=HowGiven)
    sheet = models.CharField("which sheet was signed, and where it is kept", max_length=200, blank=True)
    time_zone = models.CharField("the group's zone when it was given", max_length=60)
    ends_on = models.DateField("last day on which it counts; none: no end", null=True)
    withdrawn_at = models.DateTimeField(null=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(OfAPerson.Meta):
        indexes = [
            *OfAPerson.Meta.indexes,
            models.Index(fields=["group", "member"], name="consents_of_a_member"),
        ]
        constraints = [
            models.CheckConstraint(name="a_consent_ends_after_it_was_given", condition=Q(ends_on__gte=F("given_on"))),
            models.CheckConstraint(
                name="a_signed_sheet_is_named",
                condition=Q(how="signed_in", sheet="") | Q(how="signed_sheet") & ~Q(sheet=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.text_id} by {self.given_by or self.member_id} on {self.given_on}"

    def counts_on(self, on: date) -> bool:
        """Tell whether it counted on a local date: from the day it was given, and not on the day it was withdrawn."""
        if self.voided_at or on < self.given_on or (self.ends_on and on > self.ends_on):
            return False
        return self.withdrawn_at is None or on < local_date(self.withdrawn_at, ZoneInfo(self.time_zone))
