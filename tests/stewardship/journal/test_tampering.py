"""Invariant I10: the book proves that nobody changed it. Random damage by raw SQL is found, all of it."""

import pytest

from stewardship.journal.models import Book, Revision
from stewardship.journal.verifying import Verification
from stewardship.sync.held import uncounted
from tests.cast import sent
from tests.ground import lay_out
from tests.stewardship.journal.damage import Vandal, forgets_the_newest, rewrites, undone

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tampering")]
EACH = 50
"""How many damages one test does to one book."""

SEEDS = [*range(6), *(pytest.param(seed, marks=pytest.mark.heavy) for seed in range(6, 200))]
"""300 damages in the normal suite, 10,000 with the heavy ones."""


@pytest.fixture
def story(cast):
    """Give a book with land, products, a batch, lines, corrections, a voided record, personal ones, a held entry."""
    ground = lay_out(cast.coordinator)
    batch, session = ground.batch(), ground.session()
    line = ground.line(session, batch, "5").id
    does = cast.coordinator.does
    does("application", "amend", id=line, note="north of the ditch", reason="left out")
    does("application", "void", id=ground.line(session, batch, "3").id, reason="entered twice")
    does("property", "amend", id=ground.property, note="wet in spring")
    cast.volunteer.does("personal_details", "create", phone="555 0100")
    cast.volunteer.does("emergency_contact", "create", name="Odile Fenn", phone="555 0102")
    cast.volunteer.pushes(sent("property", "create", {"name": "Not hers to enter"}))
    does("member", "erase", id=cast.former.member.id, reason="asked for")
    does("property", "create", name="Entered last")
    return cast.coordinator.group_id


def found(group_id, heads=None):
    """Return everything that verifying finds."""
    return [*Verification(group_id, heads).findings(), *uncounted(group_id)]


@pytest.mark.parametrize("seed", SEEDS)
def test_random_damage_by_raw_sql_is_found_and_nothing_else_is(story, seed):
    assert found(story) == []
    missed = []
    for number in range(EACH):
        vandal = Vandal(story, seed * EACH + number)
        with undone():
            told = vandal.damages()
            if not found(story):
                missed.append(f"seed {vandal.seed}: {told}")

    assert missed == []
    assert found(story) == []


@pytest.mark.parametrize("rewrite", [rewrites, forgets_the_newest])
def test_a_whole_rewrite_contradicts_nothing_but_a_remembered_head(story, rewrite):
    head, head_hash = Book.objects.values_list("head", "head_hash").get(group_id=story)
    done = 0
    for seed in range(40):
        with undone():
            if told := rewrite(Vandal(story, seed)):
                done += 1
                assert found(story) == [], told
                assert {each.code for each in found(story, {head: head_hash})} <= {"head_differs", "head_beyond"}, told
                assert found(story, {head: head_hash}), told

    assert done >= 10
    assert found(story, {head: head_hash}) == []


def test_a_head_in_the_middle_proves_what_lies_before_it(story):
    hashes = dict(Revision.objects.filter(group_id=story).values_list("seq", "hash"))

    assert found(story, hashes) == []
    with undone():
        told = next(filter(None, (rewrites(Vandal(story, seed)) for seed in range(100))))
        changed = int(told.removeprefix("number ").split(":")[0])
        differing = {int(each.detail.split()[1]) for each in found(story, hashes) if each.code == "head_differs"}

    assert differing == {seq for seq in hashes if seq >= changed}
