"""What is left of a batch is measured, and its account is closed."""

from typing import Any
from zoneinfo import ZoneInfo

from stewardship.sync.reading import Sent
from stewardship.treatments.models import Batch
from stewardship.web import words
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.mixes import VOLUMES


class BatchForm(ActForm):
    """An act on one batch."""

    def __init__(self, *args: Any, batch: Batch, **kwargs: Any) -> None:
        """Act on ``batch``, by whose clock its times are told."""
        self.batch = batch
        self.zone = ZoneInfo(batch.time_zone)
        super().__init__(*args, **kwargs)


class LeftoverForm(BatchForm):
    """What somebody measured as left in one container; it draws nothing."""

    volume = base.number("Left")
    volume_unit = base.choice("Unit", VOLUMES)
    how_known = base.choice(
        "How it is known", [(k, words.HOW_KNOWN[k]) for k in ("measured", "read_off_container", "estimated")]
    )
    container = base.text("Container", max_length=200, help_text="Such as the number painted on it.")
    kept_where = base.text("Kept where")
    measured_on = base.calendar("Measured on")
    measured_at = base.clock("Measured at")

    def fill(self) -> None:
        """Offer the present time and the unit that it was mixed in."""
        now = self.here.at.astimezone(self.zone)
        self.initial |= {
            "measured_on": now.date(),
            "measured_at": now.time().replace(second=0, microsecond=0),
            "volume_unit": self.batch.mix_unit,
        }

    def sends(self) -> list[Sent]:
        """Return the leftover."""
        told = self.cleaned_data
        return [
            self.sent(
                "leftover", "create", batch=self.batch.id, how_known=told["how_known"], container=told["container"],
                volume={"value": told["volume"], "unit": told["volume_unit"]}, kept_where=told["kept_where"],
                measured_at=base.instant(told["measured_on"], told["measured_at"], self.zone),
            )
        ]  # fmt: skip


class CloseForm(BatchForm):
    """That a batch is closed; a difference that measuring does not explain wants a reason."""

    reason = base.text("Reason", rows=2, help_text="Only asked for where the batch does not balance.", max_length=1000)

    def sends(self) -> list[Sent]:
        """Return the close."""
        closed_at = self.here.at.isoformat()
        told = {"id": self.batch.id, "reason": self.cleaned_data["reason"]}
        return [self.sent("batch", "close", closed_at=closed_at, **told)]
