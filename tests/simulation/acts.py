"""What people in a simulated world enter on their phones: work, corrections, second thoughts, nonsense."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from random import Random
from uuid import UUID

from tests.ground import Ground, fl_oz
from tests.simulation.phones import Phone


@dataclass(frozen=True)
class Scene:
    """What stands ready: land, one batch, and the two records on which everybody starts."""

    ground: Ground
    batch: UUID
    line: UUID
    work_line: UUID


Act = Callable[[Phone, Scene, Random], None]
WHYS = ("misread", "counted twice", "wrong side of the creek")


def correct_the_line(phone: Phone, scene: Scene, random: Random) -> None:
    """Correct the line that everybody starts on."""
    wished = {"mix": fl_oz(str(random.randrange(1, 9))), "stems": random.randrange(1, 9), "note": _words(random)}
    _correct(phone, str(scene.line), wished, random)


def correct_the_work_line(phone: Phone, scene: Scene, random: Random) -> None:
    """Correct the work by hand that everybody starts on."""
    wished = {"minutes": random.randrange(1, 9) * 10, "stems": random.randrange(1, 9), "note": _words(random)}
    _correct(phone, str(scene.work_line), wished, random)


def correct_any(phone: Phone, scene: Scene, random: Random) -> None:
    """Correct the note of some record of work that is in the copy."""
    known = _known(phone, "application", "work_line", "session")
    if known:
        _correct(phone, random.choice(known), {"note": _words(random)}, random)


def void_or_reinstate(phone: Phone, scene: Scene, random: Random) -> None:
    """Void some line, or put it back; half of the time one of the two that everybody starts on."""
    known = _known(phone, "application", "work_line")
    both = [id for id in (str(scene.line), str(scene.work_line)) if id in known]
    if known:
        id = random.choice(both if both and random.random() < 0.5 else known)
        phone.device.act(id, random.choice(["void", "void", "reinstate"]), random.choice(WHYS))


def work_by_hand(phone: Phone, scene: Scene, random: Random) -> None:
    """Pull something out of the ground."""
    told = {
        "unit": str(random.choice([scene.ground.unit, scene.ground.other_unit])),
        "species": str(scene.ground.species), "method": "pulling", "done_at": _hour(random),
        "minutes": random.randrange(1, 200),
    }  # fmt: skip
    phone.device.create("work_line", told)


def treat(phone: Phone, scene: Scene, random: Random) -> None:
    """Treat with some of the batch: a session and its lines, which stand and fall together."""
    device, unit = phone.device, str(random.choice([scene.ground.unit, scene.ground.other_unit]))
    batch = random.choice([str(scene.batch), *_known(phone, "batch")])
    tx = device.new_id()
    begun = {"unit": unit, "applicator": str(phone.who.member.id), "started_at": _hour(random)}
    session = device.create("session", begun, tx=tx)
    for _ in range(random.randrange(1, 3)):
        told = {
            "session": session, "batch": batch, "species": str(scene.ground.species),
            "method": "basal_bark", "mix": fl_oz(str(random.randrange(1, 12))), "how_known": "estimated",
        }  # fmt: skip
        device.create("application", told, tx=tx)


def treat_and_correct(phone: Phone, scene: Scene, random: Random) -> None:
    """Treat, and correct the last line before it was ever sent."""
    treat(phone, scene, random)
    id = phone.device.store.outbox()[-1].said["set"]["id"]
    _correct(phone, id, {"stems": random.randrange(1, 50)}, random)


def mix_a_batch(phone: Phone, scene: Scene, random: Random) -> None:
    """Mix ester into oil: others may use it once they know of it."""
    told = {
        "mixed_at": _hour(random), "mixed_by": str(phone.who.member.id), "mix": fl_oz("32"), "how_known": "measured",
        "carrier": "oil", "parts": [{"product": str(scene.ground.product), "volume": fl_oz("6.4")}],
    }  # fmt: skip
    phone.device.create("batch", told)


def measure_what_is_left(phone: Phone, scene: Scene, random: Random) -> None:
    """Measure what is left of some batch: the difference to the book follows for everybody."""
    told = {
        "batch": random.choice([str(scene.batch), *_known(phone, "batch")]), "measured_at": _hour(random),
        "volume": fl_oz(str(random.randrange(1, 30))), "how_known": "measured", "container": "bottle 3",
    }  # fmt: skip
    phone.device.create("leftover", told)


def say_something_private(phone: Phone, scene: Scene, random: Random) -> None:
    """Name somebody to call: for oneself and the coordinators to read."""
    number = "+1 312 555 01" + str(random.randrange(10, 100))
    known = [id for id in _known(phone, "emergency_contact") if phone.device.sees(id).type == "emergency_contact"]
    if known and random.random() < 0.5:
        _correct(phone, random.choice(known), {"phone": number}, random)
    else:
        phone.device.create("emergency_contact", {"name": _words(random), "phone": number})


def name_a_place(phone: Phone, scene: Scene, random: Random) -> None:
    """Change the name of the property: a coordinator's to do, and tried by others."""
    id = str(scene.ground.property)
    if id in _known(phone, "property"):
        _correct(phone, id, {"name": _words(random)}, random)


def settle(phone: Phone, scene: Scene, random: Random) -> None:
    """Settle something that waits: a coordinator's to do, and tried by its author."""
    device = phone.device
    waiting = [id for id in _known(phone, "to_settle") if device.sees(id).says["state"] == "waiting"]
    if not waiting:
        return
    id = random.choice(waiting)
    disputed = device.sees(id).says["fields"]
    op, sides = decided(disputed, random)
    device.act(id, op, random.choice(WHYS), sides)


def decided(disputed: Iterable[str] | None, random: Random) -> tuple[str, dict[str, dict[str, str]]]:
    """Return what is done with something that waits: where two people changed the same, whose value stands."""
    op = random.choice(["settle", "release", "void"] if disputed else ["release", "void"])
    sides = {"fields": {name: random.choice(["theirs", "ours"]) for name in disputed or ()}} if op == "settle" else {}
    return op, sides


def say_nonsense(phone: Phone, scene: Scene, random: Random) -> None:
    """Enter what cannot be: a record that nobody has, fields that there are not, an act that nobody does."""
    device = phone.device
    random.choice([
        lambda: device.enter("application", "void", {}, id=device.new_id(), reason="no such line"),
        lambda: device.enter("work_line", "create", {"id": device.new_id(), "depth": 7}),
        lambda: device.enter("batch", "drink", {}, id=str(scene.batch)),
    ])()  # fmt: skip


def say_what_nobody_can_read(phone: Phone, scene: Scene, random: Random) -> None:
    """Enter something with a time that is none: the service cannot read it, and it is rescued as text."""
    phone.device.enter("work_line", "create", {"note": _words(random)}, at="at noon")


def _correct(phone: Phone, id: str, wished: dict[str, object], random: Random) -> None:
    """Correct some of these fields, if the record is to be seen."""
    names = random.sample(sorted(wished), random.randrange(1, len(wished) + 1))
    try:
        phone.device.amend(id, {name: wished[name] for name in names}, random.choice(WHYS))
    except KeyError:
        return


def _known(phone: Phone, *types: str) -> list[str]:
    """Return the records of these types in the copy, in the order in which they came there."""
    return [id for id, (type, _, _) in phone.device.store.records().items() if type in types]


def _words(random: Random) -> str:
    return " ".join(random.sample(["ash", "elm", "fen", "gap", "hill", "ivy", "oak", "reed"], 3))


def _hour(random: Random) -> str:
    return f"2027-05-01T{random.randrange(9, 16):02}:{random.randrange(60):02}:00-05:00"


ACTS: dict[Act, int] = {
    correct_the_line: 5, correct_the_work_line: 5, correct_any: 3, void_or_reinstate: 3, work_by_hand: 3, treat: 4,
    treat_and_correct: 2, say_something_private: 2, name_a_place: 2, settle: 2, say_nonsense: 1,
    mix_a_batch: 1, measure_what_is_left: 1, say_what_nobody_can_read: 1,
}  # fmt: skip
"""What is entered, and how likely each is."""
