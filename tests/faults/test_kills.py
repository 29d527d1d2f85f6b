"""Servers are killed while devices push: what was acknowledged stays, nothing is done twice, nothing by half."""

import time
from collections.abc import Callable, Sequence
from random import Random

import pytest
from django.db import connection

from tests import audit
from tests.cast import assemble, with_device
from tests.faults.acts import lay_scene
from tests.faults.checks import findings
from tests.faults.crew import Crew, outcomes, tell
from tests.faults.procs import Cluster, Web, working_in
from tests.faults.proxy import FAULTS, Proxy
from tests.services import postgresql_is_there

pytestmark = pytest.mark.django_db(transaction=True)

PHONES = 4
FEW = [] if postgresql_is_there() else [1]
"""Kills of a web server alone in every run: on PostgreSQL one is killed after the database."""
WEIGHTS = {fault: 40 if fault == "passed" else 2 for fault in FAULTS}
"""What the network does besides: one request in five or so does not simply pass."""

Kill = Callable[[Random], None]


@pytest.fixture
def web(processes):
    """Start a web server on the database that the test works on."""
    return Web(processes)


@pytest.fixture
def cluster(processes):
    """Start a cluster of the test's own, on which it works; it begins as empty as the test's database."""
    cluster = Cluster(processes)
    try:
        with working_in(cluster):
            yield cluster
    finally:
        cluster.remove()


def kill_while_devices_push(web: Web, kills: Sequence[Kill], seed: int) -> None:
    """Let devices push through a bad network, kill again and again, and look what became of everything."""
    began, random, cast = time.monotonic(), Random(seed), assemble()
    scene = lay_scene(cast.coordinator)
    people = [with_device(cast.coordinator.member, f"phone {number}") for number in range(PHONES)]
    connection.close()  # it would be broken by the time it is needed again
    web.wait_until_it_answers()
    with Proxy(web.port, random, WEIGHTS) as proxy:
        crew = Crew(people, proxy.url, seed)
        try:
            crew.begin(*scene)
            for kill in kills:
                crew.wait_for_progress()
                time.sleep(random.uniform(0, 0.2))
                crew.wait_for_a_push()
                time.sleep(random.uniform(0, 0.05))
                kill(random)
            crew.wait_for_progress()
            crew.end()
        finally:
            crew.stop()
    tell(crew.phones, kills=len(kills), seconds=round(time.monotonic() - began))
    assert findings(crew.phones) == []
    assert {"applied", "held"} <= outcomes(crew.phones).keys()


def drawn(kills: dict[Kill, int], count: int, seed: int) -> list[Kill]:
    """Return so many kills, each of them at least once, as likely as they are said to be."""
    more = Random(seed).choices(list(kills), list(kills.values()), k=max(0, count - len(kills)))
    return [*kills, *more][:count]


@pytest.mark.parametrize("count", [*FEW, pytest.param(100, marks=pytest.mark.heavy)])
def test_a_web_server_that_is_killed_during_pushes_loses_doubles_and_parts_nothing(web, count):
    """Invariants I2, I5 and I6: kill -9 of a web process, sometimes of the master, sometimes of all at once."""
    kills = {web.kill_a_worker: 7, web.kill_all: 2, web.kill_the_master: 1}

    kill_while_devices_push(web, drawn(kills, count, 5), 5)


@pytest.mark.needs_postgresql
@pytest.mark.needs_postgresql_programs
@pytest.mark.parametrize("count", [1, pytest.param(100, marks=pytest.mark.heavy)])
def test_a_database_that_is_killed_during_pushes_loses_doubles_and_parts_nothing(cluster, web, count):
    """Invariants I2, I5 and I6: kill -9 of a backend, of the postmaster, of all processes of PostgreSQL at once."""
    kills = {cluster.kill_all: 4, cluster.kill_a_backend: 3, cluster.kill_the_postmaster: 3}

    kill_while_devices_push(web, [*drawn(kills, count, 6), web.kill_a_worker], 6)
    assert audit.findings() == [], (
        "the database of this run is another one than the one that is audited after each test"
    )
