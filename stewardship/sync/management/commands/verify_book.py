"""Prove the record book: ``manage.py verify_book [--group ID …] [--head NUMBER:HASH …] [--json]``."""

import re
from argparse import ArgumentParser, ArgumentTypeError
from itertools import chain
from typing import Any
from uuid import UUID

import orjson
from django.core.management.base import BaseCommand, CommandError

from stewardship.journal.verifying import Verification, groups
from stewardship.sync.held import uncounted

_HEAD = re.compile(r"([1-9][0-9]{0,17}):([0-9a-f]{64})")


class Command(BaseCommand):
    """Reads every revision and every record of the groups; changes nothing and keeps nobody from writing."""

    help = "Prove the record book: hashes, chain, numbers, remembered heads, and that each record is as it says."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take which groups, what is remembered of one of them, and in which form to tell."""
        parser.add_argument("--group", type=_group, action="append", default=[], help="its id; all without it")
        parser.add_argument("--head", type=_head, action="append", default=[], help="NUMBER:HASH, as remembered")
        parser.add_argument("--json", action="store_true", help="one JSON object a line")

    def handle(self, *, group: list[UUID], head: list[tuple[int, str]], json: bool, **options: Any) -> None:
        """Tell what does not hold, group by group; ends with 1 if there is anything."""
        if head and len(group) != 1:
            raise CommandError("A remembered head is one group's: name that group with --group.")
        if len(dict(head)) < len(set(head)):
            raise CommandError("Two hashes are remembered for one number: no book can have both.")
        wrong = sum(self._verify(id, dict(head), json) for id in group or groups())
        if wrong:
            raise CommandError(f"{wrong} {'thing does' if wrong == 1 else 'things do'} not hold.")

    def _verify(self, id: UUID, heads: dict[int, str], json: bool) -> int:
        verification, wrong = Verification(id, heads), 0
        for finding in chain(verification.findings(), uncounted(id)):
            wrong += 1
            self._tell({"group": str(id), **finding._asdict()} if json else f"{id}: {finding.detail}")
        told = {
            "group": str(id), "revisions": verification.revisions, "records": verification.records,
            "head": verification.head, "head_hash": verification.head_hash, "heads_remembered": len(heads),
            "findings": wrong,
        }  # fmt: skip
        self._tell(told if json else SUMMARY.format(**told))
        return wrong

    def _tell(self, told: Any) -> None:
        self.stdout.write(orjson.dumps(told).decode() if isinstance(told, dict) else told)


SUMMARY = (
    "{group}: {revisions} revisions of {records} records looked at, {heads_remembered} remembered heads compared; "
    "the book ends at {head}:{head_hash}; {findings} findings."
)


def _group(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as error:
        raise ArgumentTypeError("this is no id of a group") from error


def _head(text: str) -> tuple[int, str]:
    found = _HEAD.fullmatch(text.strip().lower())
    if not found:
        raise ArgumentTypeError("a head is its number, a colon and its hash of 64 characters")
    return int(found[1]), found[2]
