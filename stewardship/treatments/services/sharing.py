"""What was used of a bottle is split over lines, by stems or by stated shares: apportioned, to the last nanolitre."""

from collections.abc import Sequence
from fractions import Fraction
from uuid import UUID, uuid5

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.rules.shares import split_exactly
from stewardship.rules.units import exact_value
from stewardship.treatments import fields
from stewardship.treatments.fields.amounts import HowKnown, SomeVolume
from stewardship.treatments.models import Container
from stewardship.treatments.services import facts, lines
from stewardship.treatments.services.containers import ContainerNotBack, ContainerShared

APPORTIONED: HowKnown = "apportioned"


class SharesMixed(RuleViolation):
    """An amount is split in one way."""

    code = "shares_mixed"
    message = "Split a bottle one way: give every line its stems, or give every line its share."
    where = "lines"


class NothingUsed(RuleViolation):
    """A bottle that came back as it went out has nothing to split."""

    code = "nothing_used"
    message = "Bottle {number} came back with as much as went out in it: nothing of it was used."


class LineOfNothing(RuleViolation):
    """Every line of a split used something."""

    code = "line_of_nothing"
    message = "The shares of bottle {number} lie so far apart that nothing is left for a line. Leave that line out."
    where = "lines"


def share_container(entry: Entry, wish: fields.ShareContainer) -> Container:
    """Split what was used of a bottle, and stands in no line yet, over lines of one session.

    The lines add up to it exactly, and none is of nothing. Each is recorded like any other and draws on the batch; its
    id is the UUIDv5 of ``{mutation id} {place in the list from 0}`` in the bottle's id, so that a device knows it
    beforehand. Raises LineOfNothing, and what recording a line raises.
    """
    container = facts.living(entry.get(Container, wish.id))
    total_nl = _to_share(container)
    parts_nl = split_exactly(total_nl, _weights(wish.lines))
    if 0 in parts_nl:
        raise LineOfNothing(number=container.number)
    how_known = APPORTIONED if len(wish.lines) > 1 else container.how_known
    ids = [uuid5(container.id, f"{entry.cause.mid} {n}") for n in range(len(wish.lines))]
    for id, line, nl in zip(ids, wish.lines, parts_nl, strict=True):
        lines.record_application(entry, _line(container, wish.session, id, line, nl, how_known))
    split = [
        {"line": str(id), "stems": line.stems, "share": line.share} for id, line in zip(ids, wish.lines, strict=True)
    ]
    return entry.change(container, split=split)


def _to_share(container: Container) -> int:
    """Return what is to be split [nL]. Raises ContainerNotBack, NothingUsed and ContainerShared."""
    if container.used_nl is None:
        raise ContainerNotBack(number=container.number)
    if container.used_nl == 0:
        raise NothingUsed(number=container.number)
    if not container.unshared_nl:
        raise ContainerShared(number=container.number, left="nothing")
    return container.unshared_nl


def _weights(sent: Sequence[fields.ShareLine]) -> list[int | Fraction]:
    """Return what each line weighs: its stated share or its stems, the same for all; a line alone takes it all.

    Raises SharesMixed.
    """
    shares = [Fraction(line.share) for line in sent if line.share is not None]
    stems = [line.stems for line in sent if line.stems is not None]
    if len(sent) == 1:
        return [1]
    if len(shares) == len(sent):
        return list(shares)
    if shares or len(stems) < len(sent):
        raise SharesMixed
    return list(stems)


def _line(
    container: Container, session: UUID, id: UUID, line: fields.ShareLine, nl: int, how_known: str
) -> fields.NewApplication:
    told = {name: getattr(line, name) for name in line.__struct_fields__ if name != "share"}
    unit = container.filled_unit
    return fields.NewApplication(
        id=id, session=session, batch=container.batch_id, container=container.id, how_known=how_known,  # type: ignore[arg-type]
        mix=SomeVolume(value=exact_value(nl, unit), unit=unit), **told,
    )  # fmt: skip
