"""Two services that share nothing but the database look at the same calendars at the same time."""

from datetime import datetime
from email import message_from_bytes

import pytest

from stewardship.jobs import services as jobs
from stewardship.notices.models import Letter, Notice
from stewardship.notices.services import letters, reminders
from tests.concurrency import in_processes
from tests.planning import licence
from tests.reminding import KINDS

SEVEN = "2027-05-31T12:00:00+00:00"
"""Seven in the morning of the first group, thirty days before the end."""


def look(at: str) -> int:
    """Do what beat and a worker do at this time; return how many jobs were run here."""
    moment, done = datetime.fromisoformat(at), 0
    for _ in range(3):
        for ask in (reminders.ask_for_reminders, letters.ask_for_letters):
            ask(moment)
            for id in list(jobs.due(moment).values_list("id", flat=True)):
                done += jobs.run(id, KINDS, at=moment)
    return done


@pytest.mark.django_db(transaction=True)
def test_each_person_gets_one_mail_with_everything_from_two_services_at_once(cast, tmp_path, monkeypatch):
    monkeypatch.setenv("EMAIL_URL", f"filemail:///{tmp_path}")
    for i in range(6):
        licence(cast.coordinator, (cast.volunteer, cast.other_volunteer)[i % 2], "2027-06-30", number=f"N-{i}")

    done = in_processes("tests.stewardship.closeout.test_reminders_at_once:look", [{"at": SEVEN}] * 2)

    assert sum(done) >= 2
    parts = [part for file in tmp_path.iterdir() for part in file.read_bytes().split(b"-" * 79 + b"\n") if part.strip()]
    mails = [message_from_bytes(part) for part in parts]
    assert sorted(mail["To"] for mail in mails) == [
        "ines@tamarack.example", "maren@tamarack.example", "tobias@tamarack.example",
    ]  # fmt: skip
    assert len({mail["Message-ID"] for mail in mails}) == 3
    assert Notice.objects.count() == 12, "six for their holders, six for the coordinator"
    assert set(Letter.objects.values_list("state", flat=True)) == {"sent"}
