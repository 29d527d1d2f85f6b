"""A world of devices, a service, a clock and a network, in which everything follows from one number.

Two to four phones begin with the same two records and keep correcting them. In between the network loses, doubles,
delays and cuts; roles change; phones are set back to a backup, cloned, killed; the service is set back too. In the end
the network is calm, everybody syncs, and what must hold is looked for (``checks.py``).
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from random import Random

from tests.cast import Cast, Someone
from tests.client.transport import InProcess
from tests.simulation.acts import ACTS, Scene, decided
from tests.simulation.network import Network
from tests.simulation.phones import Phone, clone
from tests.simulation.server import Server

FEWEST_STEPS, MOST_STEPS = 40, 48
MOST_PHONES = 5
LONGEST_WAIT = timedelta(minutes=20)
"""Longer than a device ever waits by itself, and than the network asks it to."""
ROUNDS = 20
"""How often whoever is not up to date syncs before the world is called restless: it takes two to four."""
SKEWS = [timedelta(0)] * 6 + [
    timedelta(minutes=-4), timedelta(hours=-3), timedelta(hours=26), timedelta(days=-3650), timedelta(days=3650),
]  # fmt: skip
"""How wrong the clock of a phone may be."""


@dataclass
class World:
    """One run."""

    seed: int
    cast: Cast
    scene: Scene
    server: Server
    skews: list[timedelta] = field(default_factory=lambda: SKEWS)
    network: Network = field(init=False)
    phones: list[Phone] = field(default_factory=list)
    entered: dict[str, dict] = field(default_factory=dict)
    """Everything that anybody entered on a phone: id -> what was said."""
    destroyed: set[str] = field(default_factory=set)
    """Ids of what went down with a phone before it ever arrived: no protocol brings it back."""
    told: list[str] = field(default_factory=list)
    """What happened, for whoever replays the run."""
    leaks: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Hand out the phones, and let each sync once while the network is calm."""
        self.random = Random(self.seed)
        self.network = Network(InProcess(), self.random, is_calm=True)
        people = [self.cast.volunteer, self.cast.coordinator, self.cast.volunteer, self.cast.other_volunteer]
        for number in range(self.random.randrange(2, 5)):
            self.phones.append(self._phone(f"phone {number}", people[number]))
        for phone in self.phones:
            self._sync(phone)
            phone.back_up()

    def _phone(self, name: str, who: Someone) -> Phone:
        return Phone(
            name, who, self.network, self.random, lambda: self.server.now, lambda: self.server.register(who),
            page=self.random.choice([7, 40, 2000]), skew=self.random.choice(self.skews),
        )  # fmt: skip

    # -- the run -------------------------------------------------------------------------------------

    def run(self) -> "World":
        """Take every step, then let the world come to rest."""
        self.network.is_calm = False
        for phone in self.phones:
            for act in list(ACTS)[:2]:
                self._enter(phone, act)
        for _ in range(self.random.randrange(FEWEST_STEPS, MOST_STEPS)):
            self.server.passes(timedelta(seconds=self.random.randrange(1, 2000)))
            step = self.random.choices(list(STEPS), list(STEPS.values()))[0]
            step(self, self.random.choice(self.phones))
        self._come_to_rest()
        return self

    def _come_to_rest(self) -> None:
        """Let what is late arrive, and everybody sync until nobody has anything left to say."""
        self.network.is_calm = True
        while self.network.late:
            self.network.deliver_late()
        for _ in range(ROUNDS):
            restless = [phone for phone in self.phones if not self._rests(phone)]
            if not restless:
                return
            for phone in restless:
                self.server.passes(LONGEST_WAIT)
                is_whole = self._sync(phone)
                has_all = is_whole or phone.device.needs == "not_permitted"
                phone.rested_at = self.server.state() if has_all else None
        self.told.append("it does not come to rest")

    def _rests(self, phone: Phone) -> bool:
        """Tell whether a phone has nothing to say and asked for everything since anything last changed."""
        return not phone.device.store.outbox(1) and phone.rested_at == self.server.state()

    # -- steps ---------------------------------------------------------------------------------------

    def enter(self, phone: Phone) -> None:
        """Let somebody enter something."""
        self._enter(phone, self.random.choices(list(ACTS), list(ACTS.values()))[0])

    def _enter(self, phone: Phone, act: Callable[[Phone, Scene, Random], None]) -> None:
        act(phone, self.scene, self.random)
        self.entered |= phone.device.store.entered()
        self._tell(phone, act.__name__)

    def sync(self, phone: Phone) -> None:
        """Let a phone find a signal."""
        self._sync(phone)

    def _sync(self, phone: Phone) -> bool:
        device = phone.device
        if device.needs == "sign_in":
            device.signed_in(*phone.registers())
        device.push()
        is_whole = device.pull()
        if device.store.outbox(1):
            device.push()
            is_whole = device.pull()
        if is_whole:
            self.leaks += [f"{phone.name} has {id}" for id in self.server.hidden_among(phone)]
        self._tell(phone, f"sync, {device.needs or 'well'}, {len(device.store.outbox())} left")
        return is_whole

    def deliver_late(self, phone: Phone) -> None:
        """Let something arrive that nobody waits for any more."""
        self._tell(phone, f"one of {len(self.network.late)} late requests arrives")
        self.network.deliver_late()

    def let_time_pass(self, phone: Phone) -> None:
        """Let hours go by, or weeks; the clock of a phone is set, rightly or not."""
        self.server.passes(timedelta(hours=self.random.choice([1, 30, 24 * 8, 24 * 35])))
        phone.skew = self.random.choice(self.skews)
        self._tell(phone, f"its clock says {phone.clock()}")

    def change_role(self, phone: Phone) -> None:
        """Let the coordinator at the desk change what somebody may do."""
        who = self.random.choice([self.cast.volunteer, self.cast.other_volunteer])
        op, values = self.random.choice(ROLE_CHANGES)
        taken = self.server.does("member", op, id=who.member.id, **values)
        self._tell(phone, f"member {op} {values}: {taken}")

    def work_at_the_desk(self, phone: Phone) -> None:
        """Let the coordinator correct a record through REST."""
        id, type = self.random.choice([(self.scene.line, "application"), (self.scene.work_line, "work_line")])
        note = f"desk {self.random.randrange(100)}"
        taken = self.server.does(type, "amend", id=id, note=note, reason="read the sheet again")
        self._tell(phone, f"the desk amends {type}: {taken}")

    def settle_at_the_desk(self, phone: Phone) -> None:
        """Let the coordinator at the desk settle something that waits."""
        if waiting := self.server.waiting():
            item = self.random.choice(waiting)
            op, sides = decided(item.fields, self.random)
            taken = self.server.does("to_settle", op, id=item.id, reason="asked on the phone", **sides)
            self._tell(phone, f"the desk settles {item.type} {item.op} ({item.code}): {op}, {taken}")

    def revoke_phone(self, phone: Phone) -> None:
        """Let somebody revoke a phone that they believe lost: what it still has is held, then it signs in anew."""
        known = self.server.revoke(phone.device.store["device"])
        self._tell(phone, f"revoked, {known}")

    def back_up_phone(self, phone: Phone) -> None:
        """Make a backup of a phone."""
        phone.back_up()
        self._tell(phone, "backed up")

    def restore_phone(self, phone: Phone) -> None:
        """Set a phone back to its backup: what was entered since and never sent is gone."""
        gone = phone.restore() - self._on_phones()
        self.destroyed |= gone
        self._forget_destroyed()
        self._tell(phone, f"restored, {len(gone)} entries gone from it")

    def clone_phone(self, phone: Phone) -> None:
        """Set up a second phone from what stands on the first: both go on."""
        if len(self.phones) < MOST_PHONES:
            self.phones.append(clone(phone, f"{phone.name} again"))
            self._tell(phone, "cloned")

    def kill_phone(self, phone: Phone) -> None:
        """Let the app die and begin again."""
        phone.dies()
        self._tell(phone, "killed")

    def back_up_server(self, phone: Phone) -> None:
        """Make a backup of the service."""
        self.server.back_up()
        self._tell(phone, "the service is backed up")

    def restore_server(self, phone: Phone) -> None:
        """Set the service back to its backup."""
        restored = self.server.restore()
        self._forget_destroyed()
        self._tell(phone, f"the service is restored: {restored}")

    # -- what there is -------------------------------------------------------------------------------

    def _on_phones(self) -> set[str]:
        return {mid for phone in self.phones for mid in phone.device.store.entered()}

    def _forget_destroyed(self) -> None:
        """Ask no more for what stands on no phone and, now, not in the service either."""
        for mid in self.destroyed - self.server.ledger().keys():
            self.entered.pop(mid, None)

    def _tell(self, phone: Phone, what: str) -> None:
        self.told.append(f"{self.server.now:%d %b %H:%M} {phone.name} ({phone.who.member.display_name}): {what}")


Step = Callable[[World, Phone], None]
STEPS: dict[Step, int] = {
    World.enter: 16, World.sync: 13, World.deliver_late: 4, World.let_time_pass: 2, World.change_role: 4,
    World.work_at_the_desk: 3, World.settle_at_the_desk: 1, World.back_up_phone: 2, World.restore_phone: 1,
    World.clone_phone: 1, World.kill_phone: 1, World.revoke_phone: 1, World.back_up_server: 2, World.restore_server: 1,
}  # fmt: skip
"""What may happen next, and how likely each is."""
ROLE_CHANGES = [
    *[("amend", {"role": role}) for role in ("coordinator", "coordinator", "volunteer", "volunteer", "reviewer")],
    ("suspend", {"reason": "asks too much"}), ("restore", {}), ("restore", {}), ("end", {}), ("reinstate", {}),
    ("reinstate", {}),
]  # fmt: skip
