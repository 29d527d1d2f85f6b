"""A mail server for the tests: it takes letters, refuses them, breaks off or is killed, each at a step of its own."""

from collections.abc import Callable
from smtplib import SMTPConnectError, SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

from django.core.mail.backends.base import BaseEmailBackend

taken: list = []
"""The mails that went, in order."""

does: list[Callable] = []
"""What happens to the next letters, one each; then each is taken."""


class Killed(BaseException):
    """The process is gone: nothing after this line is run."""


def begin():
    taken.clear()
    does.clear()


class Server(BaseEmailBackend):
    def open(self):
        if does and does[0] in AT_THE_DOOR:
            does.pop(0)()
        return True

    def send_messages(self, messages):
        act = does.pop(0) if does else None
        if act in AFTER_IT_WENT:
            taken.extend(messages)
        if act:
            act()
        taken.extend(messages)
        return len(messages)


def is_away():
    raise ConnectionRefusedError("nobody listens")


def greets_badly():
    raise SMTPConnectError(421, b"busy")


def knows_nobody():
    raise SMTPRecipientsRefused({"someone": (550, b"no such mailbox")})


def is_full():
    raise SMTPRecipientsRefused({"someone": (452, b"mailbox full")})


def dislikes_it():
    raise SMTPDataError(554, b"looks like junk")


def breaks_off_before():
    raise SMTPServerDisconnected("lost before it was taken")


def breaks_off_after():
    raise SMTPServerDisconnected("lost after it was taken")


def killed_before():
    raise Killed


def killed_after():
    raise Killed


AT_THE_DOOR = {is_away, greets_badly}
AFTER_IT_WENT = {breaks_off_after, killed_after}
