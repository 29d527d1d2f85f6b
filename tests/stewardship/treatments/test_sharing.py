"""What was used of a bottle is split over lines: apportioned, and to the last nanolitre."""

from fractions import Fraction
from uuid import uuid5

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.journal.ids import new_id
from stewardship.journal.models import Revision
from stewardship.rules.shares import BatchOverdrawn
from stewardship.rules.units import Dimension, to_base
from stewardship.treatments.models import Application, Batch, Container
from stewardship.treatments.services.lines import UnitElsewhere
from tests.cast import sent
from tests.stewardship.treatments.bottles import came_back, line, shared, taken_out, used
from tests.stewardship.treatments.test_containers import codes, ounces


def mixes():
    return list(Application.objects.filter(voided_at=None).order_by("-mix_nl").values_list("mix_nl", flat=True))


def test_a_bottle_is_split_by_stems(ground):
    batch = ground.batch()
    bottle = used(ground, batch)

    shared(ground, bottle, ground.session(), *(line(ground, stems=stems) for stems in (12, 5, 3)))

    lines = list(Application.objects.order_by("-stems"))
    assert [each.mix_nl for each in lines] == [ounces(6), ounces(2.5), ounces(1.5)]
    assert {each.how_known for each in lines} == {"apportioned"}
    assert {each.container_id for each in lines} == {bottle}
    assert sum(each.mix_nl for each in lines) == Container.objects.get().used_nl


def test_a_bottle_is_split_by_stated_shares_and_stems_stay_what_was_counted(ground):
    bottle = used(ground, ground.batch(), back="4")

    shared(ground, bottle, ground.session(), line(ground, share="0.5", stems=40), line(ground, share="0.25", stems=1))

    assert mixes() == [ounces(8), ounces(4)]
    assert [row["share"] for row in Container.objects.get().split] == ["0.5", "0.25"]
    assert sorted(Application.objects.values_list("stems", flat=True)) == [1, 40]


def test_what_does_not_divide_adds_up_to_the_nanolitre_and_is_written_so_that_it_reads_back(ground):
    bottle = used(ground, ground.batch())

    shared(ground, bottle, ground.session(), *(line(ground, stems=1) for _ in range(3)))

    lines = list(Application.objects.all())
    assert sum(each.mix_nl for each in lines) == Container.objects.get().used_nl
    assert {each.mix_nl for each in lines} == {98_578_432}
    assert [to_base(each.mix_value, each.mix_unit, Dimension.VOLUME) for each in lines] == [98_578_432] * 3


@pytest.mark.parametrize(
    ("told", "known"),
    [
        ({"back": "6"}, "read_off_container"),
        ({"back": "6", "how_known": "measured"}, "measured"),
        ({"back": "6", "how_known": "estimated"}, "estimated"),
        ({"back": {"tap": "1/4"}}, "read_off_container"),
    ],
    ids=str,
)
def test_one_line_takes_it_all_and_is_known_as_the_bottle_is(ground, told, known):
    bottle = taken_out(ground, ground.batch()).id
    came_back(ground, bottle, **told)

    shared(ground, bottle, ground.session(), line(ground))

    (only,) = Application.objects.all()
    assert (only.how_known, only.mix_nl) == (known, Container.objects.get().used_nl)


def test_a_line_with_all_that_is_left_takes_all_the_product(ground):
    batch = ground.batch()
    bottle = used(ground, batch, back="0", filled={"value": "64", "unit": "fl_oz"})

    shared(ground, bottle, ground.session(), *(line(ground, stems=stems) for stems in (7, 11, 13)))

    batch = Batch.objects.get()
    assert batch.left_nl == batch.in_containers_nl == 0
    assert batch.used_parts == [batch.parts[0]["nl"]]


def test_lines_may_lie_in_other_units_of_the_same_property(ground):
    bottle = used(ground, ground.batch())

    shared(ground, bottle, ground.session(), line(ground, stems=1), line(ground, stems=1, unit=ground.other_unit))

    assert {each.unit_id for each in Application.objects.all()} == {ground.unit, ground.other_unit}


def test_the_rules_of_a_line_hold_for_each_and_nothing_of_a_refused_split_is_recorded(ground, coordinator):
    far = coordinator.does("property", "create", name="Far Field").record.id
    unit = coordinator.does("unit", "create", property=far, name="Slope").record.id
    session, bottle = ground.session(), used(ground, ground.batch())

    with pytest.raises(UnitElsewhere):
        shared(ground, bottle, session, line(ground, stems=1), line(ground, stems=1, unit=unit))

    assert (Application.objects.count(), Container.objects.get().in_lines_nl) == (0, 0)


def test_more_than_its_batch_has_left_is_refused(ground):
    batch, session = ground.batch(), ground.session()
    bottle = used(ground, batch)
    ground.line(session, batch, "55")

    with pytest.raises(BatchOverdrawn):
        shared(ground, bottle, session, line(ground))


def test_lines_carry_the_marks_of_their_session(ground):
    bottle, session = used(ground, ground.batch()), ground.session()

    shared(ground, bottle, session, line(ground, stems=1), line(ground, stems=1))

    assert {mark["code"] for each in Application.objects.all() for mark in each.marks} == {"credential_missing"}


