"""The standing cast: an invented group and its people, a stranger from another group, and what they do.

``does`` is the door of REST and pages, ``pushes`` that of a device. All act at ``AT`` unless told otherwise.
"""

import pickle
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cache
from hashlib import sha256
from itertools import count
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import Model
from django.test import Client

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Device, Group, Member, Person
from stewardship.accounts.services.groups import found_group
from stewardship.journal import rows
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.sync.models import Mutation
from stewardship.sync.perform import Done, Taken, perform_one, perform_together, push
from stewardship.sync.reading import Sent

AT = datetime(2027, 5, 1, 15, 0, tzinfo=UTC)
"""The clock of the tests: a Saturday morning in the zone of the first group, 10:00 there."""

ZONE = "America/Chicago"
OTHER_ZONE = "America/Denver"


def sent(
    type: str,
    op: str,
    set: dict[str, Any] | None = None,
    *,
    id: UUID | str | None = None,
    mid: UUID | None = None,
    **more: Any,
) -> Sent:
    """Return a mutation as a device or a client sends it; ``more``: base_rev, base, reason, n, tx, at."""
    target = UUID(id) if isinstance(id, str) else id
    return Sent(mid=mid or new_id(), type=type, op=op, set=set or {}, id=target, **more)


@dataclass
class Someone:
    """A person in a group, with the device they carry and the token it holds."""

    person: Person
    member: Member
    device: Device
    token: str
    numbers: Iterator[int] = field(default_factory=lambda: count(1))

    @property
    def group_id(self) -> UUID:
        """Return the id of the group."""
        return self.member.group_id

    @property
    def actor(self) -> Actor:
        """Return the person as the membership stood when it was last read."""
        member = self.member
        return Actor(self.person.id, member.group_id, member.id, member.role, not member.is_present)

    def read_again(self) -> "Someone":
        """Read the membership again, after somebody changed it."""
        self.member = Member.objects.get(id=self.member.id)
        return self

    def does(self, type: str, op: str, /, *, id: Any = None, at: datetime = AT, **values: Any) -> Done:
        """Perform one mutation or raise its refusal; ``mid``, ``base_rev`` and ``reason`` go beside the fields.

        The id of a new record is one of its fields; that of any other act names its target.
        """
        beside = {name: values.pop(name) for name in ("mid", "base_rev", "reason") if name in values}
        if op == "create":
            values |= {} if id is None else {"id": str(id)}
            id = None
        plain = {name: str(value) if isinstance(value, UUID) else value for name, value in values.items()}
        return self.does_sent(sent(type, op, plain, id=id, **beside), at)

    def does_sent(self, mutation: Sent, at: datetime = AT) -> Done:
        """Perform one mutation that is put together already."""
        return perform_one(mutation, actor=self.actor, at=at)

    def pushes(self, *mutations: Sent, at: datetime = AT) -> Taken:
        """Push from the device; a mutation without a number gets the device's next."""
        numbered = [self._numbered(mutation) for mutation in mutations]
        return push(numbered, actor=self.actor, device_id=self.device.id, at=at)

    def client(self) -> Client:
        """Return an HTTP client that carries the device's token."""
        return Client(headers={"Authorization": f"Bearer {self.token}"})

    def signed_in(self) -> Client:
        """Return an HTTP client with the person's session, as a browser has it after sign-in."""
        client = Client()
        client.force_login(self.person)
        return client

    def _numbered(self, mutation: Sent) -> Sent:
        return mutation if mutation.n is not None else msgspec.structs.replace(mutation, n=next(self.numbers))


@dataclass
class Cast:
    """Everybody: five people of one group, a stranger who coordinates another."""

    group: Group
    coordinator: Someone
    volunteer: Someone
    other_volunteer: Someone
    reviewer: Someone
    former: Someone
    stranger: Someone

    def everybody(self) -> list[Someone]:
        """Return the cast in one list."""
        return [
            self.coordinator, self.volunteer, self.other_volunteer, self.reviewer, self.former, self.stranger,
        ]  # fmt: skip


def assemble() -> Cast:
    """Bring the cast together: the first time through the doors, for later tests by the rows that came of it."""
    if not (kept := _kept()):
        kept.append(pickle.dumps(come_together()))
        kept += [(model, [_values(row) for row in model._default_manager.all()]) for model in WRITTEN]
    else:
        for model, written in kept[1:]:
            rows.insert(model, written)
    return _anew(kept[0])


WRITTEN = (Person, Device, Group, Member, Book, Revision, Mutation)
"""What is written when the cast comes together."""


@cache
def _kept() -> list[Any]:
    """Return the cast and its rows, kept for the rest of the run; empty at first."""
    return []


def _anew(kept: bytes) -> Cast:
    """Return the cast anew, so that no test sees what another did with it."""
    cast: Cast = pickle.loads(kept)
    return cast


def _values(row: Model) -> list[Any]:
    return [getattr(row, field.attname) for field in row._meta.concrete_fields]


def come_together() -> Cast:
    """Found both groups and let the people join; the former member joined and left."""
    coordinator = _founds("Tamarack Hollow Stewards", ZONE, "Maren Oduya", "maren@tamarack.example")
    joined = _join(
        coordinator,
        ("Tobias Quill", "tobias@tamarack.example", "volunteer"),
        ("Ines Carrowby", "ines@tamarack.example", "volunteer"),
        ("Halvard Pim", "halvard@tamarack.example", "reviewer"),
        ("Josie Tarnwell", "josie@tamarack.example", "volunteer"),
    )
    stranger = _founds("Larkspur Ridge Crew", OTHER_ZONE, "Wendel Ackerley", "wendel@larkspur.example")
    cast = Cast(Group.objects.get(id=coordinator.group_id), coordinator, *joined, stranger)
    coordinator.does("member", "end", id=cast.former.member.id)
    cast.former.read_again()
    return cast


def _founds(group: str, zone: str, name: str, email: str) -> Someone:
    founder = Person.objects.create_user(email=email)
    found_group(founder=founder, display_name=name, name=group, time_zone=zone, at=AT)
    return with_device(Member.objects.get(person=founder))


def _join(coordinator: Someone, *people: tuple[str, str, str]) -> list[Someone]:
    """Let people join, in one entry: every test begins with it."""
    told = [{"display_name": name, "email": email, "role": role} for name, email, role in people]
    done = perform_together([sent("member", "create", each) for each in told], actor=coordinator.actor, at=AT)
    members = Member.objects.select_related("person").in_bulk([each.record.id for each in done])
    return [with_device(members[each.record.id]) for each in done]


def with_device(member: Member, name: str = "phone") -> Someone:
    """Return a member with a device that holds a token."""
    token = f"sdt_{name}-of-{member.id}"
    hashed = sha256(token.encode()).hexdigest()
    device = Device.objects.create(person=member.person, name=name, secret_hash=hashed, created_at=AT)
    return Someone(member.person, member, device, token)
