"""The test database: built once for each state of the migrations; and as values, to show that nothing changed it."""

import os
import shutil
from hashlib import sha256
from pathlib import Path
from typing import Any

import django
from django.apps import apps
from django.db import connection


def lay_out_built(kept: Path, place: Path | None = None) -> bool:
    """Put a database that was built before into place, else where the tests' stands; tell if there was one: SQLite."""
    if connection.vendor != "sqlite" or not (built := _built(kept)).exists():
        return False
    shutil.copyfile(built, place or connection.settings_dict["TEST"]["NAME"])
    return True


def keep_built(kept: Path) -> None:
    """Keep the empty database of this run for the next ones, on SQLite, and no older one."""
    if connection.vendor != "sqlite" or (built := _built(kept)).exists():
        return
    for older in kept.glob("*.sqlite3"):
        older.unlink(missing_ok=True)
    part = built.with_suffix(f".{os.getpid()}")
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(part)])
    part.replace(built)


def _built(kept: Path) -> Path:
    """Return where the database is kept that follows from all that migrations are made of."""
    sources = [path for app in apps.get_app_configs() for path in Path(app.path).glob("migrations/*.py")]
    sources += Path(apps.get_app_config("journal").path).glob("*.py")  # the guard is raised by a migration
    told = sha256(django.__version__.encode())
    for path in sorted(sources):
        told.update(str(path).encode() + path.read_bytes())
    return kept / f"{told.hexdigest()[:24]}.sqlite3"


def everything() -> dict[str, list[Any]]:
    """Return every row of every table: table -> rows, in an order that depends on the rows alone."""
    told = {}
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            cursor.execute(f'SELECT * FROM "{model._meta.db_table}"')
            told[model._meta.db_table] = sorted(cursor.fetchall(), key=repr)
    return told
