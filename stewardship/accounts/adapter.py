"""How signing in works here, beyond its settings."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.http import HttpRequest
from django.utils import timezone

from stewardship.accounts.joining import know
from stewardship.accounts.limits import client_address
from stewardship.accounts.queries import memberships


class Adapter(DefaultAccountAdapter):
    """Nobody makes an account by themselves: a coordinator takes a person into a group."""

    error_messages = DefaultAccountAdapter.error_messages | {
        "email_password_mismatch": "This address and this password do not belong together. Check both, and try again.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Return that sign-up is closed."""
        return False

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Send a letter about the account, with the address of the service in it; a code proves whose address it is."""
        if template_prefix == "account/email/password_reset_code":
            know(email)
        super().send_mail(template_prefix, email, context | {"site_url": settings.SITE_URL})

    def send_notification_mail(
        self, template_prefix: str, user: Any, context: dict[str, Any] | None = None, email: str | None = None
    ) -> None:
        """Send a letter about something that was done to an account, told by the clock of its owner's first group."""
        first = memberships(user.pk).first()
        with timezone.override(first.group.time_zone if first else "UTC"):
            super().send_notification_mail(template_prefix, user, context, email)

    def get_client_ip(self, request: HttpRequest) -> str:
        """Return the address that attempts are counted under and sessions are listed with."""
        return client_address(request) or "0.0.0.0"
