import subprocess

import pytest

from tests import run


@pytest.fixture
def asked(monkeypatch):
    """Keep the commands instead of running them; those with a word of ``asked.failing`` fail with code 3."""

    class Asked(list):
        failing = None

        def __call__(self, command, **_):
            self.append(" ".join(command[1:]))
            return subprocess.CompletedProcess(command, 3 if self.failing and self.failing in self[-1] else 0)

    kept = Asked()
    monkeypatch.setattr(run.subprocess, "run", kept)
    return kept


def test_the_test_command_runs_format_lint_types_imports_migrations_and_tests_in_this_order(asked):
    assert run.run_tests([]) == 0

    words = ["ruff format --check", "ruff check", "mypy", "importlinter", "makemigrations --check", "pytest"]
    assert len(asked) == len(words)
    assert [word in command for word, command in zip(words, asked, strict=True)] == [True] * 6


def test_with_arguments_it_runs_those_tests_only(asked):
    assert run.run_tests(["-n", "0", "tests/test_run.py"]) == 0

    assert asked == ["-m pytest -n 0 tests/test_run.py"]


def test_it_ends_at_the_first_step_that_fails_with_its_code(asked, capsys):
    asked.failing = "mypy"

    assert run.run_tests([]) == 3

    assert len(asked) == 3
    assert "types failed" in capsys.readouterr().err
