"""The processes that make up a running service: started together, ended together."""

import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from types import FrameType

GRACE_S = 30
"""How long the processes may take to end when asked to; after that they are killed, and a job is done anew later."""

LOOK_S = 0.1

SET_PARENT_DEATH_SIGNAL = 1
"""PR_SET_PDEATHSIG of prctl(2), Linux."""

_c_library = ctypes.CDLL(None) if sys.platform == "linux" else None


class ChildDied(Exception):
    """One of the processes ended though nobody asked it to."""


class Children:
    """Processes, each the leader of a group of its own, so that none of its own children outlives it."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._environment = environment
        self._processes: dict[str, subprocess.Popen[bytes]] = {}
        self._signals: list[int] = []

    def heed_signals(self) -> None:
        """Take Ctrl-C, SIGTERM and the end of the terminal as the wish to end."""
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._keep_signal)

    def _keep_signal(self, number: int, frame: FrameType | None) -> None:
        self._signals.append(number)

    def start(self, name: str, command: Sequence[str]) -> None:
        """Start a process; what it says goes where this one's output goes."""
        self._processes[name] = subprocess.Popen(
            command,
            env=self._environment,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=_end_with_parent if sys.platform == "linux" else None,
        )

    def run_until(self, condition: Callable[[], bool]) -> bool:
        """Wait; return True when the condition holds, False when asked to end. Raises ChildDied."""
        while not self._signals:
            for name, process in self._processes.items():
                if (code := process.poll()) is not None:
                    raise ChildDied(f"The {name} ended by itself ({_told(code)}). The rest was ended too.")
            if condition():
                return True
            time.sleep(LOOK_S)
        return False

    def end(self) -> None:
        """Ask every process to end, wait, and kill what is left: at once if a second signal comes."""
        asked = len(self._signals)
        for process in self._processes.values():
            if process.poll() is None:
                process.terminate()
        ends = time.monotonic() + GRACE_S
        while self._living() and time.monotonic() < ends and len(self._signals) <= max(asked, 1):
            time.sleep(LOOK_S)
        for process in self._processes.values():
            _kill_group(process.pid)
            process.wait()

    def _living(self) -> bool:
        return any(process.poll() is None for process in self._processes.values())


def _end_with_parent() -> None:
    """Have the kernel ask a child to end when this process is killed and can no longer do so itself."""
    assert _c_library
    _c_library.prctl(SET_PARENT_DEATH_SIGNAL, signal.SIGTERM)


def _kill_group(pid: int) -> None:
    try:
        os.killpg(pid, signal.SIGKILL)
    except ProcessLookupError:
        return  # all of them have ended


def _told(code: int) -> str:
    return f"exit code {code}" if code >= 0 else f"signal {signal.Signals(-code).name}"
