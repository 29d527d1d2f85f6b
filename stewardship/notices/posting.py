"""A letter is handed to the mail server: taken first, sent then, marked last."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from email.utils import format_datetime, formataddr, parseaddr
from smtplib import SMTP, SMTPDataError, SMTPException, SMTPRecipientsRefused, SMTPResponseException
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.db.models import F, Q, QuerySet

from stewardship.jobs.lease import Watch
from stewardship.jobs.models import Job
from stewardship.notices.models import Letter, State
from stewardship.notices.writing import off_url

logger = logging.getLogger(__name__)

LEASE = timedelta(minutes=5)
"""How long a run has a letter for itself: longer than a mail server is waited for."""

MOST_TRIES = 12
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=6)
MOST_UNCLEAR = 2
"""Ends of which nobody knows whether the letter went; at this many it is not tried again."""

FOR_GOOD = 500
"""Answers of a mail server from here on are final, RFC 5321 section 4.2.1."""


class Refused(Exception):
    """The letter surely did not go; ``for_good``: and never will."""

    def __init__(self, told: str, *, for_good: bool = False) -> None:
        """Keep what the mail server said, and whether that is final."""
        super().__init__(told)
        self.for_good = for_good


class NoServer(Refused):
    """The mail server takes no letter now."""


def unsent(at: datetime) -> QuerySet[Letter]:
    """Return the letters that can be tried now: queued and due, or taken by a run that did not come back."""
    return Letter.objects.filter(_free(at))


def _free(at: datetime) -> Q:
    return Q(state=State.QUEUED, run_after__lte=at) | Q(state=State.SENDING, lease_until__lt=at)


def post(job: Job, at: datetime) -> dict[str, Any]:
    """Try every letter of the job's group that can be tried; return how many went, and how many did not."""
    watch = Watch(at)
    told = {"sent": 0, "waiting": 0, "failed": 0}
    ids = list(unsent(at).filter(group_id=job.group_id).order_by("run_after", "id").values_list("id", flat=True))
    for id in ids:
        letter = take(id, watch.now())
        if letter is None:
            continue
        try:
            told[_try(letter, watch)] += 1
        except NoServer:  # the others are not made to wait for a server that is away
            told["waiting"] += 1
            break
    return told


def take(letter_id: UUID, at: datetime) -> Letter | None:
    """Take a letter with one statement: of many runs that try at once, one gets it and the others get None."""
    _give_up(letter_id, at)
    until = at + LEASE
    lapsed = Letter.objects.filter(id=letter_id, state=State.SENDING, lease_until__lt=at)
    queued = Letter.objects.filter(id=letter_id, state=State.QUEUED, run_after__lte=at)
    values = {"state": State.SENDING, "lease_until": until, "attempts": F("attempts") + 1}
    if not lapsed.update(unclear_ends=F("unclear_ends") + 1, **values) and not queued.update(**values):
        return None
    return Letter.objects.select_related("member__group").get(id=letter_id)


def _give_up(letter_id: UUID, at: datetime) -> None:
    """Fail a letter whose runs ended without a word too often: it may have arrived."""
    lost = Letter.objects.filter(
        id=letter_id, state=State.SENDING, lease_until__lt=at, unclear_ends__gte=MOST_UNCLEAR - 1
    )
    if lost.update(state=State.FAILED, finished_at=at, unclear_ends=F("unclear_ends") + 1, error=UNCLEAR):
        logger.error("Letter %s: twice nobody knows whether it went; it is not tried again", letter_id)


GONE = "Who it is for has left the group or is suspended. It was not sent."
UNCLEAR = "The service was stopped while it sent this. It may have arrived."


def _try(letter: Letter, watch: Watch) -> str:
    """Send a letter that was taken, and mark what became of it; return the name of the count it belongs to.

    Raises NoServer.
    """
    if not letter.member.is_present:
        return _put_back(letter, watch.now(), GONE, is_final=True)
    try:
        _send(letter)
    except Refused as refusal:
        logger.warning("Letter %s did not go, attempt %s: %s", letter.id, letter.attempts, refusal)
        is_final = refusal.for_good or letter.attempts >= MOST_TRIES
        outcome = _put_back(letter, watch.now(), str(refusal), is_final=is_final)
        if isinstance(refusal, NoServer):
            raise
        return outcome
    except Exception as error:  # it broke off on the way: nobody knows whether the letter went
        logger.exception("Letter %s: nobody knows whether it went, attempt %s", letter.id, letter.attempts)
        unclear = letter.unclear_ends + 1
        told = f"It may have arrived: {error}"
        return _put_back(letter, watch.now(), told, is_final=unclear >= MOST_UNCLEAR, unclear_ends=unclear)
    _mark(letter, state=State.SENT, finished_at=watch.now(), error="")
    return "sent"


def _put_back(letter: Letter, at: datetime, told: str, *, is_final: bool, **values: Any) -> str:
    if is_final:
        _mark(letter, state=State.FAILED, finished_at=at, error=told[:500], **values)
        return "failed"
    wait = min(FIRST_WAIT * 2 ** (letter.attempts - 1), LONGEST_WAIT)
    _mark(letter, state=State.QUEUED, run_after=at + wait, error=told[:500], **values)
    return "waiting"


def _mark(letter: Letter, **values: Any) -> None:
    """Write what became of a letter, unless another run has taken it meanwhile."""
    held = Letter.objects.filter(id=letter.id, state=State.SENDING, lease_until=letter.lease_until)
    if not held.update(lease_until=None, **values):
        logger.warning("Letter %s was taken over by another run before this one could mark it", letter.id)


def _send(letter: Letter) -> None:
    """Hand a letter to the mail server. Raises Refused if it surely did not go."""
    connection = get_connection()
    try:
        connection.open()
    except (OSError, SMTPException) as error:
        raise NoServer(f"The mail server does not answer: {error}") from error
    begun = _handing_over(connection)
    try:
        with _refusals_of_the_letter():
            sent = message(letter, connection).send()
    except OSError as error:
        if begun:
            raise
        raise NoServer(f"The mail server broke off before the letter was handed over: {error}") from error
    finally:
        _close(connection)
    if not sent:
        raise Refused("The mail server took nothing.")


def _handing_over(connection: Any) -> list[str]:
    """Return a list that holds something once the text of a letter is being handed over: until then none went.

    Where that cannot be seen it does so at once.
    """
    server = getattr(connection, "connection", None)
    if not isinstance(server, SMTP):
        return ["unseen"]
    begun: list[str] = []
    hand_over = server.data

    def data(text: Any) -> Any:
        begun.append("data")
        return hand_over(text)

    server.data = data  # type: ignore[method-assign]
    return begun


def message(letter: Letter, connection: Any = None) -> EmailMultiAlternatives:
    """Return the letter as a mail: the same bytes each time."""
    group = letter.member.group
    address = parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    mail = EmailMultiAlternatives(
        letter.subject,
        letter.text,
        formataddr((group.name, address)),
        [letter.address],
        connection=connection,
        headers={
            "Message-ID": letter.message_id,
            "Date": format_datetime(letter.made_at),
            "Auto-Submitted": "auto-generated",  # RFC 3834: no answer of a machine comes back
            "List-Unsubscribe": f"<{off_url(letter.member)}>",  # RFC 2369
            "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",  # RFC 8058
        },
    )
    mail.attach_alternative(letter.html, "text/html")
    return mail


@contextmanager
def _refusals_of_the_letter() -> Iterator[None]:
    """Take what the server answered as its refusal of this letter; where it answered nothing, nobody knows."""
    try:
        yield
    except SMTPRecipientsRefused as error:
        code, said = next(iter(error.recipients.values()))
        raise Refused(f"The address was refused: {code} {said!r}", for_good=code >= FOR_GOOD) from error
    except SMTPResponseException as error:
        is_final = isinstance(error, SMTPDataError) and error.smtp_code >= FOR_GOOD
        raise Refused(f"The letter was refused: {error}", for_good=is_final) from error


def _close(connection: Any) -> None:
    try:
        connection.close()
    except (OSError, SMTPException):
        logger.warning("The connection to the mail server could not be closed", exc_info=True)
