"""What may be sent about permissions of landowners and permits of authorities."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.journal.fields import Amend, Closed, Name, New, Ref, Target, Text
from stewardship.places.models import Property, Unit
from stewardship.rules.methods import HerbicideMethod

Actives = Annotated[list[Name], Meta(max_length=50)]
Methods = Annotated[list[HerbicideMethod], Meta(max_length=6)]
Hours = Annotated[int, Meta(ge=1, le=24 * 60)]
Line = Annotated[str, Meta(max_length=200)]
Number = Annotated[str, Meta(min_length=1, max_length=100, pattern=r"\S")]
PermitWhat = Literal["waters", "protected_area", "burning", "other"]
PermitUnits = Annotated[list[Annotated[UUID, Ref(Unit)]], Meta(max_length=200)]


class NoticeWanted(Closed, frozen=True):
    """The notice that a landowner wants before work with herbicide: how many hours before, how, and to whom."""

    hours_before: Hours
    how: Line = ""
    to: Line = ""


class NewLandPermission(New, frozen=True):
    """The written permission of whoever has a right to the land. The whole group reads it."""

    property: Annotated[UUID, Ref(Property)]
    given_by: Name
    relation: Name
    given_on: date
    valid_from: date
    herbicide: bool
    valid_to: date | None = None
    excluded_actives: Actives = []
    excluded_methods: Methods = []
    notice: NoticeWanted | None = None
    copy_wanted: bool = False
    document: Text = ""
    note: Text = ""


class AmendLandPermission(Amend, frozen=True):
    """A correction of a permission; what was judged by it before keeps its marks."""

    given_by: Name | UnsetType = UNSET
    relation: Name | UnsetType = UNSET
    given_on: date | UnsetType = UNSET
    valid_from: date | UnsetType = UNSET
    herbicide: bool | UnsetType = UNSET
    valid_to: date | None | UnsetType = UNSET
    excluded_actives: Actives | UnsetType = UNSET
    excluded_methods: Methods | UnsetType = UNSET
    notice: NoticeWanted | None | UnsetType = UNSET
    copy_wanted: bool | UnsetType = UNSET
    document: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class Withdraw(Target, frozen=True):
    """The withdrawal of a permission or permit: the first day on which it holds no more, and why."""

    withdrawn_on: date


class GiveCopy(Target, frozen=True):
    """A copy of a record that was given to whoever permitted the work."""

    what: Name
    on: date
    how: Name


class NewPermit(New, frozen=True):
    """An authority's permit. Without a property it holds wherever the group works; an empty list restricts nothing."""

    authority: Name
    number: Number
    what: PermitWhat
    valid_from: date
    valid_to: date | None = None
    property: Annotated[UUID, Ref(Property)] | None = None
    units: PermitUnits = []
    actives: Actives = []
    methods: Methods = []
    conditions: Text = ""
    document: Text = ""
    note: Text = ""


class AmendPermit(Amend, frozen=True):
    """A correction of a permit; it stays with its property."""

    authority: Name | UnsetType = UNSET
    number: Number | UnsetType = UNSET
    what: PermitWhat | UnsetType = UNSET
    valid_from: date | UnsetType = UNSET
    valid_to: date | None | UnsetType = UNSET
    units: PermitUnits | UnsetType = UNSET
    actives: Actives | UnsetType = UNSET
    methods: Methods | UnsetType = UNSET
    conditions: Text | UnsetType = UNSET
    document: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET
