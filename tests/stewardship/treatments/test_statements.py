"""A push costs the same statements whatever it brings of treatments, and however much."""

import pytest

from stewardship.journal.ids import new_id
from tests.cast import sent
from tests.ground import fl_oz
from tests.stewardship.treatments.bottles import BACK, OUT, line
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)


class Story:
    """What a device has to tell: as many of each kind as are asked for, on the same ground."""

    def __init__(self, ground):
        self.ground, self.parts = ground, tank_mix(ground)["parts"]
        self.me = str(ground.coordinator.member.id)
        self.batch = ground.batch(mix={"value": "640", "unit": "gal"}, parts=self.parts)
        self.session_id = ground.session()

    def batches(self, count):
        told = {"mixed_at": "2027-05-01T09:00:00-05:00", "mixed_by": self.me, "mix": fl_oz("64"), "carrier": "oil"}
        told |= {"how_known": "measured", "parts": self.parts}
        return [sent("batch", "create", told | {"id": str(new_id())}) for _ in range(count)]

    def sessions(self, count):
        told = {"applicator": self.me, "started_at": "2027-05-01T09:30:00-05:00"}
        units = [self.ground.unit, self.ground.other_unit]
        return [
            sent("session", "create", told | {"id": str(new_id()), "unit": str(units[i % 2])}) for i in range(count)
        ]

    def lines(self, count, sessions=(), batches=()):
        told = {"species": str(self.ground.species), "method": "cut_stump", "mix": fl_oz("1"), "how_known": "measured"}
        sessions = [each.set["id"] for each in sessions] or [str(self.session_id)]
        batches = [each.set["id"] for each in batches] or [str(self.batch)]
        return [
            sent(
                "application",
                "create",
                told
                | {"session": sessions[i % len(sessions)], "batch": batches[i % len(batches)], "id": str(new_id())},
            )
            for i in range(count)
        ]

    def bottles(self, count):
        """Return bottles that are taken out, brought back and split, each over two lines."""
        out = {"number": "3", "batch": str(self.batch), "filled": fl_oz("16"), "holder": self.me, "out_at": OUT}
        ids = [str(new_id()) for _ in range(count)]
        told = {"session": str(self.session_id), "lines": [line(self.ground, stems=n) for n in (1, 2)]}
        return [
            *(sent("container", "create", out | {"id": id}) for id in ids),
            *self.back(ids),
            *(sent("container", "share", told, id=id) for id in ids),
        ]

    def back(self, ids):
        return [sent("container", "bring_back", {"back": {"tap": "1/2"}, "back_at": BACK}, id=id) for id in ids]

    def by_hand(self, count):
        told = {"unit": str(self.ground.unit), "species": str(self.ground.species), "method": "pulling"}
        told |= {"done_at": "2027-05-01T10:00:00-05:00", "stems": 5}
        return [sent("work_line", "create", told | {"id": str(new_id())}) for _ in range(count)]

    def mixed(self, count):
        """Return a day's work: what was mixed, sessions with lines, bottles, work by hand, corrections."""
        batches, sessions = self.batches(count), self.sessions(count)
        lines = self.lines(count, sessions, batches)
        corrections = [
            sent("application", "amend", {"stems": 7}, id=line.set["id"], reason="counted") for line in lines
        ]
        return [*batches, *sessions, *lines, *self.bottles(count), *self.by_hand(count), *corrections]


@pytest.mark.parametrize("kind", ["batches", "sessions", "lines", "by_hand"])
def test_1_10_and_500_of_a_kind_cost_the_same(ground, statements, kind):
    tell = getattr(Story(ground), kind)

    counts = {count: statements(tell(count)) for count in (1, 10, 500)}

    assert len(set(counts.values())) == 1, counts
    assert counts[500] <= 35


def test_1_10_and_100_of_every_kind_cost_the_same(ground, statements):
    story = Story(ground)

    counts = {count: statements(story.mixed(count)) for count in (1, 10, 100)}

    assert len(set(counts.values())) == 1, counts


