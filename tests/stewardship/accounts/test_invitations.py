"""Invitations: the letter, its link, and that it opens once, for its address, for a week."""

import re
import secrets as random_bits
from datetime import timedelta

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction

from stewardship.accounts import joining, secrets
from stewardship.accounts.models import Invitation, InvitationSecret, Member, Person
from stewardship.accounts.services.groups import AlreadyMember
from stewardship.accounts.services.invitations import LASTS
from stewardship.errors import RuleViolation, Unavailable
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.ids import new_id
from stewardship.journal.models import Revision
from tests.cast import AT, sent
from workers.jobs import JOBS

PASSWORD = "seven otters in the creek"
LATER = AT + timedelta(hours=1)


def invited(coordinator, at=AT, **values):
    told = {"email": "nell@tamarack.example", "role": "volunteer", "display_name": "Nell Osgood"}
    return coordinator.does("invitation", "create", at=at, **told | values).record


def letters(at=AT):
    """Let the waiting letters be written; return the link's secret of each."""
    before = len(mail.outbox)
    for job in Job.objects.filter(kind="invitation", state="queued").order_by("made_at", "id"):
        jobs.run(job.id, JOBS, at=at)
    return [secret_in(letter) for letter in mail.outbox[before:]]


def secret_in(letter):
    return re.search(r"/invitations/([\w-]+)/", letter.body)[1]


def accepted(secret, by=None, at=LATER, password=PASSWORD):
    return joining.accept(secret, by=by, password=password, at=at)


def refused(secret, by=None, at=LATER):
    with pytest.raises(RuleViolation) as refusal:
        accepted(secret, by, at)
    return refusal.value.code


# -- the letter ------------------------------------------------------------------------------------


def test_a_letter_says_from_whom_what_to_do_until_when_and_what_if_it_is_not_meant_for_you(coordinator, settings):
    settings.SITE_URL = "https://records.tamarack.example"
    invited(coordinator)

    (secret,) = letters()

    (letter,) = mail.outbox
    assert letter.subject == "Maren Oduya invites you to Tamarack Hollow Stewards"
    assert letter.from_email == "Tamarack Hollow Stewards <stewardship@localhost>"
    assert (letter.to, letter.reply_to) == (["nell@tamarack.example"], ["maren@tamarack.example"])
    assert f"https://records.tamarack.example/invitations/{secret}/" in letter.body
    assert "as a volunteer" in letter.body
    assert "until Saturday 8 May 2027, 10:00 (America/Chicago)" in letter.body
    assert "do nothing" in letter.body
    assert (type(letter), letter.content_subtype) == (EmailMessage, "plain")


def test_a_line_break_in_a_groups_name_makes_no_header(coordinator):
    coordinator.does("group", "amend", id=coordinator.group_id, name="Tamarack\nBcc: all@tamarack.example")
    invited(coordinator, display_name="Nell")

    letters()

    (letter,) = mail.outbox
    assert "\n" not in letter.from_email
    assert letter.recipients() == ["nell@tamarack.example"]


def test_a_secret_is_kept_nowhere_and_holds_256_bits(coordinator):
    invited(coordinator)

    (secret,) = letters()

    assert len(secret) == 43  # 32 bytes in base64 without padding
    for model in (Invitation, InvitationSecret, Revision, Job):
        assert secret not in str(list(model.objects.values()))


def test_a_letter_is_asked_for_in_the_entry_of_its_cause_and_written_once(coordinator):
    invited(coordinator)
    (job,) = Job.objects.filter(kind="invitation")

    letters()
    jobs.run(job.id, JOBS, at=LATER)

    assert len(mail.outbox) == 1
    job.refresh_from_db()
    assert (job.state, job.result) == ("done", {"sent": True})


@pytest.mark.parametrize("how", ["withdrawn", "late", "sent again"])
def test_a_letter_that_was_overtaken_is_not_written(coordinator, how):
    made = invited(coordinator)
    (job,) = Job.objects.filter(kind="invitation")
    if how == "withdrawn":
        coordinator.does("invitation", "withdraw", id=made.id)
    if how == "sent again":
        coordinator.does("invitation", "resend", id=made.id, at=LATER)

    jobs.run(job.id, JOBS, at=AT + LASTS if how == "late" else LATER)

    job.refresh_from_db()
    assert (mail.outbox, job.result) == ([], {"sent": False})


# -- accepting -------------------------------------------------------------------------------------


