"""The records of a group that the samples refer to."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from django.db import transaction

from stewardship.attachments.services import hand_in
from stewardship.jobs import services as jobs
from stewardship.journal.book import open_entry
from stewardship.journal.ids import new_id
from stewardship.reports.models import ReportVersion, SeasonReport
from stewardship.reports.services.reconciliations import KIND, ask_now, reconcile_group
from stewardship.sync import proving
from stewardship.workdays.feeds import addresses
from tests.api.samples import A_PICTURE, BEFORE, FIELDS
from tests.cast import AT, Someone, sent, with_device

STANDING = ("unit", "species", "product")
"""What is entered at once: most samples refer to it, and nothing that is done changes it."""


class Scene:
    """The records of a group that samples refer to, each entered by its coordinator when it is first asked for."""

    def __init__(self, coordinator: Someone) -> None:
        self.coordinator = coordinator
        self.made: dict[str, str] = {"group": str(coordinator.group_id)}
        self.done: set[tuple[str, str]] = set()
        for kind in STANDING:
            self.id(kind)

    @property
    def own(self) -> str:
        """Return the id of the coordinator's membership."""
        return str(self.coordinator.member.id)

    def id(self, kind: str) -> str:
        """Return the id of a record of this type."""
        if kind == "to_settle":
            self.made[kind] = self.made.get(kind) or self.held()
        if kind not in self.made:
            fields = self.fields(kind, "create")
            self.prepare(kind, "create")
            self.made[kind] = str(self.coordinator.does(kind, "create", **fields).record.id)
        return self.made[kind]

    def rule_of_training(self) -> str:
        """Return the id of a rule that trainings are given under."""
        if "rule of training" not in self.made:
            fields = {
                "name": "Training of helpers", "covers": "training", "validity": {"kind": "rolling", "months": 12},
                "source": "An invented rule",
            }  # fmt: skip
            done = self.coordinator.does("credential_type", "create", **fields)
            self.made["rule of training"] = str(done.record.id)
        return self.made["rule of training"]

    def file(self) -> str:
        """Return the hash of a file that everybody in the group may read."""
        return str(hand_in(self.coordinator.actor, A_PICTURE, "group", AT).sha256)

    def job(self) -> str:
        """Return the id of a job: the one that is to compile the report."""
        return str(SeasonReport.objects.get(id=self.id("season_report")).job_id)

    def feed(self, someone: Someone | None) -> str:
        """Return the id of a calendar address of somebody."""
        return str(addresses.make((someone or self.coordinator).member, "own", at=AT)[0].id)

    def reconciled(self) -> None:
        """Hold the books of the group against one another, once."""
        job = ask_now(self.coordinator.actor, AT)
        jobs.run(job.id, {KIND: reconcile_group}, at=AT)

    def held(self) -> str:
        """Return the id of an entry that was held when it came and can be released now."""
        place = str(new_id())
        item = self._pushes("unit", "create", {"name": "North", "property": place})
        self.coordinator.does("property", "create", id=place, name="Late Fen")
        return item

    def disputed(self) -> str:
        """Return the id of a conflict about the name of a property."""
        place = self.coordinator.does("property", "create", name="Fen").record.id
        self.coordinator.does("property", "amend", id=place, name="Fen Edge")
        return self._pushes("property", "amend", {"name": "Fen End"}, id=place, base_rev=1)

    def _pushes(self, *said: Any, **more: Any) -> str:
        device = with_device(self.coordinator.member, f"phone {new_id()}")
        item: str = device.pushes(sent(*said, **more)).results[0]["to_settle"]
        return item

    def verified(self) -> None:
        """Verify the book of the group, once."""
        job = proving.ask_now(self.coordinator.actor, None, AT)
        jobs.run(job.id, {proving.KIND: proving.verify_group}, at=AT)

    def compiled(self) -> str:
        """Return the id of the report, with a first version: a compile of its own would need real transactions."""
        id = UUID(self.id("season_report"))
        someone = self.coordinator
        with open_entry(group_id=someone.group_id, by=someone.actor, at=AT) as entry:
            report = entry.get(SeasonReport, id)
            if not report.latest:
                told = {"figures": {}, "figures_hash": "0" * 64, "as_of": AT, "head": 1, "head_hash": "0" * 64}
                entry.create(ReportVersion, id=None, report_id=id, number=1, **told)
                entry.change(report, latest=1)
        return str(id)

    def fields(self, kind: str, op: str) -> dict[str, Any]:
        """Return what is sent to perform a verb."""
        assert (kind, op) in FIELDS, f"Add what is sent to {op} a {kind} to FIELDS in tests/api/samples.py."
        return FIELDS[kind, op](self)

    def prepare(self, kind: str, op: str) -> None:
        """Do what must be done before, unless it was."""
        for step in BEFORE.get((kind, op), ()):
            if step not in self.done:
                self.done.add(step)
                self._do(*step)

    def _do(self, kind: str, op: str) -> None:
        id = self.id(kind)
        if op != "create":
            self.coordinator.does(kind, op, id=id, **self.fields(kind, op))

    def target(self, kind: str, op: str) -> str:
        """Return the id of a record that the verb can be performed on now."""
        if (kind, op) == ("to_settle", "settle"):
            return self.disputed()
        id = self.id(kind)
        self.prepare(kind, op)
        return id

    @contextmanager
    def taken_back(self) -> Iterator[None]:
        """Undo what is written inside. An entry must be the outermost transaction, so this one is a bare savepoint."""
        mark, made, done = transaction.savepoint(), dict(self.made), set(self.done)
        yield
        transaction.savepoint_rollback(mark)
        self.made, self.done = made, done
