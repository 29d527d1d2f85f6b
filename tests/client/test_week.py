"""A week of two coordinators and three volunteers, offline half of the time, ends like the same week online.

Every morning they meet where there is a signal. What is done after that arrives in the evening or the next morning.
"""

from datetime import UTC, datetime, timedelta
from random import Random

import pytest
from django.db import transaction
from django.utils import timezone

from api import sync
from stewardship.sync.models import Mutation
from tests.api.test_scenes_of_accounting import Scene
from tests.cast import _join
from tests.client.in_hand import find_a_signal, in_hand
from tests.ground import fl_oz

pytestmark = pytest.mark.django_db

MONDAY = datetime(2027, 5, 3, 13, 0, tzinfo=UTC)
"""8:00 in Chicago."""
DAYS = 7
OUNCES = ("1", "1.5", "2.2", "3.3", "5")
"""What each of the five uses of a batch in one line: nobody as much as another."""


class Week:
    """What everybody does, hour by hour; only whether they find a signal differs."""

    def __init__(self, scene, people, monkeypatch, *, is_online, seed):
        self.scene, self.people, self.now, self.is_online = scene, people, MONDAY, is_online
        monkeypatch.setattr(timezone, "now", lambda: self.now)
        monkeypatch.setattr(sync, "monotonic", lambda: 0.0)  # a slow machine makes nobody wait, so ids stay the same
        self.does, self.signal = Random(seed), Random(seed + 1)
        self.phones = [in_hand(who, now=lambda: self.now, random=Random(n)) for n, who in enumerate(self.people)]
        self.yesterday = []

    def lived(self):
        for day in range(DAYS):
            self.now = MONDAY + timedelta(days=day)
            find_a_signal(*self.phones)
            batch = self.mixes(self.phones[day % 2], self.people[day % 2])
            find_a_signal(*self.phones)
            self.works(batch)
            self.goes_home()
        find_a_signal(*self.phones)
        find_a_signal(*self.phones)
        return self.scene.compiled()

    def mixes(self, phone, who):
        told = {
            "mixed_at": self.now.isoformat(), "mixed_by": str(who.member.id), "mix": fl_oz("64"), "carrier": "oil",
            "how_known": "measured", "parts": [{"product": str(self.scene.ground.product), "volume": fl_oz("12.8")}],
        }  # fmt: skip
        return phone.create("batch", told)

    def works(self, batch):
        """Let each treat, pull by hand, and correct what was done the day before."""
        lines = []
        for number, (phone, who) in enumerate(zip(self.phones, self.people, strict=True)):
            self.later()
            lines.append(self.treats(phone, who, batch, OUNCES[number]))
            self.pulls_by_hand(phone)
            self.finds_one(phone)
        for number, line in enumerate(self.yesterday):
            self.later()
            self.phones[number].amend(line, {"note": f"seen again by {number}"}, "not told before")
            desk = self.phones[number % 2]
            desk.amend(line, {"stems": self.does.randrange(1, 40)}, "counted on the photograph")
            self.finds_one(desk)
            self.finds_one(self.phones[number])
        self.yesterday = lines

    def treats(self, phone, who, batch, ounces):
        tx, ground = phone.new_id(), self.scene.ground
        unit = self.does.choice([ground.unit, ground.other_unit])
        begun = {"unit": str(unit), "applicator": str(who.member.id), "started_at": self.now.isoformat()}
        session = phone.create("session", begun, tx=tx)
        told = {"session": session, "batch": batch, "species": str(ground.species), "method": "basal_bark"}
        return phone.create("application", told | {"mix": fl_oz(ounces), "how_known": "read_off_container"}, tx=tx)

    def pulls_by_hand(self, phone):
        ground = self.scene.ground
        told = {"unit": str(ground.unit), "species": str(ground.species), "method": "pulling"}
        phone.create("work_line", told | {"done_at": self.now.isoformat(), "minutes": self.does.randrange(10, 90)})

    def later(self):
        self.now += timedelta(minutes=40)

    def finds_one(self, phone):
        if self.is_online:
            find_a_signal(phone)

    def goes_home(self):
        """Let whoever finds a signal in the evening hand in the day, in any order."""
        self.later()
        evening = self.signal.sample(self.phones, len(self.phones))
        find_a_signal(*[phone for phone in evening if self.is_online or self.signal.random() < 0.5])


@pytest.mark.parametrize("seed", [1, 2])
def test_a_week_offline_ends_in_the_report_of_the_same_week_online(cast, monkeypatch, seed):
    scene = Scene(cast)
    orla, pim = _join(
        cast.coordinator, ("Orla Vint", "orla@tamarack.example", "coordinator"),
        ("Pim Arkady", "pim@tamarack.example", "volunteer"),
    )  # fmt: skip
    people = [cast.coordinator, orla, cast.volunteer, cast.other_volunteer, pim]
    begin = transaction.savepoint()
    reported = Week(scene, people, monkeypatch, is_online=True, seed=seed).lived()
    transaction.savepoint_rollback(begin)
    offline = Week(scene, people, monkeypatch, is_online=False, seed=seed)

    assert offline.lived() == reported

    outcomes = Mutation.objects.filter(device_id__isnull=False).values_list("outcome", flat=True)
    assert set(outcomes) <= {"applied", "merged"}
    assert "merged" in set(outcomes)
    assert sum(each["lines"] for each in reported["treatments"]) == DAYS * len(OUNCES)
    assert all(phone.store.records() == offline.phones[0].store.records() for phone in offline.phones[:2])
