"""Many write at once, on real connections: nothing lost, no number twice, no error that reaches the caller."""

import random
from collections import Counter
from time import monotonic
from uuid import UUID

import pytest
from django.db import connection

from stewardship.accounts.models import Device, Member
from stewardship.errors import IdTaken
from stewardship.journal import book
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property, Unit
from stewardship.sync.models import Mutation, Outbox
from tests.cast import Someone, sent, with_device
from tests.concurrency import in_processes, in_threads
from tests.ground import fl_oz, lay_out
from tests.stewardship.sync.test_pull import page

pytestmark = pytest.mark.django_db(transaction=True)
A_PUSH = 40


def push_units(member, device, seed, fens, each):
    """Push many mutations from one device, in several pushes: a task for ``in_processes``."""
    rng = random.Random(seed)
    who = Someone(
        Member.objects.get(id=member).person, Member.objects.get(id=member), Device.objects.get(id=device), ""
    )
    told = []
    for start in range(0, each, A_PUSH):
        mutations = []
        for i in range(start, start + A_PUSH, 2):
            mutations.append(sent("unit", "create", {"name": f"{seed} {i}", "property": rng.choice(fens)}))
            mutations.append(sent("property", "amend", {"note": f"{seed} {i}"}, id=rng.choice(fens)))
        told += who.pushes(*mutations).results
    return [[result["outcome"], result["id"], result["rev"], result["seq"]] for result in told]


def test_eight_processes_push_240_mutations_each_and_nothing_is_lost(coordinator):
    writers, each = 8, 240
    fens = [str(coordinator.does("property", "create", name=str(i)).record.id) for i in range(4)]
    devices = [with_device(coordinator.member, f"phone {i}").device for i in range(writers)]
    before = Book.objects.get(group_id=coordinator.group_id).head

    told = in_processes(
        "tests.stewardship.sync.test_at_once:push_units",
        [
            {"member": str(coordinator.member.id), "device": str(device.id), "seed": seed, "fens": fens, "each": each}
            for seed, device in enumerate(devices)
        ],
    )

    results = [result for results in told for result in results]
    assert Counter(result[0] for result in results) == {"applied": writers * each}
    numbers = sorted(result[3] for result in results)
    assert numbers == list(range(before + 1, before + writers * each + 1))
    assert len({(result[1], result[2]) for result in results}) == writers * each
    assert Unit.objects.count() == writers * each // 2
    assert sum(Property.objects.values_list("rev", flat=True)) == 4 + writers * each // 2
    assert set(Outbox.objects.values_list("last_n", flat=True)) == {each}
    assert Mutation.objects.filter(device_id__in=[device.id for device in devices]).count() == writers * each


def test_of_many_that_create_one_id_with_other_words_one_wins(coordinator):
    for _ in range(5):
        id = str(new_id())

        told = in_threads(
            [lambda i=i, id=id: coordinator.does("property", "create", id=id, name=f"try {i}") for i in range(4)]
        )

        refused = [each for each in told if isinstance(each, IdTaken)]
        (won,) = [each for each in told if each not in refused]
        assert len(refused) == 3
        assert Property.objects.get(id=id).name == won.record.name


def test_of_many_that_create_one_record_with_the_same_words_all_are_content(coordinator):
    words = {"id": str(new_id()), "name": "Fen Edge"}

    told = in_threads([lambda: coordinator.does_sent(sent("property", "create", words)) for _ in range(4)])

    assert Counter(done.result["outcome"] for done in told) == {"applied": 1, "noop": 3}
    assert Revision.objects.filter(record_id=UUID(words["id"])).count() == 1


def test_of_two_groups_that_create_one_id_one_wins(coordinator, stranger):
    id = str(new_id())

    told = in_threads([
        lambda: coordinator.does("property", "create", id=id, name="Fen Edge"),
        lambda: stranger.does("property", "create", id=id, name="Fen Edge"),
    ])  # fmt: skip

    assert sum(isinstance(each, IdTaken) for each in told) == 1
    assert Property.objects.count() == 1


def test_the_same_push_at_once_from_one_device_is_taken_once(coordinator):
    mutations = [sent("property", "create", {"name": str(i)}, n=i + 1) for i in range(20)]

    told = in_threads([lambda: coordinator.pushes(*mutations) for _ in range(4)])

    assert Property.objects.count() == 20
    answers = {tuple((r["id"], r["seq"]) for r in taken.results) for taken in told}
    assert len(answers) == 1
    assert sum("replayed" not in taken.results[0] for taken in told) == 1


