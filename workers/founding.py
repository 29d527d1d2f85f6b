"""The first start on an empty database: the demo, or a group of one's own with its first coordinator."""

import sys
from collections.abc import Callable, Mapping
from datetime import datetime
from getpass import getpass
from typing import NamedTuple

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import CommandError
from django.core.validators import validate_email

from stewardship.accounts.joining import verify
from stewardship.accounts.models import Group, Person
from stewardship.accounts.services.groups import found_group
from stewardship.errors import RuleViolation
from stewardship.journal.fields import ZoneName
from stewardship.sync.demo import DEMO_ACCOUNTS
from stewardship.sync.reference import load_reference


def _name(value: str) -> str:
    if not 1 <= len(value.strip()) <= 200:
        raise ValueError("A name has between 1 and 200 characters.")
    return value.strip()


def _zone(value: str) -> str:
    if not value:
        raise ValueError("Write the IANA name of a time zone, such as America/Chicago.")
    return ZoneName.read(value)


def _email(value: str) -> str:
    try:
        validate_email(value)
    except ValidationError:
        raise ValueError("This is no e-mail address.") from None
    return value.lower()


def _password(value: str) -> str:
    try:
        validate_password(value)
    except ValidationError as refusal:
        raise ValueError(" ".join(refusal.messages)) from None
    return value


class Question(NamedTuple):
    """One thing that a new group needs to know: from the environment, else from the person at the terminal."""

    variable: str
    prompt: str
    check: Callable[[str], str]
    ask: Callable[[str], str] = input


QUESTIONS = (
    Question("GROUP_NAME", "Name of the group", _name),
    Question("GROUP_TIME_ZONE", "Its time zone, such as America/Chicago", _zone),
    Question("FIRST_COORDINATOR_EMAIL", "E-mail address of the first coordinator", _email),
    Question("FIRST_COORDINATOR_PASSWORD", "A password for this account (not shown)", _password, getpass),
)


def found(environment: Mapping[str, str], at: datetime) -> Group:
    """Found the group that the environment or the person at the terminal describes. Raises CommandError."""
    answers = _answers(environment)
    email = answers["FIRST_COORDINATOR_EMAIL"]
    founder = Person.objects.filter(email=email).first() or Person.objects.create_user(email)
    founder.set_password(answers["FIRST_COORDINATOR_PASSWORD"])
    founder.save()
    verify(founder, email)  # whoever starts the service says so
    return found_group(
        founder=founder,
        display_name=email.partition("@")[0],
        name=answers["GROUP_NAME"],
        time_zone=answers["GROUP_TIME_ZONE"],
        at=at,
    )


def _answers(environment: Mapping[str, str]) -> dict[str, str]:
    missing = [question for question in QUESTIONS if not environment.get(question.variable)]
    if missing and not sys.stdin.isatty():
        names = ", ".join(question.variable for question in missing)
        raise CommandError(f"An empty service needs its first coordinator. Set {names}, or start it on a terminal.")
    return {q.variable: _asked(q) if q in missing else _given(q, environment[q.variable]) for q in QUESTIONS}


def _given(question: Question, value: str) -> str:
    try:
        return question.check(value)
    except ValueError as refusal:
        raise CommandError(f"{question.variable}: {refusal}") from None


def _asked(question: Question) -> str:
    """Ask until the answer will do."""
    while True:
        try:
            return question.check(question.ask(f"{question.prompt}: "))
        except ValueError as refusal:
            sys.stdout.write(f"{refusal}\n")


def add_reference(at: datetime) -> None:
    """Give every group the reference rows that it lacks. Raises CommandError."""
    for group_id in list(Group.objects.order_by("id").values_list("id", flat=True)):
        try:
            load_reference(group_id, at=at)
        except RuleViolation as refusal:
            raise CommandError(f"The reference rows of group {group_id} could not be entered: {refusal}") from refusal


def demo_is_unfinished() -> bool:
    """Tell whether loading the demo broke off: its accounts get their password last."""
    return any(not person.has_usable_password() for person in _demo_people())


def demo_accounts() -> list[str]:
    """Return the demo's e-mail addresses that are in this database."""
    known = {person.email for person in _demo_people()}
    return [email for email in DEMO_ACCOUNTS if email in known]


def _demo_people() -> list[Person]:
    return list(Person.objects.filter(email__in=DEMO_ACCOUNTS))
