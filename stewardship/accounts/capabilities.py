"""What each role may do: one table, asked by every door."""

from dataclasses import dataclass
from uuid import UUID

from stewardship.journal.models import GROUP, Record

CAPABILITIES: dict[str, frozenset[str]] = {
    "read": frozenset({"coordinator", "volunteer", "reviewer"}),
    "be_told": frozenset({"coordinator", "volunteer", "reviewer"}),
    "plan_mix": frozenset({"coordinator", "volunteer", "reviewer"}),
    "record_work": frozenset({"coordinator", "volunteer"}),
    "hand_in_files": frozenset({"coordinator", "volunteer"}),
    "amend_anyones": frozenset({"coordinator"}),
    "override_limits": frozenset({"coordinator"}),
    "manage_members": frozenset({"coordinator"}),
    "manage_group": frozenset({"coordinator"}),
    "manage_places": frozenset({"coordinator"}),
    "manage_catalog": frozenset({"coordinator"}),
    "manage_stock": frozenset({"coordinator"}),
    "manage_credentials": frozenset({"coordinator"}),
    "lock_records": frozenset({"coordinator"}),
    "manage_contractors": frozenset({"coordinator"}),
    "manage_work_days": frozenset({"coordinator"}),
    "manage_seasons": frozenset({"coordinator"}),
    "reconcile": frozenset({"coordinator"}),
    "ask_for_reports": frozenset({"coordinator", "reviewer"}),
    "prove_book": frozenset({"coordinator", "reviewer"}),
    "keep_own_details": frozenset({"coordinator", "volunteer", "reviewer"}),
    "sign_up": frozenset({"coordinator", "volunteer"}),
    "settle": frozenset({"coordinator"}),
    "void_own_held": frozenset({"coordinator", "volunteer", "reviewer"}),
}
"""Capability -> the roles that have it. A reviewer writes no field data."""


@dataclass(frozen=True)
class Actor:
    """A person acting in a group as a member with a role, present or former."""

    person_id: UUID
    group_id: UUID
    member_id: UUID
    role: str
    is_former: bool = False

    def may(self, capability: str) -> bool:
        """Return whether the role has this capability; a former member's has none."""
        return not self.is_former and self.role in CAPABILITIES[capability]

    def capabilities(self) -> list[str]:
        """Return everything the role may do, by name."""
        return sorted(name for name in CAPABILITIES if self.may(name))

    def sees(self, record: Record) -> bool:
        """Return whether the record is for the actor to read."""
        audiences = self.audiences()
        return audiences is None or record.audience() in audiences

    def audiences(self) -> tuple[str, ...] | None:
        """Return the audiences that the actor belongs to; None stands for all of them."""
        return None if self.role == "coordinator" else (GROUP, str(self.person_id))
