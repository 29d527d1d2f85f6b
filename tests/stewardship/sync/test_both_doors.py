"""Every rule gives the same code through REST and through a push (invariant I24).

Each app lists its cases in ``tests/stewardship/<app>/refusals.py``: ``CASES``, a list of ``tests.doors.Case``, and
``NOT_BY_A_VERB``, refusal -> why no mutation meets it. A refusal that stands in an app and in neither fails here.
"""

import importlib
import inspect
import pkgutil
from pathlib import Path

import pytest

import stewardship
from stewardship import errors
from stewardship.rules.refusals import RuleViolation
from tests.doors import both_doors

TESTS = Path(__file__).resolve().parent.parent
TABLES = [
    importlib.import_module(f"tests.stewardship.{path.parent.name}.refusals")
    for path in sorted(TESTS.glob("*/refusals.py"))
]
CASES = [case for table in TABLES for case in table.CASES]
NOT_BY_A_VERB = {refusal: why for table in TABLES for refusal, why in getattr(table, "NOT_BY_A_VERB", {}).items()}


def refusals_of_services() -> set[type[RuleViolation]]:
    """Return every refusal that stands in a module of an app's services, or in ``errors``."""
    found = set()
    for module in pkgutil.walk_packages(stewardship.__path__, "stewardship."):
        if ".services" in module.name:
            found |= _defined_in(importlib.import_module(module.name))
    return found | _defined_in(errors)


def _defined_in(module) -> set[type[RuleViolation]]:
    members = [member for _, member in inspect.getmembers(module, inspect.isclass)]
    return {m for m in members if issubclass(m, RuleViolation) and m.__module__ == module.__name__}


@pytest.mark.django_db
@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_rule_gives_the_same_code_through_both_doors(case, cast):
    someone, mutation = case.scene(cast)

    refused = both_doors(someone, mutation)

    assert type(refused) is case.refusal


def test_every_refusal_of_a_service_is_tried_at_both_doors():
    tried = {case.refusal for case in CASES} | NOT_BY_A_VERB.keys()

    assert {f"{r.__module__}.{r.__name__}" for r in refusals_of_services() - tried} == set()


def test_no_refusal_is_listed_both_as_tried_and_as_out_of_reach():
    assert {case.refusal for case in CASES} & NOT_BY_A_VERB.keys() == set()


def every_refusal() -> list[type[RuleViolation]]:
    """Return every refusal of the service, wherever it stands."""
    for module in pkgutil.walk_packages(stewardship.__path__, "stewardship."):
        if not module.name.rsplit(".", 1)[-1].startswith(("wsgi", "settings")) and ".migrations" not in module.name:
            importlib.import_module(module.name)
    found, open_ends = set(), [RuleViolation]
    while open_ends:
        more = open_ends.pop().__subclasses__()
        found.update(more)
        open_ends += more
    met = [r for r in found if r.__module__.startswith("stewardship.") and not r.__subclasses__()]
    return sorted(met, key=lambda r: (r.__module__, r.__name__))


def test_every_refusal_has_a_code_and_a_sentence_of_its_own():
    for refusal in every_refusal():
        assert refusal.code.replace("_", "a").isalnum(), refusal
        assert refusal.code.islower(), refusal
        assert refusal.code != RuleViolation.code, refusal
        assert refusal.message[0].isupper() or refusal.message.startswith("{"), refusal
        assert refusal.message.rstrip().endswith((".", "?", "}")), refusal
