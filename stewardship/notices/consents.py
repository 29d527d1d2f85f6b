"""Consents that end: who gave one is asked for the next."""

from collections.abc import Iterator
from datetime import timedelta

from stewardship.accounts.models import Consent
from stewardship.notices.rounds import Ending, Round


def consents_that_end(round: Round) -> Iterator[Ending]:
    """Give every consent with a last day; one statement."""
    found = Consent.objects.filter(
        group_id=round.group.id, withdrawn_at=None, voided_at=None, text__retired_at=None
    ).select_related("text")
    consents = list(found.order_by("id"))
    for consent in consents:
        if consent.ends_on:
            after = max(consent.ends_on + timedelta(days=1), round.today)
            yield Ending(
                key=f"consent.{consent.id}",
                member_id=consent.member_id,
                last_on=consent.ends_on,
                name=f"{consent.text.get_what_display()} “{consent.text.title}”",
                what_to_do="Agree to it again under My account, or sign the sheet on the next work day.",
                is_renewed=any(c.counts_on(after) for c in consents if _is_same(c, consent)),
                path="/my/",
                coordinators_path=f"/people/{consent.member_id}/",
            )


def _is_same(other: Consent, consent: Consent) -> bool:
    return other.member_id == consent.member_id and other.text.what == consent.text.what and other.id != consent.id
