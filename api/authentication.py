"""Who is asking: a device by its token, a person by a session."""

import re
from typing import Any

from allauth.headless.contrib.rest_framework.authentication import XSessionTokenAuthentication
from django.utils import timezone
from rest_framework.authentication import BaseAuthentication, SessionAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed

from stewardship.accounts import devices

_SESSION_TOKEN = re.compile(r"[A-Za-z0-9]{8,64}")


class DeviceToken(BaseAuthentication):
    """``Authorization: Bearer <token>``; ``request.auth`` is the device."""

    takes_revoked = False

    def authenticate_header(self, request: Any) -> str:
        """Return the challenge of a 401: this class stands first."""
        return 'Bearer realm="api"'

    def authenticate(self, request: Any) -> tuple[Any, Any] | None:
        """Return the person and the device; None without the header."""
        scheme, _, token = get_authorization_header(request).partition(b" ")
        if scheme.lower() != b"bearer":
            return None
        device = devices.find(token.strip(), or_revoked=self.takes_revoked)
        if device is None:
            raise AuthenticationFailed("This device is not known here, or it was revoked. Sign in again.")
        devices.note_seen(device, at=timezone.now())
        return device.person, device


class LateDeviceToken(DeviceToken):
    """The same where a device hands in what it still has after it was revoked."""

    takes_revoked = True


class SessionToken(XSessionTokenAuthentication):
    """``X-Session-Token`` of a sign-in without a browser."""

    def get_session_token(self, request: Any) -> str | None:
        """Return the token if it has the form of one."""
        token = request.headers.get("X-Session-Token", "")
        return token if _SESSION_TOKEN.fullmatch(token) else None


class BrowserSession(SessionAuthentication):
    """The cookie of a sign-in on the pages; a write needs the CSRF token too."""
