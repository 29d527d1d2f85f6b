"""What ``manage.py test`` runs: format, lint, types, imports, migrations, tests, in this order."""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

TREE = Path(__file__).resolve().parent.parent
PYTHON = sys.executable
CHECKS = (
    ("format", (PYTHON, "-m", "ruff", "format", "--check", "--output-format", "concise", ".")),
    ("lint", (PYTHON, "-m", "ruff", "check", "--quiet", ".")),
    ("types", (PYTHON, "-m", "mypy")),
    ("imports", (PYTHON, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()")),
    ("migrations", (PYTHON, "manage.py", "makemigrations", "--check", "--dry-run")),
)


def steps(arguments: Sequence[str]) -> list[tuple[str, tuple[str, ...]]]:
    """Return name and command of each step: all of them, or only the tests when ``arguments`` choose some."""
    tests = ("tests", (PYTHON, "-m", "pytest", *arguments))
    return [tests] if arguments else [*CHECKS, tests]


def run_tests(arguments: Sequence[str]) -> int:
    """Run the steps up to the first that fails; return its exit code, 0 when all passed."""
    for name, command in steps(arguments):
        print(f"== {name}", flush=True)
        code = subprocess.run(command, cwd=TREE, check=False).returncode
        if code:
            print(f"== {name} failed", file=sys.stderr, flush=True)
            return code
    return 0
