"""Erasure: nothing personal stays anywhere, the book is proved all the same, and what was used still adds up."""

import json
from datetime import UTC, datetime, timedelta
from hashlib import sha256

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.accounts.models import Consent, Device, EmergencyContact, Member, Person, PersonalDetails
from stewardship.attachments.models import Attachment
from stewardship.attachments.services import hand_in
from stewardship.attachments.store import place_of
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.models import Book, Erasure, Revision
from stewardship.journal.verifying import Verification
from stewardship.notices.models import Letter, Notice
from stewardship.notices.models import State as LetterState
from stewardship.reports.sides import Asked
from stewardship.reports.use import use_summary
from stewardship.sync.models import Mutation, ToSettle
from stewardship.sync.pull import pull
from stewardship.sync.reading import RESCUED
from tests.cast import AT, sent
from tests.database import everything
from tests.ground import lay_out
from tests.planning import licence
from tests.signing import guardian_signs, waiver
from tests.stewardship.treatments.verdicts.records import at_home_in, rule, whole
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db

PERSONAL = (
    "Tobias Quill", "tobias@tamarack.example", "555 0100", "12 Mill Road", "2009-07-02", "Odile Fenn", "555 0102",
    "godmother", "Binder 2", "QX-4471", "knee", "Tobias's phone",
)  # fmt: skip
"""What is personal of the volunteer in these tests."""

AFTER_SEVEN_YEARS = datetime(2034, 5, 2, 12, tzinfo=UTC)
"""The shipped rule of Washington keeps a record for seven years; that of these tests is of 1 May 2027."""

A_PNG = b"\x89PNG\r\n\x1a\n" + bytes(64)


@pytest.fixture
def known(cast):
    """Let the group know a good deal of the volunteer."""
    does, theirs = cast.volunteer.does, cast.volunteer.member
    details = does("personal_details", "create", born_on="2009-07-02", address="12 Mill Road").record
    does("personal_details", "amend", id=details.id, phone="555 0100")
    contact = does("emergency_contact", "create", name="Odile Fenn", phone="555 0102", relation="godmother").record
    does("emergency_contact", "amend", id=contact.id, place=2)
    guardian_signs(cast.coordinator, cast.volunteer, waiver(cast.coordinator), relation="godmother")
    licence(cast.coordinator, cast.volunteer, "2027-12-31", note="bad knee: no slopes")
    Device.objects.filter(id=cast.volunteer.device.id).update(name="Tobias's phone")
    lets_wait(cast, details, contact)
    told = {"group_id": cast.group.id, "member": theirs, "made_at": AT}
    Notice.objects.create(**told, kind="reminder", key="x", subject="Tobias Quill, your card ends", text="", due_at=AT)
    Letter.objects.create(
        **told, address="tobias@tamarack.example", message_id="<1@x>", subject="For Tobias Quill", text="Tobias Quill",
        html="", state=LetterState.SENT, run_after=AT, finished_at=AT,
    )  # fmt: skip
    return cast.volunteer


def lets_wait(cast, details, contact):
    """Hand in what is held and never enters the book: by them, and of them by a coordinator."""
    own = {"name": "Odile Fenn", "phone": "555 0102", "colour": "red"}
    contested = {"id": contact.id, "base": {"name": "Odile"}}
    taken = cast.volunteer.pushes(
        sent("emergency_contact", "create", own),
        sent("emergency_contact", "amend", {"name": "Odile Fenn-Moss"}, **contested),
        sent(RESCUED, "rescue", {"text": '{"torn": "12 Mill Road'}),
    )
    theirs = {"member": str(cast.volunteer.member.id), "name": "Odile Fenn", "phone": "555 0102", "colour": "red"}
    beside = cast.coordinator.pushes(
        sent("personal_details", "amend", {"address": "12 Mill Road", "colour": "red"}, id=details.id),
        sent("emergency_contact", "create", theirs),
        sent("member", "amend", {"display_name": "Tobias Quill-Moss", "colour": "red"}, id=cast.volunteer.member.id),
    )
    assert {each["outcome"] for each in taken.results + beside.results} == {"held", "conflict"}