def test_a_new_person_accepts_and_it_is_an_entry_by_them(coordinator):
    made = invited(coordinator)
    (secret,) = letters()

    person, member = accepted(secret)

    assert (person.email, person.check_password(PASSWORD)) == ("nell@tamarack.example", True)
    assert person.emailaddress_set.get().verified
    assert (member.display_name, member.role, member.entered_by_id) == ("Nell Osgood", "volunteer", person.id)
    made.refresh_from_db()
    assert (made.state, made.ended_at, made.became_id) == ("accepted", LATER, member.id)
    told = Revision.objects.filter(by_id=person.id).order_by("seq")
    assert [(each.kind, each.op) for each in told] == [("member", "accept"), ("invitation", "accept")]


def test_who_has_a_sign_in_joins_signed_in_and_not_by_the_link_alone(coordinator, stranger):
    wendel = stranger.person
    wendel.set_password(PASSWORD)
    wendel.save()
    invited(coordinator, email=wendel.email)
    (secret,) = letters()

    assert refused(secret) == "sign_in_first"
    assert refused(secret, by=coordinator.person) == "another_person"
    person, member = accepted(secret, by=wendel)

    assert person == wendel
    assert {m.group_id for m in Member.objects.filter(person=wendel)} == {coordinator.group_id, stranger.group_id}


def test_who_was_added_with_an_address_and_has_no_password_yet_chooses_one(coordinator, stranger):
    stranger.does("member", "create", display_name="Nell", role="volunteer", email="nell@tamarack.example")
    known = Person.objects.get(email="nell@tamarack.example")
    invited(coordinator)
    (secret,) = letters()

    person, _ = accepted(secret)

    assert person == known
    assert person.check_password(PASSWORD)


def test_who_works_along_without_an_address_gets_a_sign_in_and_stays_the_same_person(coordinator):
    pip = coordinator.does("member", "create", display_name="Pip", role="volunteer").record
    invited(coordinator, email="pip@tamarack.example", display_name="Pip", member=pip.id)
    (secret,) = letters()

    person, member = accepted(secret)

    assert (member.id, person.id, person.email) == (pip.id, pip.person_id, "pip@tamarack.example")
    assert Member.objects.filter(group_id=coordinator.group_id, display_name="Pip").count() == 1
    assert Member.objects.get(id=pip.id).rev == 1


def test_who_is_only_coming_in_this_push_is_invited_in_it(coordinator):
    who = {"display_name": "Pip", "role": "volunteer"}
    pip, tx = str(new_id()), new_id()

    taken = coordinator.pushes(
        sent("member", "create", {"id": pip, **who}, tx=tx),
        sent(
            "invitation", "create", {"id": str(new_id()), "email": "pip@tamarack.example", "member": pip, **who}, tx=tx
        ),
    )

    assert [each["outcome"] for each in taken.results] == ["applied", "applied"]
    assert [str(each.member_id) for each in Invitation.objects.all()] == [pip]


def test_an_address_that_signs_in_elsewhere_is_not_taken_over_by_a_member_without_one(coordinator, stranger):
    pip = coordinator.does("member", "create", display_name="Pip", role="volunteer").record
    invited(coordinator, email=stranger.person.email, display_name="Pip", member=pip.id)
    (secret,) = letters()

    assert refused(secret) == "address_in_use"
    assert refused(secret, by=stranger.person) == "address_in_use"
    assert Person.objects.get(id=pip.person_id).email is None


def test_who_became_a_member_meanwhile_is_none_twice(coordinator):
    invited(coordinator)
    (secret,) = letters()
    coordinator.does("member", "create", display_name="Nell", role="reviewer", email="nell@tamarack.example")

    _, member = accepted(secret)

    assert (member.display_name, member.role) == ("Nell", "reviewer")
    assert Member.objects.filter(person__email="nell@tamarack.example").count() == 1


def test_another_address_that_somebody_verified_is_theirs_too(coordinator, stranger):
    joining.verify(stranger.person, "wendel.ackerley@larkspur.example")

    found = coordinator.does(
        "member", "create", display_name="Wendel", role="volunteer", email="wendel.ackerley@larkspur.example"
    )

    assert found.record.person_id == stranger.person.id
    with pytest.raises(AlreadyMember):
        invited(coordinator, email="wendel.ackerley@larkspur.example")


