"""Each fault that is kept here as a patch is found by the tests that it names; a patch that fits no more fails.

A patch begins with what is wrong in it and a line ``Found by:``. It is put into a copy of the tree, since the product
has no switch for being wrong.
"""

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest

HERE = Path(__file__).resolve().parent
TREE = HERE.parent.parent
COPIED = ("stewardship", "api", "workers", "tests", "fixtures", "manage.py", "pyproject.toml")
CHEAP = "cursor_before_data"
"""The one that is tried every time: its test needs no database."""
TESTS_FAILED = 1
"""The exit status of pytest where tests ran and some failed; whatever keeps them from running has another."""
_HUNK = re.compile(r"^@@ .*$", re.MULTILINE)


@dataclass(frozen=True)
class Mutant:
    """A fault, the files that it changes, the tests that find it."""

    name: str
    text: str

    @property
    def found_by(self) -> list[str]:
        """Return the tests that must fail."""
        return re.search(r"^Found by: (.+)$", self.text, re.MULTILINE)[1].split()

    @property
    def needs_postgresql(self) -> bool:
        """Tell whether only PostgreSQL lets it happen."""
        return "\nNeeds: PostgreSQL\n" in self.text

    def put_into(self, tree: Path) -> None:
        """Change the files. Fails if what is to be changed does not stand there, once."""
        parts = re.split(r"^--- a/(.+)\n\+\+\+ b/.+\n", self.text, flags=re.MULTILINE)[1:]
        assert parts, f"{self.name} changes nothing"
        for path, hunks in zip(parts[::2], parts[1::2], strict=True):
            file = tree / path
            told = file.read_text()
            for hunk in _HUNK.split(hunks)[1:]:
                told = self._changed(told, hunk.strip("\n").split("\n"), path)
            file.write_text(told)

    def _changed(self, text: str, lines: list[str], path: str) -> str:
        old, new = ("".join(line[1:] + "\n" for line in lines if line[:1] != mark) for mark in "+-")
        assert text.count(old) == 1, f"{self.name} does not fit {path} any more: make the patch anew"
        return text.replace(old, new)


MUTANTS = [Mutant(path.stem, path.read_text()) for path in sorted(HERE.glob("*.patch"))]


def copied(place: Path) -> Path:
    """Copy the tree, as far as tests run in it."""
    for name in COPIED:
        source = TREE / name
        if source.is_dir():
            shutil.copytree(source, place / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(source, place / name)
    return place


def run(tree: Path, tests: list[str]) -> subprocess.CompletedProcess:
    """Run tests of a tree up to the first that fails, with a data folder and a database of its own."""
    told = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    told |= {"DATA_DIR": str(tree / ".data"), "PYTHONDONTWRITEBYTECODE": "1"}
    if address := told.get("DATABASE_URL"):
        told["DATABASE_URL"] = urlunsplit((parts := urlsplit(address))._replace(path=f"{parts.path}_of_a_mutant"))
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "-p", "no:randomly", "--create-db", *tests]
    return subprocess.run(command, cwd=tree, env=told, capture_output=True, text=True, timeout=600, check=False)


def must_find(mutant: Mutant, tree: Path) -> None:
    mutant.put_into(tree)
    ended = run(tree, mutant.found_by)
    assert ended.returncode == TESTS_FAILED, f"{mutant.name} lives:\n{ended.stdout[-3000:]}{ended.stderr[-1000:]}"


def test_the_cheapest_of_the_faults_is_found(tmp_path):
    (mutant,) = [each for each in MUTANTS if each.name == CHEAP]
    tree = copied(tmp_path)
    assert run(tree, mutant.found_by).returncode == 0, "without the fault its tests pass"

    must_find(mutant, tree)


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: mutant.name)
def test_every_fault_fits_the_tree(mutant, tmp_path):
    for path in re.findall(r"^--- a/(.+)$", mutant.text, re.MULTILINE):
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(TREE / path, tmp_path / path)

    mutant.put_into(tmp_path)

    assert all((TREE / test.split("::")[0]).exists() for test in mutant.found_by)
    for path in re.findall(r"^--- a/(.+)$", mutant.text, re.MULTILINE):
        compile((tmp_path / path).read_text(), path, "exec")


@pytest.mark.heavy
@pytest.mark.parametrize(
    "mutant",
    [
        pytest.param(each, id=each.name, marks=[pytest.mark.needs_postgresql] if each.needs_postgresql else [])
        for each in MUTANTS
    ],
)
def test_every_fault_is_found(mutant, tmp_path):
    must_find(mutant, copied(tmp_path))
