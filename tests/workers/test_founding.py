"""The first coordinator: from the environment or a terminal."""

import pytest
from django.core.management import CommandError

from stewardship.accounts.models import Group, Member, Person
from tests.cast import AT
from workers import founding

FOUNDER = {
    "GROUP_NAME": " Heron Bend Crew ",
    "GROUP_TIME_ZONE": "America/Chicago",
    "FIRST_COORDINATOR_EMAIL": "First@Heron.example",
    "FIRST_COORDINATOR_PASSWORD": "a-long-enough-phrase",
}


@pytest.fixture
def terminal(monkeypatch):
    """Answer what is asked, in this order; fails when more is asked."""

    def answers(*lines):
        left = iter(lines)
        monkeypatch.setattr(founding.sys.stdin, "isatty", lambda: True, raising=False)
        asked = [question._replace(ask=lambda prompt: next(left)) for question in founding.QUESTIONS]
        monkeypatch.setattr(founding, "QUESTIONS", asked)
        return left

    return answers


@pytest.mark.django_db(transaction=True)
def test_the_environment_founds_a_group_with_a_coordinator_who_can_sign_in():
    group = founding.found(FOUNDER, AT)

    member = Member.objects.get(group_id=group.id)
    assert (group.name, group.time_zone, group.entered_at) == ("Heron Bend Crew", "America/Chicago", AT)
    assert (member.role, member.display_name, member.person.email) == ("coordinator", "first", "first@heron.example")
    assert member.person.check_password("a-long-enough-phrase")


@pytest.mark.django_db(transaction=True)
def test_a_founding_that_broke_off_is_repeated_with_the_same_person():
    Person.objects.create_user("first@heron.example")

    founding.found(FOUNDER, AT)

    assert Person.objects.get().check_password("a-long-enough-phrase")


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("variable", "value", "sentence"),
    [
        ("GROUP_NAME", "   ", "between 1 and 200"),
        ("GROUP_TIME_ZONE", "Chicago", "IANA name"),
        ("FIRST_COORDINATOR_EMAIL", "first at heron", "no e-mail address"),
        ("FIRST_COORDINATOR_PASSWORD", "12345", "too short"),
        ("FIRST_COORDINATOR_PASSWORD", "password", "too common"),
    ],
)
def test_a_bad_value_is_named_and_founds_nothing(variable, value, sentence):
    with pytest.raises(CommandError, match=f"{variable}: .*{sentence}"):
        founding.found(FOUNDER | {variable: value}, AT)

    assert not Group.objects.exists()
    assert not Person.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_a_terminal_is_asked_for_what_is_missing_until_it_will_do(terminal, capsys):
    left = terminal("Chicago", "America/Chicago", "12345", "a-long-enough-phrase")
    known = {name: FOUNDER[name] for name in ("GROUP_NAME", "FIRST_COORDINATOR_EMAIL")}

    group = founding.found(known, AT)

    assert group.time_zone == "America/Chicago"
    assert next(left, None) is None
    said = capsys.readouterr().out
    assert "IANA name" in said
    assert "too short" in said


def test_a_password_is_asked_for_without_showing_it():
    assert founding.QUESTIONS[-1].ask is founding.getpass


@pytest.mark.django_db
def test_a_demo_whose_accounts_have_no_password_yet_is_unfinished():
    assert not founding.demo_is_unfinished()

    person = Person.objects.create_user("coordinator@demo.example")
    assert founding.demo_is_unfinished()
    assert founding.demo_accounts() == ["coordinator@demo.example"]

    person.set_password("a-long-enough-phrase")
    person.save()
    assert not founding.demo_is_unfinished()