def test_who_was_suspended_meanwhile_is_not_let_in(coordinator):
    invited(coordinator)
    (secret,) = letters()
    nell = coordinator.does("member", "create", display_name="Nell", role="reviewer", email="nell@tamarack.example")
    coordinator.does("member", "suspend", id=nell.record.id, reason="away")

    assert refused(secret) == "not_a_member_now"
    assert not Person.objects.get(email="nell@tamarack.example").has_usable_password()


# -- a link that opens nothing ---------------------------------------------------------------------


def test_a_link_is_used_once(coordinator):
    invited(coordinator)
    (secret,) = letters()
    accepted(secret)

    assert refused(secret) == "link_ended"


def test_a_link_opens_until_its_week_is_over_and_not_at_that_moment(coordinator):
    invited(coordinator)
    (secret,) = letters()

    assert refused(secret, at=AT + LASTS) == "link_ended"
    accepted(secret, at=AT + LASTS - timedelta(microseconds=1))


def test_a_withdrawn_invitation_opens_nothing(coordinator):
    made = invited(coordinator)
    (secret,) = letters()
    coordinator.does("invitation", "withdraw", id=made.id)

    assert refused(secret) == "link_ended"


def test_a_letter_sent_again_ends_the_former_link_at_once_and_begins_a_new_week(coordinator):
    made = invited(coordinator)
    (former,) = letters()
    coordinator.does("invitation", "resend", id=made.id, at=AT + timedelta(days=6))

    assert refused(former, at=AT + timedelta(days=6)) == "link_ended"
    (newest,) = letters(at=AT + timedelta(days=6))
    assert refused(former, at=AT + timedelta(days=6)) == "link_ended"
    accepted(newest, at=AT + timedelta(days=12))


def test_what_expired_is_sent_again_or_withdrawn_before_the_address_is_invited_anew(coordinator):
    made = invited(coordinator)
    assert [made.standing(at) for at in (AT, AT + LASTS)] == ["sent", "expired"]

    with pytest.raises(RuleViolation, match="invited already"):
        invited(coordinator, at=AT + LASTS)
    coordinator.does("invitation", "withdraw", id=made.id)

    assert invited(coordinator, at=AT + LASTS).standing(AT + LASTS) == "sent"


def tampered(secret, count):
    """Give variants of a secret: a character changed, cut, doubled, moved; and ones made of nothing."""
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
    for n in range(count):
        place = n % len(secret)
        other = letters[(letters.index(secret[place]) + 1 + n // len(secret)) % 64]
        kinds = (
            secret[:place] + other + secret[place + 1 :],
            secret[:place] + secret[place + 1 :],
            secret[:place] + secret[place] + secret[place:],
            secret.swapcase() if n % 2 else secret[::-1],
            random_bits.token_urlsafe(32),
        )
        yield kinds[n % len(kinds)]


def none_of_them_opens(coordinator, count):
    invited(coordinator)
    (secret,) = letters()
    variants = [each for each in tampered(secret, count) if each != secret]
    assert len(variants) > 0.95 * count

    assert [each for each in variants if secrets.opened(each, at=LATER)] == []
    assert secrets.opened(secret, at=LATER)


def test_no_tampered_link_opens(coordinator):
    none_of_them_opens(coordinator, 500)


@pytest.mark.heavy
def test_none_of_ten_thousand_tampered_links_opens(coordinator):
    none_of_them_opens(coordinator, 10_500)


# -- who may ---------------------------------------------------------------------------------------


def test_invitations_are_for_coordinators_to_read(coordinator, volunteer, stranger):
    made = invited(coordinator)

    assert made.audience() == "coordinators"
    assert list(Invitation.objects.filter(Invitation.visible_to(volunteer.actor))) == []
    with pytest.raises(Unavailable):
        stranger.does("invitation", "withdraw", id=made.id)


def test_withdrawing_again_changes_nothing_and_what_was_accepted_is_not_withdrawn(coordinator):
    made = invited(coordinator)
    assert [coordinator.does("invitation", "withdraw", id=made.id).result["outcome"] for _ in range(2)] == [
        "applied", "noop",
    ]  # fmt: skip
    again = invited(coordinator)
    accepted(letters()[-1])
    with pytest.raises(RuleViolation, match="is over"):
        coordinator.does("invitation", "withdraw", id=again.id)


def test_an_address_has_one_open_invitation_in_the_database_too(coordinator, tampering):
    first, second = invited(coordinator), invited(coordinator, email="nell.osgood@tamarack.example")

    with pytest.raises(IntegrityError), transaction.atomic():
        Invitation.objects.filter(id=second.id).update(email=first.email)
