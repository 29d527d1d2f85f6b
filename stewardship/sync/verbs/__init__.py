"""Everything a person can do, by any door: one table, a module for each part of the domain."""

from stewardship.sync.verbs import (
    accounts,
    catalog,
    closeout,
    containers,
    credentials,
    notices,
    on_the_day,
    places,
    planned_mixes,
    reports,
    settling,
    stock,
    treatments,
    workdays,
)
from stewardship.sync.verbs.verb import Verb, Verbs

__all__ = ["VERBS", "Verb"]

VERBS: Verbs = {
    **accounts.VERBS,
    **notices.VERBS,
    **places.VERBS,
    **catalog.VERBS,
    **credentials.VERBS,
    **workdays.VERBS,
    **on_the_day.VERBS,
    **stock.VERBS,
    **treatments.VERBS,
    **containers.VERBS,
    **planned_mixes.VERBS,
    **closeout.VERBS,
    **reports.VERBS,
    **settling.VERBS,
}
