"""Services that some tests need, and what happens to a test whose service is missing."""

import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
import redis
from django.conf import settings

OFF_THE_PATH = Path("/usr/lib/postgresql")
"""Where Debian keeps the programs of each version."""


@dataclass(frozen=True)
class Service:
    """A service, the variable that names it, and whether it is there."""

    title: str
    variable: str
    is_there: Callable[[], bool]


@cache
def redis_is_there() -> bool:
    """Tell whether ``REDIS_URL`` names a server that answers."""
    if not settings.REDIS_URL:
        return False
    try:
        with redis.Redis.from_url(settings.REDIS_URL, socket_connect_timeout=1, socket_timeout=1) as server:
            return bool(server.ping())
    except redis.RedisError:
        return False


def postgresql_is_there() -> bool:
    """Tell whether the suite runs on PostgreSQL; if it does not answer, every test with a database fails."""
    return bool(settings.DATABASES["default"]["ENGINE"].endswith("postgresql"))


def postgresql_programs_are_there() -> bool:
    """Tell whether this machine can run a cluster of PostgreSQL."""
    return programs() is not None


@cache
def programs() -> Path | None:
    """Return the folder of PostgreSQL's server programs, the newest where there are several."""
    found = [path.parent for path in OFF_THE_PATH.glob("*/bin/initdb")]
    if found:
        return max(found, key=lambda folder: float(folder.parent.name))
    there = shutil.which("initdb")
    return Path(there).parent if there else None


SERVICES = {
    "needs_postgresql": Service("PostgreSQL", "DATABASE_URL", postgresql_is_there),
    "needs_postgresql_programs": Service("initdb and postgres", "PATH", postgresql_programs_are_there),
    "needs_redis": Service("Redis", "REDIS_URL", redis_is_there),
}


def demand(marker: str) -> None:
    """Skip the test that bears ``marker`` if its service is missing; with ``REQUIRE_SERVICES=1`` fail it."""
    service = SERVICES[marker]
    if service.is_there():
        return
    missing = f"{service.title} is missing ({service.variable})"
    if os.environ.get("REQUIRE_SERVICES") == "1":
        pytest.fail(missing, pytrace=False)
    pytest.skip(missing)
