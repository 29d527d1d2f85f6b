"""What may be sent about duties and sign-ups."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.credentials.models import CredentialType
from stewardship.journal.fields import Amend, Name, New, Ref
from stewardship.workdays.models import Duty, WorkDay

DutyNames = Literal[
    "leader",
    "team_leader",
    "applicator",
    "helper",
    "sawyer",
    "swamper",
    "cutter",
    "puller",
    "hauler",
    "burn_boss",
    "other",
]
OtherName = Annotated[str, Meta(max_length=100)]
Wanted = Annotated[int, Meta(ge=0, le=1000)]
Kinds = Annotated[list[Annotated[UUID, Ref(CredentialType)]], Meta(max_length=10)]
Age = Annotated[int, Meta(ge=1, le=120)]


class NewDuty(New, frozen=True):
    """A job on a work day; ``other_name`` says what it is where the name is other.

    ``needs``: kinds of credentials that its people hold, besides what the duty asks by its name.
    """

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    name: DutyNames
    wanted: Annotated[int, Meta(ge=1, le=1000)]
    other_name: OtherName = ""
    minimum_age: Age | None = None
    needs: Kinds = []

    def __post_init__(self) -> None:
        """Refuse an other duty without words, and words for one that has a name."""
        if (self.name == "other") != bool(self.other_name.strip()):
            raise ValueError("Say in other_name what the duty is if its name is other, and only then.")


class AmendDuty(Amend, frozen=True):
    """A change of how many people are wanted, or of what is asked of them; 0 wanted: the duty is dropped."""

    wanted: Wanted | UnsetType = UNSET
    minimum_age: Age | None | UnsetType = UNSET
    needs: Kinds | UnsetType = UNSET


class NewSignUp(New, frozen=True):
    """A member's word to do a duty; without ``member`` it is one's own. If there is no place it waits for one.

    ``drop_in`` is the name of somebody who is no member and works along on the day itself: they become one.
    """

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    duty: Annotated[UUID, Ref(Duty, lock=True)]
    member: Annotated[UUID, Ref(Member)] | None = None
    drop_in: Name | None = None

    def __post_init__(self) -> None:
        """Refuse two people in one sign-up."""
        if self.member and self.drop_in:
            raise ValueError("Name a member or somebody who drops in, not both.")