def erases(cast, someone, at=AT):
    """End a membership and erase what is personal; let the job that follows do its work."""
    cast.coordinator.does("member", "end", id=someone.member.id, at=at)
    return erases_again(cast, someone, at)


def erases_again(cast, someone, at=AT + timedelta(hours=1)):
    done = cast.coordinator.does("member", "erase", id=someone.member.id, reason="asked for by letter", at=at)
    for job in Job.objects.filter(kind="forget_erased", state="queued"):
        assert jobs.run(job.id, JOBS, at=at)
    assert not Job.objects.filter(kind="forget_erased").exclude(state="done").exists()
    someone.read_again()
    return done


def traces():
    """Return each table in which something personal of the volunteer stands."""
    told = {table: str(lines) for table, lines in everything().items()}
    return {(table, word) for table, text in told.items() for word in PERSONAL if word in text}


def proved(group_id):
    return list(Verification(group_id).findings())


# -- what goes -------------------------------------------------------------------------------------


def test_nothing_personal_stays_in_any_table_and_the_book_is_proved(cast, known):
    assert {word for _, word in traces()} == set(PERSONAL)

    erases(cast, known)

    assert traces() == set()
    assert proved(cast.group.id) == []
    call_command("verify_book")


def test_one_erasure_names_every_state_that_is_empty_and_no_other(cast, known):
    erases(cast, known)

    named = {
        (each["id"], rev)
        for e in Erasure.objects.all()
        for each in e.emptied
        for rev in range(1, each["through_rev"] + 1)
    }
    empty = {(str(id), rev) for id, rev in Revision.objects.filter(content=None).values_list("record_id", "rev")}
    assert named == empty
    assert {each["type"] for each in Erasure.objects.get().emptied} == {
        "member", "personal_details", "emergency_contact", "consent", "credential", "to_settle",
    }  # fmt: skip
    assert Revision.objects.filter(content=None).exclude(salt=None).count() == 0


def test_each_record_stays_and_says_nothing_personal(cast, known):
    erases(cast, known)

    details, contact = PersonalDetails.objects.get(), EmergencyContact.objects.get()
    assert (details.born_on, details.address, details.phone) == (None, "", "")
    assert (contact.name, contact.phone, contact.removed_at) == ("(erased)", "", AT)
    assert (Consent.objects.get().given_by, Consent.objects.get().sheet) == ("", "(erased)")
    assert (known.member.display_name, known.member.erased_at) == ("(erased)", AT)


def test_a_device_is_told_that_former_states_are_empty_and_what_stands_now(cast, known):
    erases(cast, known)

    page = pull(None, actor=cast.coordinator.actor, server_time="2027-05-01T15:00:00Z").splitlines()
    puts = [put for line in page if (put := json.loads(line)).get("id") == str(known.member.id)]

    assert [put["d"] and put["d"]["display_name"] for put in puts] == [None, None, "(erased)"]


def test_what_was_held_of_them_is_voided_and_says_nothing(cast, known):
    mids = list(ToSettle.objects.values_list("mid", flat=True))

    erases(cast, known)

    assert len(mids) == 6
    for item in ToSettle.objects.all():
        assert (item.state, item.about_id, item.payload, item.fields, item.problems) == (
            "voided", known.member.id, "", None, [],
        )  # fmt: skip
    for line in Mutation.objects.filter(mid__in=mids):
        told = json.loads(line.result)
        assert told.keys() == {"mid", "outcome", "code", "to_settle"}
        assert (line.payload, told["mid"]) == ("", str(line.mid))
    assert Book.objects.get(group_id=cast.group.id).held == 0


