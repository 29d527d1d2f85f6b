"""What confirming and closing days look at, read for a page."""

from collections.abc import Sequence

from stewardship.accounts.models import Member
from stewardship.credentials.models import Credential
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.sync.verbs import VERBS
from stewardship.web.access import Here
from stewardship.workdays.models import WorkDay

WHO = ("member_id", "applicator_id", "holder_id")
"""Columns that name a person of a day."""


def shelf(here: Here, days: Sequence[WorkDay]) -> Entry:
    """Return an entry that only reads, with everything that confirming and closing these days look at."""
    entry = Entry(group_id=here.group.id, by=here.actor, at=here.at)
    ids = [day.id for day in days]
    verbs = [VERBS["work_day", op] for op in ("confirm", "close")]
    looked_at = {key for verb in verbs for _, key in verb.listed()}
    for model, column in looked_at:
        entry.load_lists(model, column, ids)
    records = [record for model, column in looked_at for id in ids for record in entry.list_of(model, column, id)]
    people = {getattr(record, column) for record in records for column in WHO if hasattr(record, column)}
    entry.load(Member, people, lock=False)
    entry.load_lists(Credential, "holder_id", people)
    wishes = [Target(id=id) for id in ids]
    for survey in {survey for verb in verbs for survey in verb.surveys}:
        entry.surveyed[survey] = survey(entry, wishes)
    return entry
