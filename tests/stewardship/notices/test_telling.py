"""A thing is told once under its key, whoever asks, how often, and however many do so at once."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.errors import RuleViolation
from stewardship.journal.book import open_entry
from stewardship.notices.models import Notice
from stewardship.notices.services import tell
from tests.cast import AT
from tests.concurrency import in_threads

CANCELLED = {"kind": "day_cancelled", "key": "day.7.cancelled", "subject": "Cancelled", "text": "It rains."}


class Refused(RuleViolation):
    code = "refused"
    message = "No."


def told(by, members, **values):
    with open_entry(group_id=by.group_id, by=by.actor, at=AT) as entry:
        tell(entry, members, **(CANCELLED | values))


def test_each_member_is_told(coordinator, volunteer, other_volunteer):
    told(coordinator, [volunteer.member.id, other_volunteer.member.id, volunteer.member.id], path="/somewhere")

    notices = Notice.objects.all()
    assert sorted(n.member_id for n in notices) == sorted([volunteer.member.id, other_volunteer.member.id])
    assert {(n.group_id, n.kind, n.subject, n.text, n.path) for n in notices} == {
        (coordinator.group_id, "day_cancelled", "Cancelled", "It rains.", "/somewhere")
    }
    assert {(n.due_at, n.made_at, n.read_at, n.letter_id) for n in notices} == {(AT, AT, None, None)}


def test_asked_again_the_first_word_stays(coordinator, volunteer):
    told(coordinator, [volunteer.member.id])
    told(coordinator, [volunteer.member.id], subject="Something else")

    assert [n.subject for n in Notice.objects.all()] == ["Cancelled"]


def test_twice_in_one_entry_is_once(coordinator, volunteer):
    with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry:
        for _ in range(2):
            tell(entry, [volunteer.member.id], **CANCELLED)

    assert Notice.objects.count() == 1


def test_another_key_and_another_member_are_told_too(coordinator, volunteer, other_volunteer):
    told(coordinator, [volunteer.member.id])
    told(coordinator, [volunteer.member.id], key="day.8.cancelled")
    told(coordinator, [other_volunteer.member.id])

    assert Notice.objects.count() == 3


def test_what_is_refused_tells_nobody(coordinator, volunteer):
    def told_and_refused(entry):
        with entry.attempt():
            tell(entry, [volunteer.member.id], **CANCELLED)
            raise Refused

    with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry, pytest.raises(Refused):
        told_and_refused(entry)

    assert not Notice.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_eight_entries_that_tell_it_at_once_tell_it_once(coordinator, volunteer, other_volunteer):
    both = [volunteer.member.id, other_volunteer.member.id]
    results = in_threads([lambda: told(coordinator, both) for _ in range(8)])

    assert results == [None] * 8
    assert Notice.objects.count() == 2


def test_telling_one_or_a_hundred_things_costs_the_same(coordinator, volunteer):
    def statements(count, name):
        with (
            CaptureQueriesContext(connection) as seen,
            open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry,
        ):
            for i in range(count):
                tell(entry, [volunteer.member.id], **(CANCELLED | {"key": f"{name}.{i}"}))
        return len(seen)

    assert statements(100, "many") == statements(1, "one")
    assert Notice.objects.count() == 101


def test_a_long_subject_is_cut_and_says_so(coordinator, volunteer):
    told(coordinator, [volunteer.member.id], subject="x" * 500)

    assert Notice.objects.get().subject == "x" * 199 + "…"


def test_nobody_is_told_something_of_no_kind(coordinator, volunteer):
    with pytest.raises(ValueError, match="no kind of notice"):
        told(coordinator, [volunteer.member.id], kind="gossip")
