"""What is asked of who accepts an invitation."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from stewardship.accounts.models import Invitation, Person
from stewardship.web.forms.base import speak_plainly


class JoinForm(forms.Form):
    """A new person chooses a password; anybody else says yes and no more."""

    password1 = forms.CharField(
        label="A password", strip=False, max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least 8 characters, not a common word, nothing like your address. A short sentence is good.",
    )  # fmt: skip
    password2 = forms.CharField(
        label="The same password again", strip=False, max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip

    def __init__(self, *args: Any, invitation: Invitation, asks_password: bool, **kwargs: Any) -> None:
        """Ask for a password, or only for a yes."""
        super().__init__(*args, **kwargs)
        self.invitation, self.asks_password = invitation, asks_password
        if not asks_password:
            self.fields.clear()
        speak_plainly(self)

    def clean(self) -> dict[str, Any]:
        """Refuse two passwords that differ, and one that is easily guessed."""
        told = super().clean() or self.cleaned_data
        first, second = told.get("password1"), told.get("password2")
        if first and second and first != second:
            self.add_error("password2", "The two passwords differ. Type the same one twice.")
        if first and second and first == second:
            try:
                validate_password(first, Person(email=self.invitation.email))
            except ValidationError as refusal:
                self.add_error("password1", refusal)
        return told

    def password(self) -> str:
        """Return the password that was chosen; none where there is one already."""
        return str(self.cleaned_data.get("password1", ""))
