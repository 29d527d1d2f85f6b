"""Whatever is drawn, corrected, voided and reinstated: a batch holds what was poured in, to the nanolitre."""

from contextlib import suppress
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.errors import AlreadyVoided
from stewardship.rules.shares import BatchOverdrawn
from stewardship.treatments.models import ActiveUse, Application, Batch, ProductUse
from stewardship.treatments.services.facts import NotVoided
from tests import balances
from tests.cast import sent
from tests.ground import Ground
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)


def ml(nanolitres: int) -> dict[str, str]:
    return {"value": f"{nanolitres // 10**6}.{nanolitres % 10**6:06}", "unit": "ml"}


@dataclass
class Crew:
    """People who draw on one batch, in any order and with any mistakes."""

    ground: Ground
    parts: list[dict[str, Any]]
    lines: list[Any] = field(default_factory=list)

    def mix(self, total_nl: int, parts_nl: tuple[int, int]) -> None:
        parts = [part | {"volume": ml(nl)} for part, nl in zip(self.parts, parts_nl, strict=True)]
        self.batch, self.session = self.ground.batch(mix=ml(total_nl), parts=parts), self.ground.session()

    def take(self, step: tuple[str, int, int]) -> None:
        op, which, nl = step
        by = self.ground.coordinator
        with suppress(BatchOverdrawn, AlreadyVoided, NotVoided):  # any other refusal is a fault
            if op == "use":
                self.lines.append(self.ground.line(self.session, self.batch, "1", mix=ml(nl)).id)
            elif self.lines:
                id = self.lines[which % len(self.lines)]
                by.does("application", op, id=id, reason="again", **({"mix": ml(nl)} if op == "amend" else {}))

    def check(self) -> None:
        batch = Batch.objects.get(id=self.batch)
        lines = list(Application.objects.filter(batch=batch, voided_at=None))
        poured = [part["nl"] for part in batch.parts]
        used = [sum(line.products[i]["nl"] for line in lines) for i in range(len(poured))]
        assert sum(line.mix_nl for line in lines) + batch.left_nl == batch.mix_nl
        assert batch.left_nl >= 0
        assert all(0 <= each <= total for each, total in zip(used, poured, strict=True))
        assert used == poured or batch.left_nl > 0
        assert balances.of_batches(batch.group_id)[batch.id] == {
            "used_nl": batch.used_nl, "used_parts": batch.used_parts, "lines": batch.lines,
            "poured_on": [],
            "bottles": 0, "out_nl": 0, "in_containers_nl": 0,
        }  # fmt: skip
        rows = list(ProductUse.objects.filter(application__batch=batch).values_list("product_nl", flat=True))
        assert sorted(rows) == sorted(product["nl"] for line in lines for product in line.products)


STEPS = st.tuples(
    st.sampled_from(["use", "use", "use", "amend", "void", "reinstate"]), st.integers(0, 20), st.integers(1, 60)
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(
    total=st.integers(20, 100),
    parts=st.tuples(st.integers(1, 13), st.integers(1, 7)),
    steps=st.lists(STEPS, max_size=12),
)
def test_mix_and_products_are_conserved_whatever_is_done(whole_crew, total, parts, steps):
    whole_crew.mix(total, parts)
    for step in steps:
        whole_crew.take(step)
    whole_crew.check()

    left = Batch.objects.get(id=whole_crew.batch).left_nl
    if left:
        whole_crew.take(("use", 0, left))
    whole_crew.check()


@pytest.fixture
def whole_crew(ground):
    return Crew(ground, tank_mix(ground)["parts"])


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(amounts=st.lists(st.integers(1, 10**9), min_size=2, max_size=40), product=st.integers(1, 10**9))
def test_lines_that_empty_a_batch_use_all_its_product_however_they_divide_it(ground, amounts, product):
    """The lines go in by one push; amounts are drawn in nanolitres, so nothing is rounded on entry."""
    total = sum(amounts)
    part = {"product": str(ground.product), "volume": ml(min(product, total))}
    batch, session = ground.batch(mix=ml(total), parts=[part]), ground.session()
    told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "method": "cut_stump"}

    taken = ground.coordinator.pushes(
        *(sent("application", "create", told | {"mix": ml(nl), "how_known": "measured"}) for nl in amounts)
    )

    uses = list(ProductUse.objects.filter(application__batch=batch).values_list("product_nl", flat=True))
    by_id = {str(line.id): line.products[0]["nl"] for line in Application.objects.filter(batch=batch)}
    off = [
        abs(by_id[result["id"]] - Fraction(min(product, total) * nl, total))
        for result, nl in zip(taken.results, amounts, strict=True)
    ]
    assert {result["outcome"] for result in taken.results} == {"applied"}
    assert sum(uses) == min(product, total)
    assert len(uses) == ActiveUse.objects.filter(application__batch=batch).count() == len(amounts)
    assert max(off[:-1]) <= Fraction(1, 2)
    assert off[-1] <= Fraction(len(amounts), 2)
