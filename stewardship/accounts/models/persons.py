"""Person and device: the only rows that belong to no group."""

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from stewardship.journal.ids import new_id


class People(BaseUserManager["Person"]):
    """Persons, found by e-mail whatever its case."""

    def get_by_natural_key(self, username: str | None) -> "Person":
        """Return the person with this e-mail address."""
        return self.get(email=(username or "").lower())

    def create_user(self, email: str | None = None, password: str | None = None, **values: Any) -> "Person":
        """Create a person; without a password nobody can sign in as them."""
        person = self.model(email=email.strip().lower() if email else None, **values)
        person.set_password(password)
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser):
    """Somebody who signs in, or works along without an e-mail address."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    email = models.EmailField("in lower case; none for who works along only", unique=True, null=True, blank=True)
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    objects: ClassVar[People] = People()

    class Meta:
        constraints = [models.CheckConstraint(name="an_email_is_in_lower_case", condition=Q(email=Lower("email")))]

    def __str__(self) -> str:
        return self.email or str(self.id)


class Device(models.Model):
    """A phone or program that acts for a person with a token of its own, until it is revoked.

    One that was cloned or set back to a backup counts under another id, with the same token: a copy, which lives as
    long as the device that it was made of.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="devices")
    name = models.CharField(max_length=100)
    secret_hash = models.CharField("SHA-256 of the token", max_length=64, unique=True, null=True)  # noqa: DJ001
    copy_of = models.ForeignKey("self", models.PROTECT, null=True, related_name="copies")
    created_at = models.DateTimeField()
    last_seen_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="a_device_has_a_token_or_is_a_copy",
                condition=Q(secret_hash__isnull=False, copy_of=None) | Q(secret_hash=None, copy_of__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.name
