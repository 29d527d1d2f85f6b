"""The whole database as values, to prove that something left it as it was."""

from typing import Any

from django.apps import apps
from django.db import connection


def everything() -> dict[str, list[Any]]:
    """Return every row of every table: table -> rows, in an order that depends on the rows alone."""
    told = {}
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            cursor.execute(f'SELECT * FROM "{model._meta.db_table}"')
            told[model._meta.db_table] = sorted(cursor.fetchall(), key=repr)
    return told
