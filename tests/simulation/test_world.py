"""Devices, service, clock and network from one seed: whatever happens, all end with the same book and nothing is lost.

A failing seed prints the command that plays it again. Add it to ``seeds.txt``: those are always played.
"""

import logging
import os
from pathlib import Path

import pytest
from django.db import transaction
from django.utils import timezone

from tests.cast import AT
from tests.ground import lay_out
from tests.simulation.acts import Scene
from tests.simulation.checks import findings
from tests.simulation.network import FAULTS
from tests.simulation.server import Server
from tests.simulation.world import World

pytestmark = pytest.mark.django_db

SEEDS = Path(__file__).with_name("seeds.txt")
ASKED = [int(seed) for seed in os.environ.get("SEED", "").split()]
KEPT = [int(line.split()[0]) for line in SEEDS.read_text().splitlines() if line and line[0] != "#"]
REPLAY = "SEED={} python3 manage.py test -n 0 tests/simulation/test_world.py -k kept"
MANY = 2000
HAPPENS = (
    "restored, ",
    "cloned",
    "killed",
    "the service is restored: True",
    "late requests",
    "member suspend",
    "its clock",
)


@pytest.fixture
def play(cast):
    """Play the world of a seed on ground that is laid out once; afterwards the database is as it was."""
    scene = lay_scene(cast)
    logging.getLogger("django.request").setLevel(logging.ERROR)

    def played(seed):
        start = transaction.savepoint()
        world = World(seed, cast, scene, Server(cast.coordinator, AT))
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(timezone, "now", lambda: world.server.now)
            found = findings(world.run())
        transaction.savepoint_rollback(start)
        assert not found, "\n".join([*world.told, "", *found, "", "Play it again: " + REPLAY.format(seed)])
        return world

    yield played
    logging.getLogger("django.request").setLevel(logging.NOTSET)


def lay_scene(cast):
    """Lay out land, a batch, and the two records of the volunteer on which all phones start."""
    ground, volunteer = lay_out(cast.coordinator), cast.volunteer
    batch = ground.batch()
    session = ground.session(volunteer)
    line = ground.line(session, batch, "4", volunteer, stems=3).id
    worked = {"unit": ground.unit, "species": ground.species, "method": "pulling", "minutes": 60}
    work_line = volunteer.does("work_line", "create", done_at="2027-05-01T10:00:00-05:00", **worked).record.id
    for who in (cast.coordinator, cast.other_volunteer):  # for themselves and coordinators: a change of role shows
        who.does("emergency_contact", "create", name="Somebody to call", phone="+1 312 555 0199")
    return Scene(ground, batch, line, work_line)


@pytest.mark.parametrize("first", [0, 18])
def test_every_world_comes_to_rest_with_one_book_and_nothing_lost(play, first):
    """Invariants I4, I5, I8, I9, I13, I17 and I18, and I12 by the audit.

    What never happens in a simulation is not shown by it.
    """
    worlds = [play(seed) for seed in range(first, first + 18)]

    assert {fault for world in worlds for fault in world.network.seen} == set(FAULTS)
    told = "\n".join(line for world in worlds for line in world.told)
    assert [word for word in HAPPENS if word not in told] == []


def test_the_kept_seeds_stay_mended(play):
    for seed in ASKED or KEPT:
        play(seed)


@pytest.mark.heavy
@pytest.mark.parametrize("first", range(1000, 1000 + MANY, 50))
def test_many_worlds_come_to_rest(play, first):
    for seed in range(first, first + 50):
        play(seed)


def test_a_seed_says_everything_that_happens(play):
    assert play(7).told == play(7).told
