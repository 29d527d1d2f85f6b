"""A mail server that speaks SMTP and falls silent or drops the line at one of its commands: RFC 5321."""

from datetime import timedelta
from socketserver import StreamRequestHandler, ThreadingTCPServer
from threading import Event, Thread

import pytest

from stewardship.notices.models import Letter
from stewardship.notices.posting import LEASE, MOST_TRIES
from tests.cast import AT

BEFORE = ("EHLO", "MAIL", "RCPT")
"""Commands before the text of a letter is handed over."""


class Talk(StreamRequestHandler):
    """One conversation; ``server.breaks`` says at which command it goes wrong, ``server.how`` how."""

    def handle(self):
        self.says("220 tamarack.example")
        while line := self.rfile.readline().decode().strip():
            command = line[:4].upper()
            if command == "DATA" and not self.takes():
                return
            if command == self.server.breaks:
                return self.falls_silent()
            self.says("221 bye" if command == "QUIT" else "250 ok")
            if command == "QUIT":
                return

    def takes(self):
        """Take the text of a letter; whether it is confirmed is another thing."""
        self.says("354 go on")
        lines = iter(self.rfile.readline, b".\r\n")
        self.server.taken.append(b"".join(lines))
        if self.server.breaks == "DATA":
            self.falls_silent()
        return self.server.breaks != "DATA"

    def falls_silent(self):
        if self.server.how == "hangs":
            self.server.over.wait(10)

    def says(self, line):
        self.wfile.write(f"{line}\r\n".encode())


@pytest.fixture
def smtp(settings):
    """Give a mail server of this machine that letters go to."""
    server = ThreadingTCPServer(("127.0.0.1", 0), Talk)
    server.daemon_threads = True
    server.breaks, server.how, server.taken, server.over = "", "drops", [], Event()
    Thread(target=server.serve_forever, daemon=True).start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = server.server_address
    settings.EMAIL_TIMEOUT = 0.3
    yield server
    server.over.set()
    server.shutdown()
    server.server_close()


@pytest.mark.parametrize("how", ["hangs", "drops"])
@pytest.mark.parametrize("command", BEFORE)
def test_a_letter_that_was_not_handed_over_is_tried_until_it_goes_once(told, mailed, smtp, volunteer, command, how):
    told(volunteer, kind="day_cancelled")
    smtp.breaks, smtp.how = command, how

    for i in range(4):
        mailed(AT + i * timedelta(hours=1))
    letter = Letter.objects.get()
    assert (letter.state, letter.attempts, letter.unclear_ends) == ("queued", 4, 0)
    assert "before the letter was handed over" in letter.error

    smtp.breaks = ""
    mailed(AT + timedelta(days=1))
    mailed(AT + timedelta(days=2))
    assert (Letter.objects.get().state, len(smtp.taken)) == ("sent", 1)


@pytest.mark.parametrize("how", ["hangs", "drops"])
def test_a_server_that_never_confirms_gets_a_letter_twice_at_most(told, mailed, smtp, volunteer, how):
    told(volunteer, kind="day_cancelled")
    smtp.breaks, smtp.how = "DATA", how

    for i in range(MOST_TRIES):
        mailed(AT + i * (LEASE + timedelta(hours=1)))

    assert (Letter.objects.get().state, len(smtp.taken)) == ("failed", 2)


def test_a_letter_that_was_confirmed_is_sent_though_the_line_drops_after_that(told, mailed, smtp, volunteer):
    told(volunteer, kind="day_cancelled")
    smtp.breaks = "QUIT"

    mailed(AT)
    mailed(AT + timedelta(hours=1))

    assert (Letter.objects.get().state, len(smtp.taken)) == ("sent", 1)
