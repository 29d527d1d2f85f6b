"""Whoever watches over the process asks here."""

import pytest
from django.db import OperationalError

from stewardship import urls


@pytest.mark.django_db
def test_health_is_told_while_the_database_answers(client):
    answer = client.get("/healthz")

    assert (answer.status_code, answer.content) == (200, b"ok\n")
    assert "no-store" in answer["Cache-Control"]


def test_without_a_database_it_is_not_well(client, monkeypatch):
    class Away:
        def cursor(self):
            raise OperationalError("away")

    monkeypatch.setattr(urls, "connection", Away())

    answer = client.get("/healthz")

    assert answer.status_code == 503
    assert b"database" in answer.content


def test_it_is_only_read(client):
    assert client.post("/healthz").status_code == 405
