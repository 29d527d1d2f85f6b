"""A group to measure with, entered through the doors: its land, its catalogue and a coordinator's phone."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.management import call_command
from django.utils import timezone

from stewardship.accounts import devices
from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Member, Person
from stewardship.accounts.queries import actor_of
from stewardship.accounts.services.groups import found_group
from stewardship.journal.ids import new_id
from stewardship.sync.perform import perform_one
from stewardship.sync.reading import Sent
from stewardship.sync.reference import load_reference, reference_id

UNITS = 40
SPECIES, PRODUCT = "rhamnus-cathartica", "triclopyr-bee-4"


def lay_out() -> dict[str, Any]:
    """Make the tables, found a group, and return what a phone of it knows: its token, the ids its records name."""
    call_command("migrate", verbosity=0, interactive=False)
    at = timezone.now()
    founder = Person.objects.create_user(email="first@bench.example")
    group = found_group(founder=founder, display_name="First", name="Bench", time_zone="America/Chicago", at=at)
    load_reference(group.id, at=at)
    member = Member.objects.select_related("group").get(person=founder)
    device, token = devices.mint(founder, "phone", at=at)
    place = _enters(actor_of(member), at, "property", name="Heron Bend")
    return {
        "group": group.id,
        "token": token,
        "device": device.id,
        "member": member.id,
        "units": [_enters(actor_of(member), at, "unit", name=f"Unit {i}", property=str(place)) for i in range(UNITS)],
        "species": reference_id(group.id, "species", SPECIES),
        "product": reference_id(group.id, "product", PRODUCT),
    }


def _enters(actor: Actor, at: datetime, type: str, **values: str) -> UUID:
    id = new_id()
    perform_one(Sent(mid=new_id(), type=type, op="create", set={"id": str(id), **values}), actor=actor, at=at)
    return id
