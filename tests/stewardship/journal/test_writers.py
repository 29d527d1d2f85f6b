"""Nothing but an entry writes a record: every other writing call in the product is listed here with its reason.

``rows`` and ``book`` are the two modules that write records. A call is named by file, function and what is called,
so that a new writer, or one that moved, fails this test until somebody has said why it may write.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TREE = Path(__file__).resolve().parents[3]
PACKAGES = ("stewardship", "api", "workers")
WRITERS_OF_RECORDS = {"stewardship/journal/rows.py", "stewardship/journal/book.py"}
ON_DATABASES_OF_ITS_OWN = "workers/bench/"
"""What measures makes databases and removes them; nobody's records are there."""
OF_A_MODEL = {
    "save", "asave", "bulk_create", "abulk_create", "bulk_update", "abulk_update", "delete", "adelete",
    "get_or_create", "aget_or_create", "update_or_create", "aupdate_or_create", "create_user", "_raw_delete",
    "execute", "executemany", "executescript", "raw", "callproc",
}  # fmt: skip
OF_A_DATABASE = {("rows", "insert"), ("rows", "update"), ("rows", "delete"), ("cursor", "copy")}

ALLOWED = {
    ("stewardship/accounts/joining.py", "_let_in", "person.save"): "the password of who joins; a person is global",
    ("stewardship/accounts/joining.py", "know", "EmailAddress.objects.get_or_create"): "a person's, who is global",
    ("stewardship/accounts/attempts.py", "_locked", "Attempts.objects.bulk_create"): "a counter, which is forgotten",
    ("stewardship/accounts/attempts.py", "take", "row.save"): "a counter of attempts",
    ("stewardship/accounts/attempts.py", "give_back", "row.save"): "a counter of attempts",
    ("stewardship/accounts/attempts.py", "forget", "Attempts.objects.filter(...).delete"): "a counter, forgotten",
    ("stewardship/accounts/devices.py", "rename", "Device.objects.filter(...).update"): "the name of a device",
    ("stewardship/accounts/joining.py", "verify", "EmailAddress.objects.update_or_create"): "a person's, who is global",
    ("stewardship/accounts/forgetting.py", "forget", "EmailAddress.objects.filter(...).delete"): "a person's address",
    ("stewardship/accounts/forgetting.py", "forget", "Authenticator.objects.filter(...).delete"): "a second factor",
    ("stewardship/accounts/forgetting.py", "forget", "devices.filter(...).update"): "the end of devices",
    ("stewardship/accounts/forgetting.py", "forget", "devices.update"): "the names of devices",
    ("stewardship/accounts/forgetting.py", "forget", "person.save"): "a person who is forgotten; a person is global",
    ("stewardship/accounts/secrets.py", "mint", "InvitationSecret.objects.update_or_create"): "a hash, in no book",
    ("stewardship/accounts/devices.py", "mint", "device.save"): "a device is global: no group's record",
    ("stewardship/accounts/devices.py", "under_id", "Device.objects.bulk_create"): "a device too: a copy of one",
    ("stewardship/accounts/devices.py", "note_seen", "Device.objects.filter(...).update"): "when it was last seen",
    ("stewardship/accounts/devices.py", "revoke", "Device.objects.filter(...).update"): "the end of its right to act",
    (
        "stewardship/accounts/models/persons.py",
        "People.create_user",
        "person.save",
    ): "a person is global: no group's record",
    ("stewardship/attachments/services.py", "_begun", "Attachment.objects.bulk_create"): "an upload is no record",
    ("stewardship/attachments/services.py", "_finished", "Attachment.objects.filter(...).delete"): "a wrong upload",
    ("stewardship/attachments/services.py", "_finished", "upload.save"): "the end of an upload",
    ("stewardship/attachments/services.py", "_give_up", "unfinished.delete"): "an upload that was broken off",
    ("stewardship/attachments/services.py", "_note", "upload.save"): "how far an upload has come",
    ("stewardship/attachments/services.py", "remove_files", "uploads.delete"): "files of somebody who was erased",
    ("stewardship/jobs/lease.py", "_extended", "held(...).update"): "a job's lease; a job is no record",
    ("stewardship/jobs/lease.py", "claim", "Job.objects.filter(...).update"): "a job's lease",
    ("stewardship/jobs/lease.py", "write", "held(...).update"): "a job's progress, under its lease",
    ("stewardship/jobs/services.py", "_give_up", "lost.update"): "a job's state",
    ("stewardship/jobs/services.py", "ask_for_groups", "Job.objects.bulk_create"): "asks for work",
    ("stewardship/jobs/services.py", "call_workers", "Job.objects.filter(...).update"): "when a job was handed on",
    ("stewardship/jobs/services.py", "cancel", "unfinished.update"): "a job's state",
    ("stewardship/journal/guard.py", "raise_guard", "cursor.execute"): "sets the triggers that keep the book",
    ("stewardship/journal/guard.py", "lower_guard", "cursor.execute"): "lifts them to empty a test database",
    ("stewardship/journal/management/commands/flush.py", "Command.handle", "cursor.execute"): "empties a test database",
    (
        "stewardship/journal/management/commands/flush.py",
        "_with_rows",
        "cursor.execute",
    ): "looks which tables have rows",
    ("stewardship/notices/posting.py", "_give_up", "lost.update"): "a letter's state; a letter is no record",
    ("stewardship/notices/posting.py", "_mark", "held.update"): "a letter's state",
    ("stewardship/notices/posting.py", "take", "lapsed.update"): "a letter's lease",
    ("stewardship/notices/posting.py", "take", "queued.update"): "a letter's lease",
    ("stewardship/accounts/letters.py", "ask_again", "Job.objects.bulk_create"): "asks for work",
    ("stewardship/notices/services/forgetting.py", "_clear", "Notice.objects.filter(...).update"): "no record",
    ("stewardship/notices/services/forgetting.py", "_clear", "letters.filter(...).update"): "no record",
    ("stewardship/notices/services/forgetting.py", "_clear", "letters.update"): "a letter is no record",
    ("stewardship/notices/services/letters.py", "ask_for_letters", "Job.objects.bulk_create"): "asks for work",
    ("stewardship/notices/services/letters.py", "gather", "Letter.objects.bulk_create"): "a letter is no record",
    ("stewardship/notices/services/letters.py", "gather", "rows.update"): "which letter took a notice, no record",
    ("stewardship/notices/services/reading.py", "mark_seen", "new.update"): "a notice was seen; it is no record",
    ("stewardship/notices/services/reading.py", "mark_phoned", "told.update"): "a notice was told by phone",
    ("stewardship/notices/services/reminders.py", "_tell", "rows.insert"): "a notice is no record",
    ("stewardship/workdays/services/nightly.py", "ask_nightly", "Job.objects.bulk_create"): "asks for work",
    ("stewardship/journal/snapshots.py", "snapshot", "cursor.execute"): "sets the isolation of a reading",
    ("stewardship/journal/snapshots.py", "in_index_order", "cursor.execute"): "sets how a page is read",
    ("stewardship/sync/demo/loading.py", "_found", "Person.objects.create_user"): "a founder, before there is a group",
    ("stewardship/sync/demo/loading.py", "_let_in", "person.save"): "the password of a person, who is global",
    ("stewardship/urls.py", "health", "cursor.execute"): "asks whether the database answers",
    ("workers/founding.py", "found", "Person.objects.create_user"): "the founder, before there is a group",
    ("workers/founding.py", "found", "founder.save"): "the password of a person, who is global",
    ("stewardship/workdays/feeds/addresses.py", "make", "feed.save"): "a calendar address is no record, like a device",
    (
        "stewardship/workdays/feeds/addresses.py",
        "note_fetched",
        "CalendarFeed.objects.filter(...).update",
    ): "when it was last read",
    ("stewardship/workdays/feeds/addresses.py", "renew", "living.update"): "a calendar address, like a device",
    (
        "stewardship/workdays/feeds/addresses.py",
        "end",
        "CalendarFeed.objects.filter(...).update",
    ): "the end of a calendar address",
    ("stewardship/sync/rewinding.py", "begin_epoch", "Book.objects.filter(...).update"): "ends every cursor",
    ("stewardship/sync/perform.py", "_lock_outbox", "rows.insert"): "a device's place in the ledger",
    ("stewardship/sync/perform.py", "push", "Outbox.objects.filter(...).update"): "a device's place in the ledger",
    ("stewardship/sync/perform.py", "_write_ledger", "rows.insert"): "the ledger itself",
    ("stewardship/sync/personal.py", "_clear_ledger", "Mutation.objects.bulk_update"): "what was held of the erased",
}


