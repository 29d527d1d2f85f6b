"""A role is changed at any moment: from the next call on a device reads what the new one may, and nothing else."""

import json
from random import Random

import pytest
from django.db import transaction

from stewardship.journal.models import Revision
from tests.client.in_hand import find_a_signal, in_hand
from tests.client.test_with_service import newest
from tests.client.transport import InProcess

pytestmark = pytest.mark.django_db
STEPS = 50


class Watched:
    """Carries what a device asks, and holds each page against what its person may read at that moment."""

    def __init__(self, someone):
        self.someone, self.given, self.seen = someone, {}, set()

    def may_read(self):
        """Return the audiences of the person now: None for all, an empty set for whoever is not there."""
        actor = self.someone.read_again().actor
        audiences = actor.audiences()
        return set() if actor.is_former else audiences and set(audiences)

    def send(self, method, path, headers, body):
        answer, may_read = InProcess().send(method, path, headers, body), self.may_read()
        if not path.endswith("/pull"):
            return answer
        cursor = json.loads(body)["cursor"]
        wanted = 403 if may_read == set() else 410 if self.given.get(cursor, may_read) != may_read else 200
        assert answer.status == wanted
        self.seen.add(wanted)
        for line in map(json.loads, answer.plain().splitlines() if wanted == 200 else ()):
            if line["k"] == "put" and may_read is not None:
                assert Revision.objects.get(group_id=self.someone.group_id, seq=line["q"]).audience in may_read
            elif line["k"] == "end":
                self.given[line["cursor"]] = may_read
        return answer


def changes_the_role(cast, random, phone):
    role = random.choice(["volunteer", "reviewer", "coordinator"])
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role=role)


def ends_or_suspends(cast, random, phone):
    away, back = random.choice([("end", "reinstate"), ("suspend", "restore")])
    does, id = cast.coordinator.does, cast.volunteer.member.id
    does("member", away, id=id, reason="asked to")
    if random.random() < 0.5:
        one_page(cast, random, phone)
    does("member", back, id=id)


def writes(cast, random, phone):
    who, type = random.choice([
        (cast.coordinator, "property"), (cast.coordinator, "emergency_contact"), (cast.volunteer, "emergency_contact"),
        (cast.other_volunteer, "emergency_contact"),
    ])  # fmt: skip
    who.read_again().does(type, "create", name="Fen", **({"phone": "555 0100"} if type != "property" else {}))


def one_page(cast, random, phone):
    phone.page = random.randint(1, 4)
    phone._begin()
    cursor = phone.store["staged_cursor"] or phone.store["cursor"]
    if (answer := phone._ask("pull", {"cursor": cursor, "limit": phone.page})) is not None:
        phone._after_pull(answer)


def pulls(cast, random, phone):
    phone.page = random.randint(1, 9)
    if phone.pull():
        holds_what_may_be_read(cast, phone)


def holds_what_may_be_read(cast, phone):
    audiences = cast.volunteer.read_again().actor.audiences() or ()
    assert phone.store.records() == newest(cast.group.id, *audiences)


ACTS = (changes_the_role, changes_the_role, ends_or_suspends, writes, writes, one_page, one_page, one_page, pulls)


@pytest.mark.parametrize("seeds", [range(2), pytest.param(range(2, 200), marks=pytest.mark.heavy)])
def test_a_change_of_role_takes_effect_at_the_next_call_whatever_comes_between(cast, seeds):
    """Invariant I13: 410 or 403, the copy is emptied and pulled anew, and nothing beyond the role is ever given."""
    watched = Watched(cast.volunteer)
    for seed in seeds:
        begin, random, phone = transaction.savepoint(), Random(seed), in_hand(cast.volunteer, transport=watched)
        for _ in range(STEPS):
            random.choice(ACTS)(cast, random, phone)
        find_a_signal(phone)

        holds_what_may_be_read(cast, phone)
        transaction.savepoint_rollback(begin)

    assert watched.seen == {200, 403, 410}
