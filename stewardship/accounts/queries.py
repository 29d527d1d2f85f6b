"""Who is who by their address, and a member of what."""

from uuid import UUID

from allauth.account.models import EmailAddress
from django.db.models import QuerySet

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Member, Person
from stewardship.journal import rows


def person_of(email: str) -> Person | None:
    """Return the person who signs in with this address: their main one, or another that they verified."""
    own = Person.objects.filter(email=email).first()
    if own is not None:
        return own
    verified = EmailAddress.objects.filter(email=email, verified=True).select_related("user").first()
    return verified.user if verified else None


def membership(person_id: UUID, group_id: UUID) -> Member | None:
    """Return the person's membership of the group, whether it holds or not, with the group; None if there was none."""
    found = rows.select(Member, beside="group", person_id=person_id, group_id=group_id)
    return found[0] if found else None


def memberships(person_id: UUID) -> QuerySet[Member]:
    """Return the person's present memberships, with their groups, in the order of the groups' names."""
    found = Member.objects.select_related("group").present().filter(person_id=person_id)
    return found.order_by("group__name", "id")


def actor_of(member: Member) -> Actor:
    """Return the person as somebody who acts in the group; who is suspended acts like who left."""
    return Actor(member.person_id, member.group_id, member.id, member.role, is_former=not member.is_present)
