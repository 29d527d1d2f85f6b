"""Lines that are probably slips, or the same work entered by two people: marked, never refused, never merged.

Two surveys are read once for all lines of an entry. What is usual comes from the group's latest lines by local date, in
the order of an index, so the read costs the same whatever the history. Lines of the same entry are not each other's
history: a slip repeated down a sheet would soon be usual.
"""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models.fields.json import KT
from msgspec import UNSET

from stewardship.journal.book import Entry
from stewardship.rules import screening
from stewardship.rules.screening import LIKE_AMOUNT, Entered, Line, Usual, alike
from stewardship.treatments import fields
from stewardship.treatments.models import Application, Batch, Container, Leftover
from stewardship.treatments.services import facts

LATEST = 200
"""How many of the group's latest lines are looked through for what is usual."""

CODES = frozenset(
    {"possible_duplicate", "tenfold_above_usual", "tenfold_below_usual"}
    | {"hundredfold_above_usual", "hundredfold_below_usual"}
)
"""The marks that are made here; they are judged anew when what a line says is corrected."""

COMPARED = frozenset({"mix_nl", "unit_id", "species_id", "method"})
"""Columns of a line that its marks rest on."""

LIKE = ("on_date", "unit_id", "species_id", "method", "batch_id")
"""Columns that are equal in two lines of the same work: of one batch, so of one product."""

REST = 1 - LIKE_AMOUNT
"""What the smaller of two like amounts is at least of the larger one."""

Values = dict[str, Any]
Like = tuple[str, UUID, str]
"""Product (its id as text), species and method."""


class Seen(NamedTuple):
    """A living line of a batch, as somebody entered it; ordered by its amount."""

    mix_nl: int
    id: UUID
    entered_by: UUID
    value: str
    unit: str


@dataclass
class Earlier:
    """The latest lines by product, species and method: each its amount of mix [nL] and its id."""

    lines: dict[Like, list[tuple[int, UUID]]]
    usual: dict[Like, Usual | None] = field(default_factory=dict)

    def usual_for(self, like: Like, line_id: UUID | None) -> Usual | None:
        """Return what is usual, but for the line itself if it is one of the earlier ones."""
        earlier = self.lines.get(like, [])
        if line_id and any(id == line_id for _, id in earlier):
            return screening.usual_of([nl for nl, id in earlier if id != line_id])
        if like not in self.usual:
            self.usual[like] = screening.usual_of([nl for nl, _ in earlier])
        return self.usual[like]


def latest_lines(entry: Entry, wishes: list[Any]) -> Earlier:
    """Survey the group's latest lines; a tank mix is compared by its first product, voided lines are left out."""
    latest = Application.objects.filter(group_id=entry.group_id).order_by("-on_date", "-id")
    told = latest.values_list("voided_at", KT("products__0__product"), "species_id", "method", "mix_nl", "id")
    lines: dict[Like, list[tuple[int, UUID]]] = {}
    for voided_at, product, species, method, mix_nl, id in told[:LATEST]:
        if voided_at is None:
            lines.setdefault((product, species, method), []).append((mix_nl, id))
    return Earlier(lines)


def lines_of_others(entry: Entry, wishes: list[Any]) -> dict[tuple[Any, ...], list[Seen]]:
    """Survey the living lines of the batches at hand, by batch, date, unit, species and method; least amount first.

    Only amounts that could be like one at hand are read, and of a single enterer's own lines none.
    """
    said = [_said(entry, wish) for wish in wishes]
    enterers = {each.entered_by for each in said}
    lines = Application.objects.filter(
        group_id=entry.group_id,
        batch_id__in={each.batch_id for each in said},
        mix_nl__range=_amounts_like(min(each.least_nl for each in said), max(each.most_nl for each in said)),
        voided_at=None,
    )
    if len(enterers) == 1:
        lines = lines.exclude(entered_by_id=enterers.pop())
    found: dict[tuple[Any, ...], list[Seen]] = {}
    for row in lines.values_list(*LIKE, "mix_nl", "id", "entered_by_id", "mix_value", "mix_unit"):
        found.setdefault(row[: len(LIKE)], []).append(Seen(*row[len(LIKE) :]))
    for each in found.values():
        each.sort()
    return found


class Said(NamedTuple):
    """What a wish says of its lines, before anything is decided: between which amounts [nL] they lie."""

    batch_id: UUID | None
    least_nl: int
    most_nl: int
    entered_by: UUID


