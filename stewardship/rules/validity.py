"""How long a credential counts, and what it was worth on a date.

A credential (licence, certificate, training, card) is judged on the local date of the work, for ever: a licence that
ended on 30 June was valid on 30 June and not on 1 July, whenever one looks. The last day counts.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, get_args

from stewardship.rules.dates import DateOutOfRange, add_months, check_month_day, day_of_year
from stewardship.rules.refusals import RuleViolation

Kind = Literal["rolling", "fixed_day", "end_of_year", "stated", "none"]
Status = Literal["pending", "valid", "grace", "suspended", "expired"]
MONTHS_A_YEAR = 12
YEAR_END = (12, 31)


class ValidityUnclear(RuleViolation):
    """A validity rule from which no last day follows."""

    code = "validity_unclear"
    message = "This rule does not say how long the credential counts: {lacking}."


class ExpiryMissing(RuleViolation):
    """A credential whose type wants the date printed on it, without that date."""

    code = "expiry_missing"
    message = "Enter the last valid day printed on the credential; this type of credential always states one."
    where = "stated_last_on"


class IssueMissing(RuleViolation):
    """A credential that runs from its issue, without the day of issue."""

    code = "issue_missing"
    message = "Enter the day of issue; the last valid day is reckoned from it."
    where = "issued_on"


class CredentialEndsBeforeItBegins(RuleViolation):
    """A credential whose last day comes before its issue."""

    code = "credential_ends_before_it_begins"
    message = "The credential ends on {last_on}, before it was issued on {issued_on}."
    where = "stated_last_on"


class SuspensionEndsBeforeItBegins(RuleViolation):
    """A suspension whose last day comes before its first."""

    code = "suspension_ends_before_it_begins"
    message = "The suspension ends on {last_on}, before it begins on {first_on}."
    where = "last_on"


class GraceNegative(RuleViolation):
    """A grace of fewer than no days."""

    code = "grace_negative"
    message = "A grace of {grace_days} days makes no sense; enter 0 for none."
    where = "grace_days"


@dataclass(frozen=True, slots=True, kw_only=True)
class ValidityRule:
    """How long a type of credential counts.

    ``rolling``: ``years`` and ``months`` from the day of issue. ``fixed_day``: ``month`` and ``day`` of the year
    ``years`` after that of issue; with 0 years the next such day, the day of issue included. ``end_of_year``:
    31 December of the year ``years`` after that of issue. ``stated``: as printed on it. ``none``: no end.
    Raises ValidityUnclear, NoSuchDay.
    """

    kind: Kind
    years: int = 0
    months: int = 0
    month: int | None = None
    day: int | None = None

    def __post_init__(self) -> None:
        if self.kind not in get_args(Kind):
            raise ValidityUnclear(lacking=f"there is no kind called {self.kind}", where="kind")
        if self.years < 0 or self.months < 0:
            raise ValidityUnclear(lacking="years and months are counted from 0", where="years")
        if self.kind == "rolling" and not self.period_months:
            raise ValidityUnclear(lacking="it needs years or months", where="years")
        if self.kind != "fixed_day":
            return
        if self.month is None or self.day is None:
            raise ValidityUnclear(lacking="it needs a month and a day", where="day")
        check_month_day(self.month, self.day)

    @property
    def period_months(self) -> int:
        """Return years and months together, in months."""
        return self.years * MONTHS_A_YEAR + self.months

    @property
    def month_day(self) -> tuple[int, int]:
        """Return the month and day on which it always ends."""
        if self.kind == "end_of_year" or self.month is None or self.day is None:
            return YEAR_END
        return self.month, self.day


@dataclass(frozen=True, slots=True)
class Suspension:
    """Days on which a credential does not count, first and last included; None: not lifted yet.

    Raises SuspensionEndsBeforeItBegins.
    """

    first_on: date
    last_on: date | None = None

    def __post_init__(self) -> None:
        if self.last_on is not None and self.last_on < self.first_on:
            raise SuspensionEndsBeforeItBegins(first_on=self.first_on, last_on=self.last_on)

    def holds(self, on: date) -> bool:
        """Tell whether the credential is suspended on the local date ``on``."""
        return self.first_on <= on and (self.last_on is None or on <= self.last_on)


@dataclass(frozen=True, slots=True, kw_only=True)
class CredentialDates:
    """The dates of one credential.

    ``issued_on``: None while it is not issued. ``received_on``: the day it came to hand, None while it has not.
    ``last_on``: its last valid day, None for no end. ``grace_days``: days after that in which it can still be renewed,
    without applying. Raises CredentialEndsBeforeItBegins, GraceNegative.
    """

    issued_on: date | None
    received_on: date | None
    last_on: date | None
    grace_days: int = 0
    suspensions: tuple[Suspension, ...] = ()

    def __post_init__(self) -> None:
        if self.grace_days < 0:
            raise GraceNegative(grace_days=self.grace_days)
        _check_order(self.issued_on, self.last_on)

    @property
    def grace_last_on(self) -> date | None:
        """Return the last day of grace, which without a grace is the last valid day; None for no end."""
        if self.last_on is None:
            return None
        try:
            return self.last_on + timedelta(days=self.grace_days)
        except OverflowError as beyond:
            raise DateOutOfRange() from beyond


def _check_order(issued_on: date | None, last_on: date | None) -> None:
    if issued_on is not None and last_on is not None and last_on < issued_on:
        raise CredentialEndsBeforeItBegins(issued_on=issued_on, last_on=last_on)


def last_day(rule: ValidityRule, *, issued_on: date | None, stated_last_on: date | None = None) -> date | None:
    """Return the last day on which a credential counts, or None for one without end.

    29 February and one year make 28 February. Raises ExpiryMissing, IssueMissing, CredentialEndsBeforeItBegins,
    DateOutOfRange.
    """
    if rule.kind == "none":
        return None
    if rule.kind == "stated":
        return _stated(issued_on, stated_last_on)
    if issued_on is None:
        raise IssueMissing()
    return _reckoned(rule, issued_on)


def _stated(issued_on: date | None, stated_last_on: date | None) -> date:
    if stated_last_on is None:
        raise ExpiryMissing()
    _check_order(issued_on, stated_last_on)
    return stated_last_on


def _reckoned(rule: ValidityRule, issued_on: date) -> date:
    if rule.kind == "rolling":
        return add_months(issued_on, rule.period_months)
    last_on = day_of_year(issued_on.year + rule.years, *rule.month_day)
    return last_on if last_on >= issued_on else day_of_year(issued_on.year + 1, *rule.month_day)


def status_on(dates: CredentialDates, on: date) -> Status:
    """Return what a credential was worth on the local date ``on``; only ``valid`` counts for applying.

    ``pending``: not issued or not in hand yet. ``valid``: up to and with its last day. ``grace``: after that, while it
    can still be renewed. ``suspended``: within a suspension. ``expired``: after the grace.
    """
    if _is_pending(dates, on):
        return "pending"
    days_over = 0 if dates.last_on is None else (on - dates.last_on).days
    if days_over > dates.grace_days:
        return "expired"
    if any(suspension.holds(on) for suspension in dates.suspensions):
        return "suspended"
    return "grace" if days_over > 0 else "valid"


def _is_pending(dates: CredentialDates, on: date) -> bool:
    if dates.issued_on is None or dates.received_on is None:
        return True
    return on < max(dates.issued_on, dates.received_on)


def counts_on(dates: CredentialDates, on: date) -> bool:
    """Tell whether the credential counted for applying on the local date ``on``: a grace does not."""
    return status_on(dates, on) == "valid"
