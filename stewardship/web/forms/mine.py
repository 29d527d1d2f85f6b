"""What a person says about their own devices."""

from typing import Any

from django import forms

from stewardship.accounts.models import Device
from stewardship.web.forms.base import speak_plainly


class DeviceForm(forms.Form):
    """The name by which its owner knows a device."""

    name = forms.CharField(label="Name", max_length=100)

    def __init__(self, *args: Any, device: Device, **kwargs: Any) -> None:
        """Ask about ``device``."""
        self.device = device
        kwargs |= {"initial": {"name": device.name}, "auto_id": f"id_{device.id.hex[-6:]}_%s"}
        super().__init__(*args, **kwargs)
        speak_plainly(self)
