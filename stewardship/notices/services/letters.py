"""Letters: what is due for a person goes into one mail, and each mail goes out once.

Everything of a letter stands in its row before it is sent, its Message-ID too. A run takes the letter for itself,
commits that, and only then speaks to the mail server. If the server refuses, the letter surely did not go, and it is
tried again later. If a run ends without a word between the sending and the marking, nobody knows whether it went:
then it is sent once more, word for word, under the same Message-ID, by which a mail program knows it for the same
letter. Told twice is better than a cancelled day that somebody drives to. After a second end that nobody knows of it
counts as failed, and coordinators are shown whom to phone.
"""

import logging
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Min

from stewardship.jobs.lease import write
from stewardship.jobs.models import UNFINISHED, Job
from stewardship.journal import rows
from stewardship.notices.models import Letter, Notice
from stewardship.notices.posting import post, unsent
from stewardship.notices.recipients import Way, recipients
from stewardship.notices.writing import written

logger = logging.getLogger(__name__)

KIND = "letters"
KEY = "letters"


def ask_for_letters(at: datetime) -> int:
    """Ask for the letters of each group in which some can be written or sent now; return of how many groups."""
    wanted = _with_something_due(at) | set(unsent(at).values_list("group_id", flat=True))
    if not wanted:
        return 0
    asked = Job.objects.filter(kind=KIND, state__in=UNFINISHED, group_id__in=wanted)
    missing = wanted - set(asked.values_list("group_id", flat=True))
    jobs = [Job(group_id=id, kind=KIND, key=KEY, run_after=at, made_at=at) for id in sorted(missing)]
    Job.objects.bulk_create(jobs, ignore_conflicts=True)
    return len(jobs)


def _with_something_due(at: datetime) -> set[UUID]:
    due = Notice.objects.filter(handled_at=None, due_at__lte=at)
    found = list(due.values_list("group_id", "member_id", "kind").annotate(Min("due_at")))
    known = recipients({group_id for group_id, *_ in found}, {member_id for _, member_id, *_ in found})
    return {
        group_id
        for group_id, member_id, kind, due_at in found
        if known[member_id].way(kind, due_at, at) is not Way.LATER
    }


def send_letters(job: Job, at: datetime) -> dict[str, Any]:
    """Write the letters of a group that are due, and send them and those that could not be sent before."""
    assert job.group_id
    count = gather(job, at)
    return {"written": count, **post(job, at)}


def gather(job: Job, at: datetime) -> int:
    """Put what is due for each person into one letter; return how many. Whoever lost the job commits nothing."""
    assert job.group_id
    with transaction.atomic():
        write(job, message="Writing letters")
        due = list(Notice.objects.filter(group_id=job.group_id, handled_at=None, due_at__lte=at).order_by("id"))
        known = recipients([job.group_id], {notice.member_id for notice in due})
        ways = {notice.id: known[notice.member_id].way(notice.kind, notice.due_at, at) for notice in due}
        now = {notice.member_id for notice in due if ways[notice.id] is Way.MAIL}
        letters = {}
        for member_id in sorted(now):
            mailed = [n for n in due if n.member_id == member_id and ways[n.id] is not Way.PAGE]
            letters[member_id] = written(known[member_id].member, mailed, at)
        handled = [n for n in due if ways[n.id] is Way.PAGE or n.member_id in now]
        for notice in handled:
            notice.handled_at = at
            notice.letter_id = None if ways[notice.id] is Way.PAGE else letters[notice.member_id].id
        Letter.objects.bulk_create(letters.values())
        rows.update(Notice, ["handled_at", "letter_id"], handled)
    return len(letters)
