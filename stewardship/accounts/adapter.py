"""How signing in works here, beyond its settings."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class Adapter(DefaultAccountAdapter):
    """Nobody makes an account by themselves: a coordinator takes a person into a group."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Return that sign-up is closed."""
        return False