def writing_calls(source: str) -> Iterator[tuple[str, str]]:
    """Give (function, call) for every call in the source that could write to the database."""
    yield from _in_scope(ast.parse(source), "")


def _in_scope(node: ast.AST, scope: str) -> Iterator[tuple[str, str]]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            name = child.name if not scope else f"{scope}.{child.name}"
            yield from _in_scope(child, _of_the_module(name))
            continue
        if isinstance(child, ast.Call) and (told := _writes(child)):
            yield scope or "<module>", told
        yield from _in_scope(child, scope)


def _of_the_module(name: str) -> str:
    """Leave a function inside a function to the outer one; keep a method's class."""
    parts = name.split(".")
    classes = [part for part in parts[:-1] if part[:1].isupper()]
    outer = next((part for part in parts if not part[:1].isupper()), None)
    return ".".join([*classes, outer] if outer else parts)


def _writes(call: ast.Call) -> str | None:
    if not isinstance(call.func, ast.Attribute):
        return None
    receiver, verb = _named(call.func.value), call.func.attr
    told = f"{receiver}.{verb}"
    if verb in OF_A_MODEL or (receiver, verb) in OF_A_DATABASE:
        return told
    if (
        verb in ("update", "aupdate")
        and not receiver.endswith(".conf")
        and (call.keywords or "objects" in receiver or "_manager" in receiver)
    ):
        return told  # a query set's; a dictionary's or a hash's takes a value by position
    if verb in ("create", "acreate") and receiver not in ("entry", "self.entry", "super(...)"):
        return told
    return None


