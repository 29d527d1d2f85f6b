"""Trainings and consents end like credentials."""

from datetime import date

from stewardship.notices.models import Notice
from tests.credentials import enters, kind
from tests.planning import licence
from tests.reminding import local, through, told, workers
from tests.signing import agrees, waiver
from tests.trainings import rule, trains


def test_a_training_ends_like_a_credential_until_the_next_one(cast):
    type = rule(cast.coordinator)
    first = trains(cast.coordinator, cast.volunteer, type)
    assert first.last_on == date(2027, 7, 1), "twelve months, the last day counts"

    workers(local("2027-06-24"))
    assert told(cast.volunteer) == ["7"]
    notice = Notice.objects.get(member_id=cast.volunteer.member.id)
    assert notice.subject == "Your training “Basal bark with volunteers” ends on Thursday 1 July 2027"

    trains(cast.coordinator, cast.volunteer, type, on_date="2027-05-01")
    through("2027-06-30", "2027-07-03")
    assert told(cast.volunteer) == ["7"]


def test_a_training_that_nobody_signed_renews_nothing_and_that_is_said(cast):
    type = rule(cast.coordinator)
    trains(cast.coordinator, cast.volunteer, type)
    trains(cast.coordinator, cast.volunteer, type, on_date="2027-05-01", signed=False)

    workers(local("2027-06-24"))

    assert told(cast.volunteer) == ["7"]
    assert "counts once you have signed it" in Notice.objects.get(member_id=cast.volunteer.member.id).text


def test_a_licence_without_a_kind_is_renewed_by_one_of_a_kind(cast):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    enters(cast.coordinator, cast.volunteer, kind(cast.coordinator))

    through("2027-06-20", "2027-07-03")

    assert told(cast.volunteer) == []


def test_a_consent_ends_like_a_credential_until_it_is_given_again(cast):
    text = waiver(cast.coordinator, renewal="calendar_year")
    agrees(cast.volunteer, text)

    workers(local("2027-12-24"))
    assert told(cast.volunteer) == ["7"]
    mine = Notice.objects.get(member_id=cast.volunteer.member.id)
    assert mine.subject.startswith("Your waiver “")
    assert mine.subject.endswith(" ends on Friday 31 December 2027")
    workers(local("2028-01-01"))
    assert told(cast.volunteer) == ["7", "0"]