def test_what_was_held_of_others_still_waits(cast, known):
    cast.other_volunteer.pushes(sent("emergency_contact", "create", {"name": "Ines", "colour": "red"}))
    cast.volunteer.pushes(sent("property", "create", {"name": "Fen"}))

    erases(cast, known)

    kept = ToSettle.objects.filter(state="waiting").order_by("type")
    assert [(item.type, item.about_id) for item in kept] == [
        ("emergency_contact", cast.other_volunteer.member.id), ("property", None),
    ]  # fmt: skip
    assert "Ines" in kept[0].payload


def test_they_cannot_sign_in_and_no_device_acts_for_them(cast, known):
    browser = known.signed_in()

    erases(cast, known)

    person = Person.objects.get(id=known.person.id)
    assert (person.email, person.is_active, person.has_usable_password()) == (None, False, False)
    assert known.client().get("/api/v1/me").status_code == 401
    assert browser.get("/my/").status_code == 302


def test_files_for_them_alone_are_removed_and_those_of_others_stay(cast, known):
    own, others = A_PNG + b"own", A_PNG + b"others"
    for body in (own, others):
        hand_in(cast.coordinator.actor, body, str(known.person.id), AT)
    kept = hand_in(cast.coordinator.actor, others, "coordinators", AT)

    erases(cast, known)

    assert list(Attachment.objects.all()) == [kept]
    assert place_of(cast.group.id, kept.sha256).exists()
    assert not place_of(cast.group.id, sha256(own).hexdigest()).exists()


def test_a_person_whom_another_group_has_keeps_sign_in_and_devices(cast, known):
    cast.stranger.does("member", "create", display_name="T. Quill", email="tobias@tamarack.example", role="volunteer")

    erases(cast, known)

    assert Person.objects.get(id=known.person.id).email == "tobias@tamarack.example"
    assert known.client().get("/api/v1/me").status_code == 200


def test_an_open_invitation_to_them_ends(cast):
    pip = cast.coordinator.does("member", "create", display_name="Pip", role="volunteer").record
    told = {"email": "pip@tamarack.example", "display_name": "Pip", "role": "volunteer", "member": pip.id}
    invitation = cast.coordinator.does("invitation", "create", **told).record
    cast.coordinator.does("member", "end", id=pip.id)

    cast.coordinator.does("member", "erase", id=pip.id, reason="asked for")

    invitation.refresh_from_db()
    assert (invitation.email, invitation.display_name, invitation.state) == ("", "(erased)", "withdrawn")


def test_a_letter_that_is_being_sent_is_waited_for(cast, known):
    until = AT + timedelta(minutes=1)
    Letter.objects.update(state=LetterState.SENDING, finished_at=None, lease_until=until)
    cast.coordinator.does("member", "end", id=known.member.id)
    cast.coordinator.does("member", "erase", id=known.member.id, reason="asked for")
    job = Job.objects.get(kind="forget_erased")

    jobs.run(job.id, JOBS, at=AT)
    Letter.objects.update(state=LetterState.SENT, finished_at=AT, lease_until=None)
    jobs.run(job.id, JOBS, at=AT + timedelta(minutes=5))

    assert traces() == set()


# -- what stays ------------------------------------------------------------------------------------


@pytest.fixture
def treated(cast):
    """Let the volunteer be who answers for a record that Washington's rule keeps for seven years."""
    ground = lay_out(cast.coordinator)
    at_home_in(ground, "US-WA", address="Fenton")
    cast.coordinator.does("product", "amend", id=ground.product, restricted_use=True)
    rule(cast.coordinator, "us-wa")
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    return whole(ground, applicator=cast.volunteer.member.id, place_text="East bank")


