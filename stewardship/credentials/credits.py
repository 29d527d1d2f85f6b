"""What somebody's credits come to in the cycle of a kind of credential, on a date."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from uuid import UUID

from stewardship.credentials.models import Credential, CredentialType, Credit
from stewardship.rules.credits import Cycle, Earned, Line, Wanted, cycle_from, cycle_of, ledger


@dataclass(frozen=True, slots=True)
class Ledger:
    """What a member's credits come to; ``cycle`` is None where it is not known, and ``unclear`` says why."""

    type: CredentialType
    on: date
    cycle: Cycle | None
    lines: list[Line]
    unclear: str = ""

    @property
    def lacking(self) -> Fraction | None:
        """Return how many credits are still wanted in all categories; None where the cycle is not known."""
        return None if self.cycle is None else sum((line.lacking for line in self.lines), Fraction(0))


def ledger_of(group_id: UUID, member_id: UUID, kind: CredentialType, on: date, *, since: date | None = None) -> Ledger:
    """Return what a member's credits come to; ``since``: the first day of the cycle, where somebody says it.

    Two statements.
    """
    held = Credential.objects.filter(group_id=group_id, holder_id=member_id, type_id=kind.id, voided_at=None)
    credits = Credit.objects.filter(group_id=group_id, member_id=member_id, type_id=kind.id, voided_at=None)
    return reckoned(kind, list(held.order_by("id")), list(credits.order_by("on_date", "id")), on, since=since)


def reckoned(
    kind: CredentialType,
    held: Iterable[Credential],
    credits: Iterable[Credit],
    on: date,
    *,
    since: date | None = None,
) -> Ledger:
    """Return the ledger of these credits, for the credential that was issued last by ``on``."""
    issued = [(each.issued_on, each) for each in held if each.issued_on and each.issued_on <= on]
    licence = max(issued, key=lambda pair: (pair[0], pair[1].id), default=(None, None))[1]
    cycle, unclear = _cycle(kind, licence, since)
    credits = list(credits)
    earned = [Earned(category=c.category, mode=c.mode, credits=Fraction(c.amount), on=c.on_date) for c in credits]
    printed = set(licence.categories) if licence else set()
    concerned = printed or {each.category for each in credits}
    wanted = [
        Wanted(
            category=each["category"],
            credits=Fraction(each["wanted"]),
            caps={mode: Fraction(most) for mode, most in each["caps"].items()},
        )
        for each in kind.credits
        if each["category"] in concerned | {""}
    ]
    return Ledger(kind, on, cycle, ledger(wanted, earned, up_to=on, cycle=cycle), unclear)


def _cycle(kind: CredentialType, licence: Credential | None, since: date | None) -> tuple[Cycle | None, str]:
    """Return the cycle, or None and why it is not known."""
    years = kind.credit_cycle_years
    if not years:
        return None, f"{kind.name} asks for no credits, or nobody entered within how many years."
    if since:
        return cycle_from(since, years), ""
    if licence is None:
        return None, f"No {kind.name} is on record that was issued by then: from when the cycle runs is not known."
    cycle = cycle_of(kind.rule(), years, issued_on=licence.issued_on, last_on=licence.expires_on)
    if cycle is None:
        return None, f"{kind.name} is not issued for its cycle of {years} years: say from which day the cycle runs."
    return cycle, ""
