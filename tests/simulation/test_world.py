"""Devices, service, clock and network from one seed: whatever happens, all end with the same book and nothing is lost.

A failing seed prints the command that plays it again. Add it to ``seeds.txt``: those are always played.
"""

import logging
import os
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest
from django.db import transaction
from django.utils import timezone

from api import sync
from tests.cast import AT
from tests.client.device import Device
from tests.ground import lay_out
from tests.simulation.acts import Scene
from tests.simulation.checks import findings
from tests.simulation.network import FAULTS
from tests.simulation.server import Server
from tests.simulation.world import World
from tests.stewardship.sync.test_arriving import untimed

pytestmark = pytest.mark.django_db

SEEDS = Path(__file__).with_name("seeds.txt")
ASKED = [int(seed) for seed in os.environ.get("SEED", "").split()]
KEPT = [int(line.split()[0]) for line in SEEDS.read_text().splitlines() if line and line[0] != "#"]
REPLAY = "SEED={} python3 manage.py test -n 0 tests/simulation/test_world.py -k kept"
MANY = 2000
HAPPENS = (
    "restored, ", "cloned", "killed", "revoked, True", "the service is restored: True", "late requests", "its clock",
    "member suspend", "the desk settles", "say_what_nobody_can_read", "an old push comes once more",
)  # fmt: skip
OFF = [timedelta(hours=hours) for hours in (-11, -3, 0, 5, 11)]
"""Clocks that are off, none so far that a time told by them waits to be settled."""
OF_A_RUN = 25
"""Worlds of each test of the normal run; there are four such tests."""


@pytest.fixture
def play(cast):
    """Play the world of a seed on ground that is laid out once; afterwards the database is as it was."""
    scene = lay_scene(cast)
    logging.getLogger("django.request").setLevel(logging.ERROR)

    def played(seed, look=lambda world: world, **beside):
        start = transaction.savepoint()
        world = World(seed, cast, scene, Server(cast.coordinator, AT), **beside)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(timezone, "now", lambda: world.server.now)
            patch.setattr(sync, "monotonic", lambda: 0.0)  # how slow the machine is makes no difference
            found = findings(world.run())
        seen = look(world)
        transaction.savepoint_rollback(start)
        assert not found, "\n".join([*world.told, "", *found, "", "Play it again: " + REPLAY.format(seed)])
        return seen

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


@pytest.mark.parametrize("first", range(0, 4 * OF_A_RUN, OF_A_RUN))
def test_every_world_comes_to_rest_with_one_book_and_nothing_lost(play, first):
    """Invariants I4, I5, I8, I9, I13, I14, I17 and I18, and I2, I10 and I12 by the audit.

    What never happens in a simulation is not shown by it.
    """
    worlds = [play(seed) for seed in range(first, first + OF_A_RUN)]

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


@pytest.mark.parametrize("seed", range(5))
def test_a_world_ends_alike_whatever_the_clocks_of_its_phones_say(play, seed, monkeypatch):
    """Invariant I20; without what lets a clock into the dice: ids, and how long a body is that is cut."""
    monkeypatch.setattr(Device, "new_id", lambda device: str(UUID(int=device.random.getrandbits(128), version=4)))
    for fault in ("request cut", "answer cut"):
        monkeypatch.delitem(FAULTS, fault)

    by_good_clocks = play(seed, written, skews=[timedelta(0)] * len(OFF))

    assert play(seed, written, skews=OFF) == by_good_clocks


def written(world):
    """Return what the book and the ledger say, without times by a phone's clock and ids that the service draws."""
    revisions = [
        (each.seq, each.kind, each.record_id, each.rev, each.op, each.by_id, each.at, _lasting(each))
        for each in world.server.revisions()
    ]
    return revisions, {mid: line.outcome for mid, line in world.server.ledger().items() if line.device_id}


def _lasting(revision):
    said = untimed(revision.kind, revision.content)
    return said | {"device": None} if revision.kind == "to_settle" else said


def test_a_seed_says_everything_that_happens(play):
    assert play(7).told == play(7).told
