import subprocess
import sys
from pathlib import Path

import pytest

import manage


@pytest.fixture
def environment(tmp_path, monkeypatch):
    monkeypatch.setattr(manage, "HERE", tmp_path)
    (tmp_path / "requirements.lock").write_text("one==1 --hash=sha256:aa\n")
    return manage.Environment(".venv", "requirements.lock")


@pytest.fixture
def commands(environment, monkeypatch):
    """Keep the commands of a set-up instead of running them; the first makes what ``venv`` would make."""
    kept = []

    def keep(command):
        kept.append([str(part) for part in command])
        environment.python.parent.mkdir(parents=True, exist_ok=True)
        environment.python.touch()
        return 0

    monkeypatch.setattr(manage.subprocess, "call", keep)
    return kept


def test_a_missing_environment_is_built_from_the_lock_with_hashes_and_then_used(environment, commands):
    environment.make_current()
    environment.make_current()

    (_, *venv), (_, *pip) = commands
    assert venv == ["-m", "venv", "--clear", str(environment.folder)]
    assert pip[-3:] == ["--require-hashes", "-r", str(environment.lock)]
    assert environment.is_current()


def test_another_lock_makes_the_environment_stale(environment, commands):
    environment.make_current()
    environment.lock.write_text("one==2 --hash=sha256:bb\n")

    assert not environment.is_current()
    environment.make_current()

    assert environment.is_current()
    assert len(commands) == 4


def test_another_python_makes_the_environment_stale(environment, commands, monkeypatch):
    environment.make_current()

    monkeypatch.setattr(manage, "python_name", lambda: "cpython-3.99")

    assert not environment.is_current()


def test_an_environment_whose_python_is_gone_is_stale(environment, commands):
    environment.make_current()

    environment.python.unlink()

    assert not environment.is_current()


def test_a_tree_that_was_moved_has_a_stale_environment(environment, commands, tmp_path):
    environment.make_current()

    environment.folder = environment.folder.rename(tmp_path / "elsewhere")

    assert not environment.is_current()


@pytest.mark.parametrize("failing", [1, 2])
def test_a_set_up_that_breaks_off_leaves_no_stamp_and_says_what_to_do(environment, commands, monkeypatch, failing):
    environment.make_current()
    environment.lock.write_text("one==2 --hash=sha256:bb\n")
    codes = iter([0] * (failing - 1) + [1])
    monkeypatch.setattr(manage.subprocess, "call", lambda command: next(codes))

    with pytest.raises(SystemExit, match="the next start tries again"):
        environment.make_current()

    assert not environment.stamp.exists()


@pytest.mark.parametrize("part", ["venv", "ensurepip"])
def test_a_python_without_venv_is_told_the_package_that_brings_it(environment, commands, monkeypatch, part):
    monkeypatch.setattr(manage.importlib.util, "find_spec", lambda name: None if name == part else object())

    with pytest.raises(SystemExit, match=rf"{part}.*apt install python3\.\d+-venv"):
        environment.make_current()

    assert commands == []


@pytest.mark.skipif(manage.fcntl is None, reason="this system has no file locks of this kind")
def test_of_two_starts_at_once_only_one_builds(tmp_path):
    (tmp_path / "requirements.lock").touch()
    script = f"""
import pathlib, subprocess, sys, time
sys.path.insert(0, {str(Path(manage.__file__).parent)!r})
import manage
manage.HERE = pathlib.Path({str(tmp_path)!r})
environment = manage.Environment(".venv", "requirements.lock")
def slow(command):
    print("built")
    time.sleep(0.3)
    environment.python.parent.mkdir(parents=True, exist_ok=True)
    environment.python.touch()
    return 0
manage.subprocess.call = slow
environment.make_current()
"""

    both = [subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True) for _ in range(2)]
    said = [process.communicate(timeout=30)[0] for process in both]

    assert sorted(said) == ["", "built\nbuilt\n"]
    assert [process.returncode for process in both] == [0, 0]


def test_tests_run_in_the_developers_environment_and_a_start_outside_it(monkeypatch):
    monkeypatch.setattr(sys, "prefix", "/usr")

    assert manage.environment_for("test").lock.name == "requirements-dev.lock"
    assert manage.environment_for("start").lock.name == "requirements.lock"


def test_a_command_run_by_the_developers_python_stays_in_its_environment(monkeypatch):
    monkeypatch.setattr(sys, "prefix", str(manage.HERE / ".venv-dev"))

    assert manage.environment_for("makemigrations").folder.name == ".venv-dev"


def test_an_old_python_is_told_in_one_sentence(monkeypatch):
    monkeypatch.setattr(manage.sys, "version_info", (3, 10, 4))

    with pytest.raises(SystemExit, match=r"^Python 3\.11 or newer is needed; this is 3\.10\.$"):
        manage.main()


@pytest.mark.parametrize("lock", ["requirements.lock", "requirements-dev.lock"])
def test_a_lock_names_no_host_and_hashes_every_package(lock):
    text = (Path(manage.__file__).parent / lock).read_text()
    packages = text.replace("\\\n", "").splitlines()

    assert "://" not in text
    assert len(packages) > 30
    assert [line for line in packages if "==" not in line or "--hash=sha256:" not in line] == []


def test_what_runs_in_production_is_pinned_alike_for_developers():
    folder = Path(manage.__file__).parent
    pins = [
        {line for line in (folder / lock).read_text().splitlines() if "==" in line}
        for lock in ("requirements.lock", "requirements-dev.lock")
    ]

    assert pins[0] < pins[1]


@pytest.mark.parametrize("options", [["--data", "records"], ["--data=records"], ["--port", "1", "--data", "records"]])
def test_start_names_the_data_folder_before_the_settings_are_read(monkeypatch, tmp_path, options):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DATA_DIR", "/elsewhere")

    manage.choose_data_folder(options)

    assert manage.os.environ["DATA_DIR"] == str(tmp_path / "records")


def test_without_the_option_the_data_folder_stays_as_it_is(monkeypatch):
    monkeypatch.setenv("DATA_DIR", "/elsewhere")

    manage.choose_data_folder(["--port", "8000"])

    assert manage.os.environ["DATA_DIR"] == "/elsewhere"
