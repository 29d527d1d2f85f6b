"""A person's own devices: minted from a sign-in, listed, revoked."""

from typing import Any

from django.utils import timezone
from rest_framework.response import Response

from api.filtering import check_parameters
from api.operations import ID, INTEGER, MOMENT, PAGE, TEXT, Does, a_page, an_object, or_null
from api.paging import PARAMETERS, page
from api.permissions import Endpoint, read_id
from api.writing import fields_of
from stewardship.accounts import devices
from stewardship.accounts.fields import NewDevice
from stewardship.accounts.models import Device
from stewardship.errors import NotPermitted, Unavailable
from stewardship.journal.contents import instant
from stewardship.journal.fields import Closed
from stewardship.sync.reading import read_fields

_DEVICE = an_object(
    {
        "id": ID, "name": TEXT, "created_at": MOMENT, "last_seen_at": or_null(MOMENT),
        "revoked_at": or_null(MOMENT), "is_this": {"type": "boolean"}, "copies": INTEGER,
    }
)  # fmt: skip


class SessionNeeded(NotPermitted):
    """A token makes no further tokens: one that is lost could outlive its own end."""

    code = "session_needed"
    message = "A device is added from a sign-in with e-mail and password, not from another device."


class Devices(Endpoint):
    """The devices of the person who asks."""

    does = {
        "get": Does("List your devices", a_page(_DEVICE), parameters=PAGE),
        "post": Does(
            "Add a device; its token is shown this once", an_object({"id": ID, "token": TEXT}), NewDevice, 201
        ),
    }

    def get(self, request: Any) -> Response:
        """Return a page of them, revoked ones too."""
        check_parameters(request, *PARAMETERS)
        found, links = page(devices.owned(request.user.pk), request)
        return Response(links | {"results": [_told(device, request) for device in found]})

    def post(self, request: Any) -> Response:
        """Mint one."""
        check_parameters(request)
        if isinstance(request.auth, Device):
            raise SessionNeeded
        wish = read_fields(fields_of(request), NewDevice)
        devices.check_second_factor(request.user, request.auth or request.session)
        device, token = devices.mint(request.user, wish.name, at=timezone.now())
        return Response({"id": str(device.id), "token": token}, status=201)


class OneDevice(Endpoint):
    """A device and its name."""

    does = {"patch": Does("Rename a device of yours", _DEVICE, NewDevice)}

    def patch(self, request: Any, id: str) -> Response:
        """Give it another name."""
        check_parameters(request)
        device = _own(request, id)
        wish = read_fields(fields_of(request), NewDevice)
        return Response(_told(devices.rename(device, wish.name), request))


class RevokeDevice(Endpoint):
    """The end of a device's right to act."""

    does = {"post": Does("Revoke a device of yours", _DEVICE, {"type": "object", "maxProperties": 0})}

    def post(self, request: Any, id: str) -> Response:
        """Revoke it; revoked already, it stays so."""
        check_parameters(request)
        device = _own(request, id)
        read_fields(fields_of(request), Closed)
        return Response(_told(devices.revoke(device, at=timezone.now()), request))


def _own(request: Any, id: str) -> Device:
    """Return the device of who asks; another person's is not there. Raises Unavailable."""
    device = devices.owned(request.user.pk).filter(id=read_id(id)).first()
    if device is None:
        raise Unavailable
    return device


def _told(device: Device, request: Any) -> dict[str, Any]:
    return {
        "id": str(device.id),
        "name": device.name,
        "created_at": instant(device.created_at),
        "last_seen_at": device.last_seen_at and instant(device.last_seen_at),
        "revoked_at": device.revoked_at and instant(device.revoked_at),
        "is_this": device == request.auth,
        "copies": device.known_copies,
    }