@pytest.mark.parametrize("seconds", [5, pytest.param(60, marks=pytest.mark.heavy)])
def test_no_deadlock_reaches_whoever_pushes_shuffled_ids(coordinator, seconds):
    """Invariant I23."""
    fens = [coordinator.does("property", "create", name=str(i)).record.id for i in range(6)]
    units = [coordinator.does("unit", "create", name=str(i), property=fens[0]).record.id for i in range(6)]
    until = monotonic() + seconds

    def keep_pushing(seed):
        rng, who, count = random.Random(seed), with_device(coordinator.member, f"phone {seed}"), 0
        while not count or monotonic() < until:
            acts = [("property", id) for id in rng.sample(fens, 4)] + [("unit", id) for id in rng.sample(units, 4)]
            rng.shuffle(acts)
            acts.append(("member", coordinator.member.id))
            values = {"member": "display_name", "property": "name", "unit": "name"}
            push = [sent(type, "amend", {values[type]: f"{seed} {count}"}, id=id) for type, id in acts]
            taken = who.pushes(*push)
            assert {result["outcome"] for result in taken.results} <= {"applied", "noop"}
            count += 1
        return count

    told = in_threads([lambda seed=seed: keep_pushing(seed) for seed in range(8)])

    assert [each for each in told if not isinstance(each, int)] == []
    assert all(count > 0 for count in told)


def test_a_session_is_never_seen_without_its_lines(coordinator):
    """Invariant I15: whoever has pulled to the end has, of every session, all the lines pushed with it."""
    ground = lay_out(coordinator)
    batches = [str(ground.batch()) for _ in range(3)]
    until, lines_each = monotonic() + 1.2, 3

    def day_of(rng, unit):
        session = str(new_id())
        begun = {"unit": str(unit), "applicator": str(coordinator.member.id), "id": session}
        yield sent("session", "create", begun | {"started_at": "2027-05-01T09:30:00-05:00"}, tx=session)
        told = {"session": session, "species": str(ground.species), "method": "basal_bark", "mix": fl_oz("0.1")}
        for _ in range(lines_each):
            line = told | {"batch": rng.choice(batches), "how_known": "read_off_container"}
            yield sent("application", "create", line, tx=session)

    def writing(seed, unit):
        rng, who, count = random.Random(seed), with_device(coordinator.member, f"phone {seed}"), 0
        while not count or monotonic() < until:
            assert {result["outcome"] for result in who.pushes(*day_of(rng, unit)).results} == {"applied"}
            count += 1
        return count

    def pulling(limit):
        seen, cursor, ends = {}, None, 0
        while monotonic() < until + 0.5:
            puts, end = page(coordinator, cursor, limit)
            seen |= {put["id"]: put for put in puts}
            cursor = end["cursor"]
            if not end["more"]:
                ends += 1
                assert _lines_by_session(seen) <= {lines_each}
        return ends

    counts = in_threads([
        lambda: writing(1, ground.unit), lambda: writing(2, ground.other_unit),
        lambda: pulling(2), lambda: pulling(2000),
    ])  # fmt: skip

    assert all(isinstance(count, int) and count > 0 for count in counts), counts


def _lines_by_session(seen):
    """Return how many lines there are of each session that was seen: every number that occurs."""
    lines = Counter(put["d"]["session"] for put in seen.values() if put["t"] == "application")
    return {lines[id] for id, put in seen.items() if put["t"] == "session"}


def test_of_two_coordinators_who_leave_at_once_one_stays(coordinator, volunteer):
    for _ in range(5):
        _both_coordinate(coordinator, volunteer)

        told = in_threads([
            lambda: coordinator.does("member", "end", id=coordinator.member.id),
            lambda: volunteer.does("member", "amend", id=volunteer.member.id, role="volunteer"),
        ])  # fmt: skip

        left = Member.objects.filter(group_id=coordinator.group_id, role="coordinator", ended_at=None)
        assert left.count() == 1
        assert sorted(getattr(each, "code", "done") for each in told) == ["done", "last_coordinator"]


def _both_coordinate(*people):
    for someone in people:
        someone.read_again()
    able = next(someone for someone in people if someone.actor.may("manage_members"))
    for someone in people:
        able.does("member", "amend", id=someone.member.id, role="coordinator")
        able.does("member", "reinstate", id=someone.member.id)
        someone.read_again()


@pytest.mark.needs_postgresql
def test_an_error_of_the_engine_is_tried_three_times_and_then_told(coordinator, monkeypatch):
    from django.db import OperationalError

    tried = []

    def broken(self):
        tried.append(1)
        with connection.cursor() as cursor:
            cursor.execute("DO $$ BEGIN RAISE EXCEPTION 'deadlock' USING ERRCODE = '40P01'; END $$")

    monkeypatch.setattr(book.Entry, "write", broken)

    with pytest.raises(OperationalError):
        coordinator.pushes(sent("property", "create", {"name": "x"}))

    assert len(tried) == 3
