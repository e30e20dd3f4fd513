"""Running other programs, and never leaving one behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Thread

from app.door.place import ROOT

_TICK_SECONDS = 0.5
_PATIENCE_SECONDS = 5


@dataclass(frozen=True, slots=True)
class Finished:
    """A program that has ended: its exit code and everything it wrote."""

    code: int
    output: str


def watch(
    command: Sequence[str],
    heard: Callable[[str], None],
    tick: Callable[[], None],
    env: Mapping[str, str] | None = None,
) -> Finished:
    """Run ``command`` in the checkout: ``heard`` gets each line, ``tick`` is called twice a second.

    Raises OSError when the program cannot be started.
    """
    lines: list[str] = []
    with _running(command, env) as process:
        for line in _lines(process):
            if line is not None:
                lines.append(line)
                heard(line.strip())
            tick()
        code = process.wait()
    return Finished(code, "".join(lines))


def pass_through(command: Sequence[str], env: Mapping[str, str] | None = None) -> Finished:
    """Run ``command`` in the checkout, showing its output as it comes and keeping it as well."""
    kept: list[bytes] = []
    with _running(command, env) as process:
        assert process.stdout is not None  # noqa: S101 (opened as a pipe)
        while chunk := os.read(process.stdout.fileno(), 65536):
            kept.append(chunk)
            _show(chunk)
        code = process.wait()
    return Finished(code, b"".join(kept).decode("utf-8", "replace"))


def _show(chunk: bytes) -> None:
    sys.stdout.flush()
    sys.stdout.buffer.write(chunk)
    sys.stdout.flush()


def hold_interrupts(held: bool) -> None:
    """Keep Ctrl-C waiting, or let it through: a Python just starting answers with a traceback."""
    if os.name == "posix":
        how = signal.SIG_BLOCK if held else signal.SIG_UNBLOCK
        signal.pthread_sigmask(how, {signal.SIGINT})


def replace_with(python: Path, words: Sequence[str]) -> int:
    """Become ``python words``. Where a process cannot do that, run it and return its exit code."""
    command = [str(python), *words]
    sys.stdout.flush()
    if os.name == "posix":
        hold_interrupts(True)
        os.execv(command[0], command)  # noqa: S606 (no shell is wanted)
    return subprocess.call(command)  # noqa: S603 (our own command line)


@contextmanager
def _running(
    command: Sequence[str], env: Mapping[str, str] | None
) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(  # noqa: S603 (our own command line, no shell)
        list(command),
        cwd=ROOT,
        env=env,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    try:
        yield process
    finally:
        _end(process)


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a program that still runs, as after Ctrl-C: kindly, then not."""
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(_PATIENCE_SECONDS)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _lines(process: subprocess.Popen[bytes]) -> Iterator[str | None]:
    """Each line of output, and None whenever a tick passes without one."""
    queue: SimpleQueue[str | None] = SimpleQueue()
    Thread(target=_pump, args=(process, queue), daemon=True).start()
    while True:
        try:
            line = queue.get(timeout=_TICK_SECONDS)
        except Empty:
            yield None
            continue
        if line is None:
            return
        yield line


def _pump(process: subprocess.Popen[bytes], queue: SimpleQueue[str | None]) -> None:
    assert process.stdout is not None  # noqa: S101 (opened as a pipe)
    for line in process.stdout:
        queue.put(line.decode("utf-8", "replace"))
    queue.put(None)
