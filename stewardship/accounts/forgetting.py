"""A person is forgotten who belongs to no group any more: address, sign-in, second factor, sessions, devices."""

from datetime import datetime
from uuid import UUID

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession

from stewardship.accounts.models import Device, Member, Person

NAMELESS = "a device"


def forget(person_id: UUID, at: datetime) -> bool:
    """Overwrite a person, unless some group still has them; tell whether that was done. Again changes nothing."""
    person = Person.objects.select_for_update(no_key=True).get(id=person_id)
    if Member.objects.filter(person_id=person_id, erased_at=None).exists():
        return False
    for session in UserSession.objects.filter(user_id=person_id):
        session.end()
    EmailAddress.objects.filter(user_id=person_id).delete()
    Authenticator.objects.filter(user_id=person_id).delete()
    devices = Device.objects.filter(person_id=person_id)
    devices.filter(revoked_at=None).update(revoked_at=at)
    devices.update(name=NAMELESS)
    person.email, person.is_active, person.last_login = None, False, None
    person.set_unusable_password()
    person.save()
    return True
