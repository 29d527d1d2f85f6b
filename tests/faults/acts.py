"""What people enter while things break: work by hand, corrections, second thoughts, land in one piece or not at all."""

from datetime import timedelta
from random import Random
from uuid import UUID

from tests.cast import Someone
from tests.client.device import Device
from tests.ground import Ground, lay_out

WHYS = ("misread", "counted twice", "wrong side of the creek")
ACTS = {"work": 4, "correct": 3, "void or put back": 2, "lay out": 2, "contradict": 1}
"""What is entered, and how likely each is."""


def lay_scene(coordinator: Someone) -> tuple[Ground, UUID]:
    """Lay out land and the line of work that everybody begins with."""
    ground = lay_out(coordinator)
    told = {"unit": ground.unit, "species": ground.species, "method": "pulling", "minutes": 60}
    return ground, coordinator.does("work_line", "create", done_at="2026-05-01T10:00:00-05:00", **told).record.id


class Enters:
    """Somebody who enters one thing after the other on a device. All begin with the same line of work."""

    def __init__(self, device: Device, ground: Ground, common: UUID, random: Random) -> None:
        self.device, self.ground, self.random = device, ground, random
        self.lines = [str(common)]

    def enter(self, many: int) -> None:
        """Enter so many mutations, or a few more where the last ones stand and fall together."""
        n = self._n()
        while self._n() < n + many:
            act = self.random.choices(list(ACTS), list(ACTS.values()))[0]
            getattr(self, f"_{act.replace(' ', '_')}")()

    def _n(self) -> int:
        return self.device.store["last_n"] or 0

    def _work(self) -> None:
        told = {
            "unit": str(self.random.choice([self.ground.unit, self.ground.other_unit])),
            "species": str(self.ground.species), "method": "pulling", "minutes": self.random.randrange(1, 200),
            "done_at": (self.device.now() - timedelta(hours=1)).isoformat(),
        }  # fmt: skip
        self.lines = [*self.lines[-50:], self.device.create("work_line", told)]

    def _correct(self) -> None:
        if id := self._known():
            said = self.random.choice([{"minutes": self.random.randrange(1, 200)}, {"note": str(self.random.random())}])
            self.device.amend(id, said, self.random.choice(WHYS))

    def _void_or_put_back(self) -> None:
        if id := self._known():
            self.device.act(id, self.random.choice(["void", "reinstate"]), self.random.choice(WHYS))

    def _lay_out(self) -> None:
        """Enter a place with its units: all of it, or nothing."""
        tx = self.device.new_id()
        place = self.device.create("property", {"name": tx}, tx=tx)
        for number in range(self.random.randrange(1, 4)):
            self.device.create("unit", {"name": f"{tx} {number}", "property": place}, tx=tx)

    def _contradict(self) -> None:
        """Enter a place with a unit that cannot be: none of the two comes to be."""
        tx = self.device.new_id()
        self.device.create("property", {"name": tx}, tx=tx)
        self.device.create("unit", {"name": tx, "property": self.device.new_id()}, tx=tx)

    def _known(self) -> str | None:
        """Return a line that its device knows of, in two of three cases the one that all begin with."""
        id = self.lines[0] if self.random.random() < 0.67 else self.random.choice(self.lines)
        try:
            self.device.sees(id)
        except KeyError:
            return None
        return id