def _said(entry: Entry, wish: Any) -> Said:
    """Return what is said by a line, its correction, a bottle that may be split in the same entry, or its split."""
    by = entry.by.person_id
    if isinstance(wish, fields.NewApplication):
        leftover = entry.find(Leftover, wish.leftover) if wish.leftover else None
        batch_id, mix_nl = leftover.batch_id if leftover else wish.batch, wish.mix.amount()
        return Said(batch_id, mix_nl, mix_nl, by)
    if isinstance(wish, fields.NewContainer):
        return Said(wish.batch, 1, wish.filled.amount(), by)
    if isinstance(wish, fields.ShareContainer):
        bottle = entry.find(Container, wish.id)
        return Said(bottle.batch_id, 1, bottle.filled_nl, by) if bottle else Said(None, 1, 1, by)
    return _corrected(entry, wish)


def _corrected(entry: Entry, wish: fields.AmendApplication) -> Said:
    line = entry.find(Application, wish.id)
    sent_nl = 0 if wish.mix is UNSET else wish.mix.amount()
    if line is None:
        return Said(None, sent_nl, sent_nl, entry.by.person_id)
    mix_nl = sent_nl or line.mix_nl
    return Said(line.batch_id, mix_nl, mix_nl, line.entered_by_id)


SURVEYS = (latest_lines, lines_of_others)


def line_marks(entry: Entry, batch: Batch, values: Values, by: UUID, line_id: UUID | None = None) -> facts.Marks:
    """Return what to mark about a line of these column values, entered by this person."""
    return [
        facts.mark(found.code, found.detail, "mix", found.source)
        for found in (_against_usual(entry, batch, values, line_id), _alike(entry, values, by))
        if found
    ]


def judged_anew(entry: Entry, batch: Batch, line: Application, values: Values) -> facts.Marks:
    """Return a line's marks once it is corrected to ``values``; what they rest on is screened again if it changed."""
    marks: facts.Marks = values.get("marks", line.marks)
    after = vars(line) | values
    if all(after[name] == getattr(line, name) for name in COMPARED):
        return marks
    kept = [mark for mark in marks if mark["code"] not in CODES]
    return kept + line_marks(entry, batch, after, line.entered_by_id, line.id)


def _against_usual(entry: Entry, batch: Batch, values: Values, line_id: UUID | None) -> screening.Mark | None:
    """Compare a line with what is usual; None where too little was poured in for any product to be in the mix."""
    if not batch.parts:
        return None
    earlier: Earlier = entry.surveyed[latest_lines]
    like = (batch.parts[0]["product"], values["species_id"], values["method"])
    usual = earlier.usual_for(like, line_id)
    line = Entered(values["mix_nl"], values["mix_value"], values["mix_unit"])
    return screening.against_usual(line, usual) if usual else None


def _alike(entry: Entry, values: Values, by: UUID) -> screening.Mark | None:
    others = entry.surveyed[lines_of_others].get(tuple([values[name] for name in LIKE]))
    other = next(_like(others, values, by), None) if others else None
    if other is None:
        return None
    return screening.Mark(
        "possible_duplicate",
        f"Somebody else recorded {other.value} {other.unit} of this batch for the same day, unit, species and method. "
        "Both are kept: a coordinator looks whether it is the same work, and voids one if it is.",
        source=f"application {other.id}, entered by {other.entered_by}",
    )


def _like(others: Sequence[Seen], values: Values, by: UUID) -> Iterator[Seen]:
    """Give the lines, the least amount first, that may be the same work as a line of these values."""
    line = Line(*[values[name] for name in LIKE], values["mix_nl"], by)  # type: ignore[call-arg]
    least, most = _amounts_like(line.amount_nl, line.amount_nl)
    for place in range(bisect_left(others, (least,)), len(others)):
        other = others[place]
        if other.mix_nl > most:
            return
        if alike(line, replace(line, amount_nl=other.mix_nl, entered_by=other.entered_by)):
            yield other


def _amounts_like(least_nl: int, most_nl: int) -> tuple[int, int]:
    """Return between which amounts [nL] one lies that is like another from ``least_nl`` to ``most_nl`` [nL]."""
    return least_nl * REST.numerator // REST.denominator, most_nl * REST.denominator // REST.numerator + 1


def other_of(line: Application) -> UUID | None:
    """Return the id of the line that this one was marked as a possible duplicate of."""
    sources = [mark["source"] for mark in line.marks if mark["code"] == "possible_duplicate"]
    return UUID(sources[0].removeprefix("application ").partition(",")[0]) if sources else None