def _named(node: ast.AST) -> str:
    if isinstance(node, ast.Call):
        return f"{_named(node.func)}(...)"
    if isinstance(node, ast.Attribute):
        return f"{_named(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else "..."


def product_files() -> list[str]:
    """Return every module of the product but migrations, which are written by a command."""
    files = [path.relative_to(TREE).as_posix() for package in PACKAGES for path in (TREE / package).rglob("*.py")]
    return sorted(path for path in files if "/migrations/" not in path)


def test_only_an_entry_writes_records():
    calls = {
        (path, *call)
        for path in product_files()
        if path not in WRITERS_OF_RECORDS and not path.startswith(ON_DATABASES_OF_ITS_OWN)
        for call in writing_calls((TREE / path).read_text())
    }

    assert calls - ALLOWED.keys() == set(), "these write past an entry; list them with a reason, or let an entry write"
    assert ALLOWED.keys() - calls == set(), "these are listed, and nothing there writes any more"


def test_the_modules_that_write_records_are_where_they_are_said_to_be():
    assert set(product_files()) >= WRITERS_OF_RECORDS
    assert all(list(writing_calls((TREE / path).read_text())) for path in WRITERS_OF_RECORDS)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("unit.save()", "unit.save"),
        ("Unit.objects.create(name=1)", "Unit.objects.create"),
        ("Unit(name=1).save()", "Unit(...).save"),
        ("Unit.objects.filter(id=1).update(name=2)", "Unit.objects.filter(...).update"),
        ("Unit.objects.update(**values)", "Unit.objects.update"),
        ("found.update(name=2)", "found.update"),
        ("found.delete()", "found.delete"),
        ("Unit.objects.bulk_create(units)", "Unit.objects.bulk_create"),
        ("Unit.objects.get_or_create(id=1)", "Unit.objects.get_or_create"),
        ("cursor.execute('UPDATE places_unit')", "cursor.execute"),
        ("cursor.copy('COPY places_unit FROM STDIN')", "cursor.copy"),
        ("rows.insert(Unit, lines)", "rows.insert"),
        ("person.units.create(name=1)", "person.units.create"),
        ("form.save()", "form.save"),
    ],
)
def test_a_writing_call_is_seen(line, told):
    assert list(writing_calls(f"def service(entry):\n    return [{line} for _ in ()]")) == [("service", told)]


@pytest.mark.parametrize(
    "line",
    [
        "entry.create(Unit, id=None)", "entry.change(unit, name=2)", "values.update(more)", "digest.update(b'')",
        "Unit.objects.filter(id=1).first()", "rows.append(1)",
    ],
)  # fmt: skip
def test_what_does_not_write_is_not_taken_for_it(line):
    assert list(writing_calls(line)) == []


def test_a_call_is_named_by_the_class_and_the_outermost_function_it_stands_in():
    source = "class People:\n    def add(self):\n        def inner():\n            x.save()\n        return inner"

    assert list(writing_calls(source)) == [("People.add", "x.save")]
