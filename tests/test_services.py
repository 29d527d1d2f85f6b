import pytest

from tests import services
from tests.services import Service, demand, redis_is_there


@pytest.fixture
def oracle(monkeypatch):
    monkeypatch.setattr(services, "SERVICES", {"needs_oracle": Service("Oracle", "ORACLE_URL", lambda: False)})
    monkeypatch.delenv("REQUIRE_SERVICES", raising=False)


def test_a_test_whose_service_is_missing_is_skipped(oracle):
    with pytest.raises(pytest.skip.Exception, match="Oracle is missing"):
        demand("needs_oracle")


def test_a_test_whose_service_is_missing_fails_where_services_are_required(oracle, monkeypatch):
    monkeypatch.setenv("REQUIRE_SERVICES", "1")

    with pytest.raises(pytest.fail.Exception, match=r"Oracle is missing \(ORACLE_URL\)"):
        demand("needs_oracle")


def test_a_redis_that_nobody_names_or_that_does_not_answer_is_missing(settings):
    settings.REDIS_URL = ""
    assert not redis_is_there.__wrapped__()

    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    assert not redis_is_there.__wrapped__()


@pytest.mark.needs_redis
def test_a_named_redis_answers():
    assert redis_is_there()


@pytest.mark.needs_postgresql
@pytest.mark.django_db
def test_postgresql_answers():
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('server_version_num')::int")
        assert cursor.fetchone()[0] >= 150000


def test_the_newest_of_postgresqls_programs_are_taken_else_those_on_the_path(monkeypatch, tmp_path):
    monkeypatch.setattr(services, "OFF_THE_PATH", tmp_path / "versions")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert services.programs.__wrapped__() is None

    (tmp_path / "initdb").touch(mode=0o755)
    assert services.programs.__wrapped__() == tmp_path

    for version in ("9.6", "15", "8.4"):
        folder = tmp_path / "versions" / version / "bin"
        folder.mkdir(parents=True)
        (folder / "initdb").touch()
    assert services.programs.__wrapped__() == tmp_path / "versions" / "15" / "bin"