def test_who_answers_for_a_record_keeps_name_and_licence_as_long_as_it_is_kept(cast, treated):
    cast.volunteer.does("emergency_contact", "create", name="Odile Fenn", phone="555 0102")

    erases(cast, cast.volunteer)

    words = {word for _, word in traces()}
    assert words == {"Tobias Quill", "QX-4471"}
    assert cast.volunteer.member.display_name == "Tobias Quill"

    erases_again(cast, cast.volunteer, AFTER_SEVEN_YEARS)

    assert cast.volunteer.member.display_name == "(erased)"
    assert {table for table, _ in traces()} == {"treatments_session", "journal_revision"}, (
        "the record keeps its licence"
    )
    assert proved(cast.group.id) == []


def test_every_total_stays_as_it_was(cast, treated, known):
    asked = Asked(by=("applicator",))
    before = use_summary(cast.group.id, asked, most=10)

    erases(cast, known)

    after = use_summary(cast.group.id, asked, most=10)
    assert after["totals"] == before["totals"]
    assert after["totals"]["lines"] == 1
    assert len(after["results"]) == len(before["results"]) == 1


# -- how often, and what then ------------------------------------------------------------------------


def test_erasing_again_changes_nothing(cast, known):
    erases(cast, known)
    head = Revision.objects.count()

    assert erases_again(cast, known).result["outcome"] == "noop"
    assert Revision.objects.count() == head


def test_what_is_entered_of_them_afterwards_is_erased_by_the_next_one(cast, known):
    erases(cast, known)
    late = cast.coordinator.does(
        "emergency_contact", "create", member=known.member.id, name="Odile Fenn", phone="555 0102"
    ).record

    erases_again(cast, known)

    assert traces() == set()
    named = {each["id"]: each["through_rev"] for each in Erasure.objects.order_by("id").last().emptied}
    assert named == {str(late.id): 1, str(known.member.id): 3}
    assert proved(cast.group.id) == []


def test_what_is_entered_and_erased_in_one_push_is_erased(cast):
    cast.coordinator.does("member", "end", id=cast.volunteer.member.id)
    details = {"member": str(cast.volunteer.member.id), "phone": "555 0100"}

    told = cast.coordinator.pushes(
        sent("personal_details", "create", details),
        sent("member", "erase", {"reason": "asked for"}, id=cast.volunteer.member.id),
    )

    assert [each["outcome"] for each in told.results] == ["applied", "applied"]
    assert "555 0100" not in {word for _, word in traces()}
    assert proved(cast.group.id) == []


def test_an_erasure_that_is_refused_empties_nothing(cast, known):
    """The second of two that belong together is refused: neither is done."""
    cast.coordinator.does("member", "end", id=known.member.id)
    both = [known.member.id, cast.other_volunteer.member.id]

    told = cast.coordinator.pushes(*(sent("member", "erase", {"reason": "both"}, id=id, tx="A") for id in both))

    assert [(each["outcome"], each["code"]) for each in told.results] == [("held", "still_a_member")] * 2
    assert not Revision.objects.filter(content=None).exists()
    assert Member.objects.get(id=known.member.id).erased_at is None


def test_one_erasure_or_many_in_a_push_take_the_same_statements(cast):
    """Invariant I22: a push of one and of many cost the same."""
    members = [
        cast.coordinator.does("member", "create", display_name=f"Pip {i}", role="volunteer").record.id for i in range(8)
    ]
    for id in members:
        cast.coordinator.does("member", "end", id=id)
        cast.coordinator.does("emergency_contact", "create", member=id, name="Odile Fenn", phone="555 0102")
    cast.coordinator.pushes(sent("batch", "create", {}))  # the device's first push makes its place in the ledger
    counts = []
    for some in (members[:1], members[1:3], members[3:8]):
        with CaptureQueriesContext(connection) as seen:
            erased = (sent("member", "erase", {"reason": "asked"}, id=id) for id in some)
            cast.coordinator.pushes(*erased, at=AT + timedelta(hours=len(counts)))
        counts.append(len(seen))

    assert counts[0] == counts[1] == counts[2]