@pytest.mark.parametrize(
    ("op", "values"),
    [
        ("bring_back", {"back": {"tap": "1/2"}, "back_at": BACK}),
        ("amend", {"filled": fl_oz("12")}),
        ("void", {}),
    ],
    ids=str,
)
def test_1_10_and_100_acts_on_bottles_that_are_out_cost_the_same(ground, statements, op, values):
    story = Story(ground)
    made = {count: [m for m in story.bottles(count) if m.op == "create"] for count in (1, 10, 100)}
    for bottles in made.values():
        statements(bottles)

    counts = {
        count: statements([sent("container", op, values, id=m.set["id"], reason="misread") for m in bottles])
        for count, bottles in made.items()
    }

    assert len(set(counts.values())) == 1, counts
    assert counts[100] <= 20


def test_1_10_and_100_bottles_split_cost_the_same(ground, statements):
    story = Story(ground)
    made = {count: story.bottles(count) for count in (1, 10, 100)}
    for mutations in made.values():
        statements([m for m in mutations if m.op != "share"])

    counts = {count: statements([m for m in mutations if m.op == "share"]) for count, mutations in made.items()}

    assert len(set(counts.values())) == 1, counts


@pytest.mark.parametrize("op", ["amend", "void"])
def test_1_10_and_500_corrections_cost_the_same(ground, statements, op):
    story, values = Story(ground), {"mix": fl_oz("2")} if op == "amend" else {}
    made = {count: story.lines(count) for count in (1, 10, 500)}
    for lines in made.values():
        statements(lines)

    counts = {
        count: statements([sent("application", op, values, id=line.set["id"], reason="misread") for line in lines])
        for count, lines in made.items()
    }

    assert len(set(counts.values())) == 1, counts


def test_1_10_and_100_sessions_moved_with_all_their_people_cost_the_same(ground, statements, cast):
    made, beside = {}, [cast.volunteer, cast.other_volunteer, cast.reviewer]
    parties = [str(ground.coordinator.does("contractor", "create", name=name).record.id) for name in ("A", "B")]
    for count in (1, 10, 100):
        made[count] = Story(ground).sessions(count)
        for i, mutation in enumerate(made[count]):
            mutation.set["supervisor"] = str(beside[i % 3].member.id)
            if i % 3:
                mutation.set.update(applicator=None, contractor=parties[i % 2])
        statements(made[count])
    moved = {"started_at": "2027-05-02T09:30:00-05:00"}

    counts = {
        count: statements([sent("session", "amend", moved, id=each.set["id"], reason="a day on") for each in sessions])
        for count, sessions in made.items()
    }

    assert counts[10] == counts[100] >= counts[1] >= counts[10] - 1, counts  # the first alone names no contractor


def test_1_10_and_100_signatures_and_locks_cost_the_same(ground, statements):
    made = {count: Story(ground).sessions(count) for count in (1, 10, 100)}
    ended = {"ended_at": "2027-05-01T10:00:00-05:00"}
    for sessions in made.values():
        statements([*sessions, *(sent("session", "end", ended, id=each.set["id"]) for each in sessions)])

    for op, reason in (("attest", ""), ("lock", "no supervisor"), ("unlock", "one more stem")):
        counts = {
            count: statements([sent("session", op, {}, id=each.set["id"], reason=reason) for each in sessions])
            for count, sessions in made.items()
        }

        assert len(set(counts.values())) == 1, (op, counts)
        assert counts[100] <= 20


def test_1_10_and_100_sessions_moved_with_their_lines_cost_the_same(ground, statements):
    story = Story(ground)
    made = {count: story.sessions(count) for count in (1, 10, 100)}
    for count, sessions in made.items():
        statements([*sessions, *story.lines(3 * count, sessions)])
    moved = {"started_at": "2027-05-02T09:30:00-05:00"}

    counts = {
        count: statements([sent("session", "amend", moved, id=each.set["id"], reason="a day on") for each in sessions])
        for count, sessions in made.items()
    }

    assert len(set(counts.values())) == 1, counts
