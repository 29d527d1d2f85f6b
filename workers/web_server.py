"""The web server of a running service: how it is started, and whether it answers."""

import http.client
import time
from pathlib import Path

from django.conf import settings
from django.core.management.base import CommandError

START_UP_S = 60
"""How long the web server may take until it answers."""

WEB_SERVER = (
    "-m", "gunicorn", "stewardship.wsgi:application", "--worker-class=gthread", "--no-control-socket",
    "--max-requests=2000", "--max-requests-jitter=200", "--graceful-timeout=10", "--log-level=warning",
)  # fmt: skip
SIZES = {"sqlite": ("--workers=1", "--threads=8"), "postgresql": ("--workers=2", "--threads=4")}
"""SQLite: one process, whose threads share its cache. PostgreSQL: one for each of two processors."""

SHARED_MEMORY = Path("/dev/shm")


def command(host: str, port: int, engine: str) -> tuple[str, ...]:
    """Return the arguments of Python that run the web server at an address, on a database of this engine."""
    bind = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    web = (*WEB_SERVER, *SIZES[engine], f"--bind={bind}")
    if SHARED_MEMORY.is_dir():  # a heartbeat file on a slow disk would make a busy worker look dead
        web = (*web, f"--worker-tmp-dir={SHARED_MEMORY}")
    return web


class Answering:
    """Tells whether the web server answers. Raises CommandError when it has been given enough time."""

    def __init__(self, host: str, port: int) -> None:
        self.host, self.port = reachable(host), port
        self.ends = time.monotonic() + START_UP_S

    def __call__(self) -> bool:
        if time.monotonic() > self.ends:
            raise CommandError(f"The web server does not answer after {START_UP_S} seconds.")
        server = http.client.HTTPConnection(self.host, self.port, timeout=2)
        try:
            server.request("GET", "/healthz", headers=as_a_visitor())
            return server.getresponse().status < 500
        except (OSError, http.client.HTTPException):
            return False
        finally:
            server.close()


def as_a_visitor() -> dict[str, str]:
    """Return headers under which the service answers itself, whatever names it was given."""
    names = [name for name in settings.ALLOWED_HOSTS if not name.startswith(("*", "."))]
    return {"Host": names[0] if names else "localhost", "X-Forwarded-Proto": "https" if settings.HTTPS else "http"}


def reachable(host: str, *, brackets: bool = False) -> str:
    """Return the name under which what listens at ``host`` is reached from here."""
    host = {"0.0.0.0": "127.0.0.1", "": "127.0.0.1", "::": "::1"}.get(host, host)
    return f"[{host}]" if brackets and ":" in host else host
