"""What a group needs to know of a person: how old they are, where they live, whom to call."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.accounts.models.groups import Member
from stewardship.journal.models import Record
from stewardship.rules.ages import KnownAge


class OfAPerson(Record):
    """A record about one member that this person and the coordinators see."""

    member = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)

    class Meta(Record.Meta):
        abstract = True
        indexes = [models.Index(fields=["group", "id"], name="%(class)s_in_group")]

    def audience(self) -> str:
        """Return the person's id: what is private to a member is theirs, coordinators see all."""
        return str(self.person_id)

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the rows that this actor may read: their own, a coordinator all."""
        return Q() if actor.audiences() is None else Q(person_id=actor.person_id)


class PersonalDetails(OfAPerson):
    """The least that is needed of a member: an age as exact as the work asks for, an address, a telephone number.

    A date of birth is told only where a roster has to name it. Else it is enough that somebody is 18 or over from a
    day on, or that they are under 18.
    """

    kind = "personal_details"

    born_on = models.DateField("date of birth; none: not told", null=True)
    adult_from = models.DateField("day from which they are known to be 18 or over; none: not told", null=True)
    under_18 = models.BooleanField("under 18 until adult_from, or no day is told", default=False)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=60, blank=True)

    class Meta(OfAPerson.Meta):
        constraints = [
            models.UniqueConstraint(fields=["group", "member"], name="a_member_has_personal_details_once"),
            models.CheckConstraint(
                name="an_age_is_told_in_one_way",
                condition=Q(born_on=None) | Q(adult_from=None, under_18=False),
            ),
        ]

    def __str__(self) -> str:
        return f"details of {self.member_id}"

    def known_age(self) -> KnownAge:
        """Return what is known of their age."""
        return KnownAge(born_on=self.born_on, adult_from=self.adult_from, is_under_18=self.under_18)


class EmergencyContact(OfAPerson):
    """Somebody to call if something happens to a member."""

    kind = "emergency_contact"

    name = models.CharField(max_length=200)
    phone = models.CharField(max_length=60)
    relation = models.CharField("what they are to the member", max_length=100, blank=True)
    place = models.PositiveSmallIntegerField("1 is called first", default=1)
    removed_at = models.DateTimeField("when they were taken off", null=True)

    class Meta(OfAPerson.Meta):
        indexes = [
            *OfAPerson.Meta.indexes,
            models.Index(fields=["group", "member"], name="contacts_of_a_member"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.phone}"
