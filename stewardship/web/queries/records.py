"""How records stand, in the words of a page: what each rule misses, and how much time is left."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from stewardship.accounts.models import Member
from stewardship.journal.models import Record, Revision
from stewardship.rules.deadlines import Standing
from stewardship.treatments.models import Application, Session
from stewardship.treatments.verdicts.judging import Judged, judge_lines
from stewardship.treatments.verdicts.shelf import JUDGED
from stewardship.web.access import Here
from stewardship.workdays.models import WeatherReading

LOOK_BACK = timedelta(days=90)
MOST_LINES = 300
"""Lines that the home page judges, the latest first."""
FIRST, MOST = 3, 20
"""How many missing things, and how many records, the home page names before it counts the rest."""
GRAVEST_FIRST = ("overdue", "late", "open", "no_clock", "in_time")
SOONEST_FIRST = ("open", "overdue", "late")
"""What the home page lists: time that can still be met comes first."""


@dataclass(frozen=True)
class RuleShown:
    """How the lines of one session stand under one rule: what any of them lacks, the gravest state of them."""

    name: str
    source: str
    missing: list[str]
    findings: list[str]
    standing: Standing
    due: datetime | None
    keep_until: date | None

    @property
    def is_complete(self) -> bool:
        """Tell whether none of the lines lacks anything."""
        return not self.missing

    @property
    def lacks(self) -> str:
        """Return the first things that it does not say, and how many more there are."""
        more = len(self.missing) - FIRST
        return "; ".join(self.missing[:FIRST]) + (f"; and {more} more" if more > 0 else "")

    @property
    def runs(self) -> bool:
        """Tell whether its time runs or ran out."""
        return self.standing.state in ("overdue", "late", "open")


@dataclass(frozen=True)
class Running:
    """A session that is not locked and whose time runs or ran out, with the rules that say so."""

    session: Session
    rules: list[RuleShown]


@dataclass(frozen=True)
class Written:
    """One entry of the record book about a record, and who made it."""

    revision: Revision
    by: str


def written_of(here: Here, record: Record) -> list[Written]:
    """Return every entry about a record, oldest first; two statements."""
    revisions = list(Revision.objects.filter(group_id=here.group.id, record_id=record.id).order_by("rev"))
    people = Member.objects.filter(group_id=here.group.id, person_id__in={each.by_id for each in revisions})
    names = dict(people.values_list("person_id", "display_name"))
    return [Written(each, names.get(each.by_id, "somebody of another group")) for each in revisions]


def rules_of(here: Here, session: Session) -> list[RuleShown]:
    """Return how a session's lines stand, rule by rule."""
    lines = Application.objects.filter(group_id=here.group.id, session=session, voided_at=None)
    return by_rule(judge_lines(here.group, lines.select_related(*JUDGED), here.at))


def running(here: Here) -> list[Running]:
    """Return the sessions of the last months whose time runs, then those whose time ran out, the latest first."""
    lines = Application.objects.filter(
        group_id=here.group.id, voided_at=None, session__voided_at=None, session__locked_at=None,
        on_date__gte=here.today - LOOK_BACK,
    ).select_related(*JUDGED, "session__applicator", "session__unit", "session__property")  # fmt: skip
    by_session: dict[Session, list[Judged]] = {}
    for judged in judge_lines(here.group, lines.order_by("-on_date", "-id")[:MOST_LINES], here.at):
        by_session.setdefault(judged.line.session, []).append(judged)
    found = [Running(session, [r for r in by_rule(all_of) if r.runs]) for session, all_of in by_session.items()]
    return sorted((each for each in found if each.rules), key=lambda each: _urgency(each.rules[0].standing))


def by_rule(judged: Iterable[Judged]) -> list[RuleShown]:
    """Return verdicts put together rule by rule, the gravest first."""
    rules: dict[str, list[Judged]] = {}
    for each in judged:
        rules.setdefault(each.verdict.profile.key, []).append(each)
    return sorted((_shown(found) for found in rules.values()), key=lambda rule: _gravity(rule.standing))


def _shown(judged: list[Judged]) -> RuleShown:
    gravest = min(judged, key=lambda each: _gravity(each.verdict.standing)).verdict
    kept = [each.verdict.keep_until for each in judged if each.verdict.keep_until]
    return RuleShown(
        name=gravest.profile.name,
        source=gravest.profile.source,
        missing=list(dict.fromkeys(missing.words for each in judged for missing in each.verdict.missing)),
        findings=list(dict.fromkeys(finding.words for each in judged for finding in each.verdict.findings)),
        standing=gravest.standing,
        due=gravest.due,
        keep_until=max(kept, default=None),
    )


def _urgency(standing: Standing) -> tuple[int, timedelta]:
    return SOONEST_FIRST.index(standing.state), abs(standing.left or timedelta())


def _gravity(standing: Standing) -> tuple[int, timedelta]:
    return GRAVEST_FIRST.index(standing.state), standing.left or timedelta()


def read_near(session: Session) -> WeatherReading | None:
    """Return what was last read of the weather on the session's work day when it began, else what was read next."""
    if session.work_day_id is None:
        return None
    of_day = {"group_id": session.group_id, "work_day_id": session.work_day_id, "voided_at": None}
    readings = WeatherReading.objects.filter(**of_day).order_by("read_at", "id")
    return readings.filter(read_at__lte=session.started_at).last() or readings.first()
