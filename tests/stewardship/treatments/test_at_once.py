"""Eight processes draw on the same batches at once: what these hold is used up exactly, the rest is held."""

import random
from collections import Counter
from contextlib import suppress

import pytest
from django.db.models import Count, Sum

from stewardship.accounts.models import Device, Member
from stewardship.journal.models import Book, Revision
from stewardship.sync.models import Mutation, Outbox
from stewardship.treatments.models import ActiveUse, Application, Batch, Container, ProductUse
from stewardship.treatments.services.containers import ContainerShared
from tests.cast import Someone, sent, with_device
from tests.concurrency import in_processes, in_threads
from tests.ground import fl_oz
from tests.stewardship.treatments.bottles import line, shared, used

pytestmark = pytest.mark.django_db(transaction=True)
PROCESSES, EACH, A_PUSH, BATCHES = 8, 240, 40, 12
HELD_BY_A_BATCH = PROCESSES * EACH // BATCHES // 2
"""Lines of an ounce that a batch has room for: half of those that are wanted of it."""


def draw(member, device, seed, session, batches, species):
    """Push ounces out of the batches, all of them equally often and in an order of one's own; return the results."""
    who = Someone(
        Member.objects.get(id=member).person, Member.objects.get(id=member), Device.objects.get(id=device), ""
    )
    wanted = batches * (EACH // len(batches))
    random.Random(seed).shuffle(wanted)
    told = {"session": session, "species": species, "method": "cut_stump", "mix": fl_oz("1"), "how_known": "measured"}
    lines = [sent("application", "create", told | {"batch": batch}) for batch in wanted]
    results = [r for i in range(0, EACH, A_PUSH) for r in who.pushes(*lines[i : i + A_PUSH]).results]
    return [[result["outcome"], result.get("code"), result.get("seq")] for result in results]


def test_eight_processes_use_up_what_the_batches_hold_and_not_a_nanolitre_more(ground, cast):
    mix = {"mix": fl_oz(str(HELD_BY_A_BATCH)), "parts": [{"product": str(ground.product), "volume": fl_oz("16.1")}]}
    batches = [str(ground.batch(**mix)) for _ in range(BATCHES)]
    people = [cast.coordinator, cast.volunteer, cast.other_volunteer]
    crew = [with_device(people[i % 3].member, f"phone {i}") for i in range(PROCESSES)]
    sessions = [str(ground.session(someone)) for someone in crew]
    plants = [
        str(cast.coordinator.does("species", "create", scientific_name=f"Rhamnus number {i}").record.id)
        for i in range(PROCESSES)
    ]  # each device works on a species of its own, so that none of its lines may be another's
    before, wanted = Book.objects.get(group_id=cast.group.id), PROCESSES * EACH

    told = in_processes(
        "tests.stewardship.treatments.test_at_once:draw",
        [
            {
                "member": str(someone.member.id), "device": str(someone.device.id), "seed": seed, "session": session,
                "batches": batches, "species": plants[seed],
            }
            for seed, (someone, session) in enumerate(zip(crew, sessions, strict=True))
        ],
    )  # fmt: skip

    results = [result for each in told for result in each]
    half = wanted // 2
    assert Counter((outcome, code) for outcome, code, _ in results) == {
        ("applied", None): half,
        ("held", "batch_overdrawn"): half,
    }
    numbers = {seq for *_, seq in results if seq}
    kept = set(Revision.objects.filter(kind="to_settle", group_id=cast.group.id).values_list("seq", flat=True))
    assert numbers | kept == set(range(before.head + 1, before.head + wanted + 1))
    book = Book.objects.get(group_id=cast.group.id)
    assert (len(numbers), book.head, book.held) == (half, before.head + wanted, half)
    check_batches()
    check_nothing_is_lost(crew, before.head, wanted)


def check_batches():
    """Every batch is empty to the nanolitre, its product used up to the nanolitre."""
    for batch in Batch.objects.all():
        assert (batch.left_nl, batch.lines) == (0, HELD_BY_A_BATCH)
        assert batch.used_parts == [part["nl"] for part in batch.parts]
    sums = Application.objects.values("batch").annotate(lines=Count("id"), mix_nl=Sum("mix_nl"))
    assert {(row["lines"], row["mix_nl"]) for row in sums} == {(HELD_BY_A_BATCH, Batch.objects.first().mix_nl)}
    products = ProductUse.objects.values("application__batch").annotate(nl=Sum("product_nl"))
    assert {row["nl"] for row in products} == {Batch.objects.first().parts[0]["nl"]}
    assert ActiveUse.objects.count() == ProductUse.objects.count() == Application.objects.count()


def check_nothing_is_lost(crew, head, wanted):
    """Every mutation is in the ledger, what was held with all its words; every line has its one revision."""
    ledger = Mutation.objects.filter(device_id__in=[someone.device.id for someone in crew])
    assert ledger.count() == wanted
    assert ledger.filter(outcome="held", payload__isnull=False).count() == wanted // 2
    outboxes = Outbox.objects.filter(device_id__in=[someone.device.id for someone in crew])
    assert list(outboxes.values_list("last_n", flat=True)) == [EACH] * PROCESSES
    assert Revision.objects.filter(kind="application", rev=1, seq__gt=head).count() == Application.objects.count()


def test_a_session_and_its_lines_are_corrected_at_once_and_agree(ground, coordinator):
    """The session's correction takes its lines along; a line's own correction is not lost by it."""
    session, batch = ground.session(), ground.batch()
    lines = [ground.line(session, batch, "1").id for _ in range(3)]

    def moves(times=12):
        for i in range(times):
            day = f"2027-05-{2 + i:02}T09:00:00-05:00"
            coordinator.does("session", "amend", id=session, reason="wrong day", started_at=day)

    def counts(times=12):
        for i in range(times):
            for id in lines:
                coordinator.does("application", "amend", id=id, reason="counted", stems=i + 1)

    told = in_threads([moves, counts])

    assert told == [None, None]
    found = Application.objects.values_list("on_date", "stems", "rev")
    assert {(on.isoformat(), stems) for on, stems, _ in found} == {("2027-05-13", 12)}
    assert sorted(rev for *_, rev in found) == [25, 25, 25]


def test_a_bottle_is_split_once_however_many_split_it_and_void_its_lines_at_once(ground, coordinator):
    """Lines lock batch and bottle in one order, whichever of them an act names."""
    batch, session = ground.batch(), ground.session()
    bottles = [used(ground, batch, back="15") for _ in range(6)]

    def splits():
        split = 0
        for bottle in bottles:
            with suppress(ContainerShared):
                shared(ground, bottle, session, line(ground, stems=2), line(ground, stems=1))
                split += 1
        return split

    def voids():
        for id in Application.objects.values_list("id", flat=True):
            coordinator.does("application", "void", id=id, reason="other stems")

    told = in_threads([splits, voids, splits, voids, splits])
    splits()

    assert [each for each in told if isinstance(each, Exception)] == []
    for bottle in Container.objects.all():
        lines = Application.objects.filter(container=bottle, voided_at=None)
        assert sum(lines.values_list("mix_nl", flat=True)) == bottle.in_lines_nl == bottle.used_nl
    assert Batch.objects.get().in_containers_nl == 0
