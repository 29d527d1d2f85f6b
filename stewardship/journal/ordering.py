"""The orders in which record types are locked and written: one for all entries, so that none waits in a circle."""

from functools import cache
from typing import Any

from django.apps import apps
from django.db import models


@cache
def write_order(model: type[models.Model]) -> tuple[int, int, str]:
    """Return the place of a record type in the one order of loading, locking and writing: layer, then name.

    A type that ``leads`` its layer comes first in it.
    """
    labels = list(apps.app_configs)
    return labels.index(model._meta.app_label), -getattr(model, "leads", 0), model.__name__


@cache
def insert_order(model: type[models.Model]) -> tuple[int, int, str]:
    """Return the place of a record type among those that get new rows: within its layer after all that it points to.

    While any row points to a missing one, SQLite looks through whole tables for the children of each new row.
    """
    return write_order(model)[0], _depth(model, frozenset()), model.__name__


def _depth(model: Any, below: frozenset[Any]) -> int:
    """Return how many types of its layer stand above this one, each pointing to the next."""
    named = {field.related_model for field in model._meta.concrete_fields if field.related_model}
    above = [other for other in named - below - {model} if other._meta.app_label == model._meta.app_label]
    return 1 + max((_depth(other, below | {model}) for other in above), default=-1)