def test_lines_of_a_bottle_that_somebody_else_entered_too_are_marked(ground, volunteer):
    batch, session = ground.batch(), ground.session()
    ground.line(session, batch, "8", by=volunteer)
    bottle = used(ground, batch)

    shared(ground, bottle, session, line(ground, share="8"), line(ground, share="2", method="cut_stump"))

    marks = {each.method: codes(each) for each in Application.objects.exclude(container=None)}
    assert "possible_duplicate" in marks["basal_bark"]
    assert "possible_duplicate" not in marks["cut_stump"]


def test_once_its_lines_are_voided_a_bottle_is_split_again(ground, coordinator):
    bottle, session = used(ground, ground.batch()), ground.session()
    shared(ground, bottle, session, line(ground, stems=1), line(ground, stems=1))
    for each in Application.objects.all():
        coordinator.does("application", "void", id=each.id, reason="other stems")

    shared(ground, bottle, session, line(ground, stems=4), line(ground, stems=1))

    assert mixes() == [ounces(8), ounces(2)]


def test_of_a_bottle_with_one_line_voided_only_that_part_is_split_again(ground, coordinator):
    bottle, session = used(ground, ground.batch()), ground.session()
    shared(ground, bottle, session, line(ground, stems=4), line(ground, stems=1))
    coordinator.does("application", "void", id=Application.objects.get(stems=4).id, reason="two species")

    shared(ground, bottle, session, line(ground, stems=3), line(ground, stems=5))

    assert mixes() == [ounces(5), ounces(3), ounces(2)]


def test_a_device_knows_the_lines_ids_beforehand_and_may_correct_them_in_the_same_push(ground, coordinator):
    bottle, session, mid = used(ground, ground.batch()), str(ground.session()), new_id()
    lines = [line(ground, stems=4), line(ground, stems=1)]
    ids = [uuid5(bottle, f"{mid} {n}") for n in range(2)]

    taken = coordinator.pushes(
        sent("container", "share", {"session": session, "lines": lines}, id=bottle, mid=mid),
        sent("application", "amend", {"stems": 5}, id=ids[0], reason="one more"),
    )

    assert [result["outcome"] for result in taken.results] == ["applied", "applied"]
    assert {each.id: each.stems for each in Application.objects.all()} == {ids[0]: 5, ids[1]: 1}
    assert [row["line"] for row in Container.objects.get().split] == [str(id) for id in ids]


def test_a_split_is_told_in_the_history_of_its_bottle_and_the_answer_names_its_number(ground, coordinator):
    bottle, session = used(ground, ground.batch()), ground.session()

    (result,) = coordinator.pushes(
        sent("container", "share", {"session": str(session), "lines": [line(ground)]}, id=bottle)
    ).results

    told = Revision.objects.get(seq=result["seq"], group_id=coordinator.group_id)
    assert (told.kind, told.op, told.rev, result["rev"]) == ("container", "share", 3, 3)


pytestmark = pytest.mark.django_db


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(
    filled=st.integers(100, 10**9),
    back=st.integers(0, 10**9),
    weights=st.lists(st.integers(1, 1000), min_size=1, max_size=8),
    by=st.sampled_from(["stems", "share"]),
    voided=st.lists(st.integers(0, 7), max_size=4, unique=True),
)
def test_shares_add_up_to_what_was_used_and_the_batch_balances(ground, coordinator, filled, back, weights, by, voided):
    part = {"product": str(ground.product)}
    back %= filled // 2 + 1
    batch, session = ground.batch(mix=ml(2 * filled), parts=[part | {"volume": ml(filled)}]), ground.session()
    bottle = used(ground, batch, back=ml(back), filled=ml(filled))
    told = [line(ground, **{by: weight if by == "stems" else f"{weight}.5"}) for weight in weights]
    if filled - back < 1001 * len(weights):
        return  # a line of less than a nanolitre is refused

    shared(ground, bottle, session, *told)

    made = list(Application.objects.filter(container=bottle).order_by("id"))
    exact = [Fraction(told[0][by]) if len(told) == 1 else Fraction(each[by]) for each in told]
    by_id = {row["line"]: n for n, row in enumerate(Container.objects.get(id=bottle).split)}
    off = [abs(each.mix_nl - Fraction(filled - back) * exact[by_id[str(each.id)]] / sum(exact)) for each in made]
    assert sum(each.mix_nl for each in made) == filled - back
    assert max(off) < 1
    for n in voided:
        if n < len(made):
            coordinator.does("application", "void", id=made[n].id, reason="other stems")
    check_balance(batch, bottle, filled - back)
    if Container.objects.get(id=bottle).unshared_nl:
        shared(ground, bottle, session, line(ground, stems=2), line(ground, stems=3))
    check_balance(batch, bottle, filled - back)


def check_balance(batch_id, bottle_id, used_nl):
    batch, bottle = Batch.objects.get(id=batch_id), Container.objects.get(id=bottle_id)
    in_lines = sum(Application.objects.filter(batch=batch, voided_at=None).values_list("mix_nl", flat=True))
    assert in_lines + batch.left_nl == batch.mix_nl
    assert in_lines + batch.in_containers_nl == used_nl
    assert (bottle.in_lines_nl, bottle.unshared_nl) == (in_lines, batch.in_containers_nl)


def ml(nanolitres):
    return {"value": f"{nanolitres // 10**6}.{nanolitres % 10**6:06}", "unit": "ml"}
