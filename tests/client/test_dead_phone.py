"""A scene of the field: a phone dies with three lines that were never sent, and comes back two days later.

In its own numbers and in others. Chicago is five hours behind UTC in May.
"""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from stewardship.accounts import devices
from stewardship.sync.models import Mutation
from stewardship.treatments.models import Application, Batch
from tests.api.asking import get
from tests.client.in_hand import Valley, find_a_signal, in_hand
from tests.ground import fl_oz, lay_out, nl
from tests.stewardship.treatments.verdicts.records import at_home_in, own_rule

pytestmark = pytest.mark.django_db

IN_TIME, LATE = datetime(2027, 5, 2, 4, 40, tzinfo=UTC), datetime(2027, 5, 2, 5, 10, tzinfo=UTC)
"""23:40 of the day of the work, and ten past midnight."""
TWO_DAYS_LATER = datetime(2027, 5, 3, 15, 0, tzinfo=UTC)


class Scene:
    """A session that was begun with a signal, and the clock of the service."""

    def __init__(self, cast, monkeypatch):
        self.cast, self.now = cast, datetime(2027, 5, 1, 14, 30, tzinfo=UTC)
        monkeypatch.setattr(timezone, "now", lambda: self.now)
        self.ground = lay_out(cast.coordinator)
        own_rule(cast.coordinator)
        at_home_in(self.ground, "")
        self.batch = self.ground.batch()
        self.slow = timedelta()
        self.valley = Valley()
        self.phone = in_hand(cast.volunteer, transport=self.valley, now=lambda: self.now - self.slow)
        self.leader = in_hand(cast.other_volunteer, now=lambda: self.now)
        begun = {
            "unit": str(self.ground.unit), "applicator": str(cast.volunteer.member.id),
            "started_at": "2027-05-01T09:30:00-05:00",
        }  # fmt: skip
        find_a_signal(self.phone)
        self.session = self.phone.create("session", begun)
        find_a_signal(self.phone, self.leader)
        self.valley.has_signal = False

    def line(self, amount, unit):
        told = {"session": self.session, "batch": str(self.batch), "species": str(self.ground.species)}
        told |= {"method": "basal_bark", "mix": fl_oz(amount), "how_known": "read_off_container"}
        return told | {"unit": str(unit)}

    def dies_with(self, *amounts):
        """Enter two lines in the first unit and one in the other, and send none of them."""
        units = (self.ground.unit, self.ground.unit, self.ground.other_unit)
        for amount, unit in zip(amounts, units, strict=True):
            self.phone.create("application", self.line(amount, unit))
        find_a_signal(self.phone)
        assert len(self.phone.store.outbox()) == 3

    def typed_on_the_leaders_phone(self, *amounts, at):
        self.now = at
        ids = [self.leader.create("application", self.line(amount, self.ground.unit)) for amount in amounts]
        find_a_signal(self.leader)
        return ids

    def comes_back(self, *, slow):
        self.now, self.slow, self.valley.has_signal = TWO_DAYS_LATER, slow, True
        find_a_signal(self.phone)
        return [told for _, told in self.phone.store.sent_box()][-3:]

    def used_nl(self):
        return Batch.objects.get(id=self.batch).used_nl

    def states(self, *ids):
        """Return how the record of each line stands by the rule of the same day."""
        return [get(self.cast.reviewer, f"applications/{id}/verdicts").json()["results"][0]["state"] for id in ids]


NUMBERS = [(("12", "5", "7"), ("12", "5")), (("20.5", "3", "9"), ("20", "3")), (("8", "1.5", "2"), ("8.5", "1.5"))]


@pytest.mark.parametrize(("on_the_phone", "typed"), NUMBERS, ids=["as told", "in others", "in little"])
@pytest.mark.parametrize(("at", "state"), [(IN_TIME, "in_time"), (LATE, "late")], ids=["23:40", "0:10"])
@pytest.mark.parametrize(("hours", "told"), [(26, "26 hours behind"), (5, "5 hours behind")])
def test_a_phone_that_died_doubles_nothing_when_it_comes_back(
    cast, monkeypatch, on_the_phone, typed, at, state, hours, told
):
    scene = Scene(cast, monkeypatch)
    scene.dies_with(*on_the_phone)

    ids = scene.typed_on_the_leaders_phone(*typed, at=at)

    # Who enters is not who applied; the clock of the day is met, or it is shown that it was not.
    for line in Application.objects.filter(id__in=ids).select_related("session"):
        assert line.entered_by_id == cast.other_volunteer.person.id
        assert line.session.applicator_id == cast.volunteer.member.id
    assert scene.states(*ids) == [state, state]

    first, second, new = scene.comes_back(slow=timedelta(hours=hours))

    assert [each["outcome"] for each in (first, second, new)] == ["held", "held", "applied"]
    assert [each.get("code") for each in (first, second)] == ["possible_duplicate"] * 2
    assert [told in each["detail"] for each in new["warnings"] if each["code"] == "clock_off"] == [True]
    assert scene.used_nl() == sum(map(nl, typed)) + nl(on_the_phone[2])
    assert scene.states(new["id"]) == ["late"]
    find_a_signal(scene.phone, scene.leader)
    shown = [told["code"] for _, told in scene.phone.to_show()]
    assert shown == ["possible_duplicate"] * 2
    assert scene.leader.sees(new["id"]).says["mix"]["value"] == on_the_phone[2]


@pytest.mark.parametrize("amounts", [("12", "5"), ("0.5", "3")])
def test_of_times_by_a_clock_a_day_and_more_behind_a_person_says_what_was_meant(cast, monkeypatch, amounts):
    scene = Scene(cast, monkeypatch)
    said = {"unit": str(scene.ground.other_unit), "applicator": str(cast.volunteer.member.id)}
    session = scene.phone.create("session", said | {"started_at": "2027-05-01T09:30:00-05:00"}, tx="A")
    for amount in amounts:
        line = scene.line(amount, scene.ground.other_unit) | {"session": session}
        scene.phone.create("application", line, tx="A")

    told = scene.comes_back(slow=timedelta(hours=26))

    assert [(each["outcome"], each["code"]) for each in told] == [("held", "clock_far_off")] * 3
    assert scene.used_nl() == 0
    desk = in_hand(cast.coordinator, now=lambda: scene.now)
    find_a_signal(desk)
    desk.act(told[0]["to_settle"], "release", "she says it was so")
    find_a_signal(desk, scene.phone, scene.leader)
    assert [scene.phone.sees(each["to_settle"]).says["state"] for each in told] == ["released"] * 3
    assert scene.used_nl() == sum(map(nl, amounts))
    lines = Application.objects.filter(session_id=session)
    assert {line.entered_by_id for line in lines} == {cast.volunteer.person.id}
    assert scene.states(*[line.id for line in lines]) == ["late"] * 2


def test_what_a_phone_that_was_lost_sends_later_is_held(cast, monkeypatch):
    scene = Scene(cast, monkeypatch)
    scene.dies_with("12", "5", "7")
    devices.revoke(cast.volunteer.device, at=scene.now)

    told = scene.comes_back(slow=timedelta(0))

    assert [(each["outcome"], each["code"]) for each in told] == [("held", "device_revoked")] * 3
    assert (scene.used_nl(), Application.objects.count()) == (0, 0)
    kept = Mutation.objects.filter(outcome="held").exclude(payload=None)
    assert kept.count() == 3
    assert scene.phone.needs == "sign_in"
