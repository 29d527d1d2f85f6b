"""Take what a device hands in: a fault of ours that one entry meets holds that one, and keeps no other waiting."""

import logging
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from itertools import groupby
from uuid import UUID

from django.db import DatabaseError, InterfaceError, OperationalError

from stewardship.accounts.capabilities import Actor
from stewardship.errors import RuleViolation
from stewardship.journal.ids import new_id
from stewardship.sync.arriving import Arrival
from stewardship.sync.perform import Taken, push
from stewardship.sync.reading import Sent

Tx = list[Sent]
"""Mutations that are performed together or not at all: those in a row under one ``tx``, or a single one."""

TRIES = 60
"""How often a push is begun again in parts; what has no outcome by then the device sends again."""

LATE_A_DAY, RESCUED_A_DAY = 1000, 100
"""What is kept in a day of one device that was revoked, and of entries that could not be read."""

# PostgreSQL, "Error Codes" (appendix A): connection, rollback, resources, operator intervention, system; and from
# other classes: a standby that cannot write, a time-out between statements, a lock that is not to be had.
_CLASSES_OF_THE_DATABASE = ("08", "40", "53", "57", "58")
_STATES_OF_THE_DATABASE = ("25006", "25P03", "25P04", "55P03", "55006")

log = logging.getLogger(__name__)


class ServerFault(RuleViolation):
    """What was sent met a fault of ours: kept, so that it is not lost and the next ones are not stopped by it."""

    code = "server_error"
    message = "Something went wrong on our side with this entry. It is kept, and can be looked into as {incident}."


class DeviceRevoked(RuleViolation):
    """Whoever holds a revoked device acts for nobody any more; what was entered before must not be lost."""

    code = "device_revoked"
    message = "This device was revoked. What it still had is kept until a coordinator settles it."


def take(mutations: Sequence[Sent], *, actor: Actor, device_id: UUID, at: datetime, arrival: Arrival) -> Taken:
    """Push; what an unexpected error ends is halved, down to the one tx that meets it, which is held.

    Where the database goes away in the midst of that, or it takes too long, the answer tells what was taken so far,
    from the first one on. Raises what ``push`` refuses, and then nothing is taken.
    """
    waiting, done = [_in_txs(mutations)], list[Taken]()
    for _ in range(TRIES):
        if not waiting:
            break
        txs = waiting.pop()
        try:
            part = _part(txs, actor, device_id, at, replace(arrival, size_bytes=0) if done else arrival)
        except Exception:
            if not done:
                raise
            log.exception("The rest of a push of device %s was not taken; it is sent again", device_id)
            break
        if part is None:
            waiting += [txs[len(txs) // 2 :], txs[: len(txs) // 2]]
        else:
            done.append(part)
    return replace(done[-1], results=[result for part in done for result in part.results])


def _part(txs: list[Tx], actor: Actor, device_id: UUID, at: datetime, arrival: Arrival) -> Taken | None:
    """Push these; None if one of several meets an unexpected error, held if the only one does."""
    mutations = [sent for tx in txs for sent in tx]
    try:
        return push(mutations, actor=actor, device_id=device_id, at=at, arrival=arrival)
    except RuleViolation:
        raise
    except Exception as error:
        if is_of_the_database(error):
            raise
        if len(txs) > 1:
            return None
        fault = _told_of(error, mutations, actor, device_id)
    return push(mutations, actor=actor, device_id=device_id, at=at, arrival=replace(arrival, held_for=fault))


def _told_of(error: Exception, mutations: Tx, actor: Actor, device_id: UUID) -> ServerFault:
    """Write down what happened, for whoever runs the service, and return what the device is told of it."""
    incident = str(new_id())
    mids = " ".join(str(sent.mid) for sent in mutations)
    told = "Incident %s: what device %s sent to group %s met a fault and is held: %s"
    log.error(told, incident, device_id, actor.group_id, mids, exc_info=error)
    return ServerFault(incident=incident)


def _in_txs(mutations: Sequence[Sent]) -> list[Tx]:
    return [list(tx) for _, tx in groupby(mutations, key=lambda sent: sent.tx or sent.mid)]


def is_of_the_database(error: Exception) -> bool:
    """Return whether an error tells of the database as a whole (away, full, locked), not of what was to be written."""
    if not isinstance(error, DatabaseError | InterfaceError):
        return False
    state: str | None = getattr(error.__cause__, "sqlstate", None)
    if state is not None:
        return state[:2] in _CLASSES_OF_THE_DATABASE or state in _STATES_OF_THE_DATABASE
    name: str = getattr(error.__cause__, "sqlite_errorname", "")
    return isinstance(error, OperationalError | InterfaceError) and name != "SQLITE_ERROR"
