"""Person and device (global), group and member (records of the group)."""

from stewardship.accounts.models.groups import Group, Member, Role
from stewardship.accounts.models.persons import Device, People, Person

__all__ = ["Device", "Group", "Member", "People", "Person", "Role"]
