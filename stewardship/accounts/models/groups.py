"""A group and its members."""

from typing import Any, ClassVar

from django.db import models
from django.db.models import Q

from stewardship.accounts.models.persons import Person
from stewardship.journal.models import Record

LEADS = (90, 60, 30, 7, 0)
"""Days before something ends when people can be reminded; 0 is the last day itself."""


def every_lead() -> list[Any]:
    """Return all of them: what a group begins with."""
    return list(LEADS)


class Group(Record):
    """A stewardship group: the owner of its records and its book. Its own id is its group's."""

    kind = "group"

    name = models.CharField(max_length=200)
    time_zone = models.CharField("IANA time zone", max_length=60)
    jurisdiction = models.CharField(
        "ISO 3166 code whose rule profiles it follows; empty: none", max_length=6, blank=True
    )
    volume_unit = models.CharField(max_length=20, default="fl_oz")
    mass_unit = models.CharField(max_length=20, default="lb")
    area_unit = models.CharField(max_length=20, default="acre")
    wants_waivers = models.BooleanField("whoever comes to a work day has signed a waiver", default=False)
    wants_briefings = models.BooleanField("whoever comes to a work day signs a briefing", default=False)
    lead_days = models.JSONField("days before something ends when people are reminded", default=every_lead)
    second_coordinator = models.ForeignKey(
        "accounts.Member", models.PROTECT, related_name="+", db_index=False, null=True
    )
    escalate_after_days = models.PositiveSmallIntegerField(
        "days after its end when it comes to the second coordinator", default=1
    )
    wants_approved_tasks = models.BooleanField("whether a work day serves an approved task", default=False)

    wants_permissions = models.BooleanField("whether herbicide work takes a landowner's permission", default=False)
    wants_registrations = models.BooleanField(
        "whether it takes products whose registration is on record", default=False
    )

    class Meta(Record.Meta):
        constraints = [models.CheckConstraint(name="a_group_owns_itself", condition=Q(id=models.F("group_id")))]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    """What a person is in a group."""

    COORDINATOR = "coordinator"
    VOLUNTEER = "volunteer"
    REVIEWER = "reviewer"


class Members(models.QuerySet["Member"]):
    """Memberships, told apart by whether they hold."""

    def present(self) -> "Members":
        """Return those who belong to the group now: neither left nor suspended."""
        return self.filter(ended_at=None, suspended_at=None)


class Member(Record):
    """A person in a group: the name that rosters show, the role, since when suspended, when it ended, was erased."""

    kind = "member"

    person = models.ForeignKey(Person, models.PROTECT, related_name="memberships", db_index=False)
    display_name = models.CharField(max_length=200)
    role = models.CharField(max_length=20, choices=Role)
    ended_at = models.DateTimeField(null=True)
    suspended_at = models.DateTimeField("since when they may not act or read", null=True)
    erased_at = models.DateTimeField("when what is personal of them was erased", null=True)

    objects: ClassVar[models.Manager["Member"]] = Members.as_manager()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["person", "group"], name="a_person_is_a_member_once"),
            models.CheckConstraint(
                name="who_is_erased_has_left", condition=Q(erased_at=None) | Q(ended_at__isnull=False)
            ),
        ]

    def __str__(self) -> str:
        return f"{self.display_name} ({self.role})"

    @property
    def is_present(self) -> bool:
        """Return whether they belong to the group now: neither left nor suspended."""
        return self.ended_at is None and self.suspended_at is None
