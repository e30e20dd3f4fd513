"""Making ``.venv``: from nothing, from ruins, without a network, and interrupted."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
from collections.abc import Callable

import pytest

from tests.door.house import House, listening, snapshot, wait_until

_BROKEN = "The .venv here is broken or was made by another Python: making it anew."
_GOING_ON = "An unfinished or outdated .venv is here: going on with it."

Send = Callable[[int, int], None]

pytestmark = pytest.mark.slow


def _went_inside(house: House, done: subprocess.CompletedProcess[str], *words: str) -> None:
    """The command ran in the new environment, and its exit code came back."""
    assert done.returncode == 7, done.stdout + done.stderr
    assert done.stdout.splitlines()[-1] == " ".join(["inside", str(house.venv), *words])
    assert house.stamp.exists()


def _plain(done: subprocess.CompletedProcess[str]) -> None:
    """One sentence and no traceback."""
    assert done.returncode not in (0, 7)
    assert "Traceback" not in done.stdout + done.stderr
    assert done.stderr.count("\n") == 1


def test_a_fresh_checkout_is_made_ready_with_its_progress_shown(house: House) -> None:
    done = house.run("migrate", "--now")
    _went_inside(house, done, "migrate", "--now")
    assert "Making .venv (1 of 2): done in" in done.stdout
    assert "Installing Yardmark (2 of 2): done in" in done.stdout


def test_a_second_start_makes_and_changes_nothing(ready: House) -> None:
    before = snapshot(ready.folder)
    done = ready.run("--empty")
    _went_inside(ready, done, "--empty")
    assert len(done.stdout.splitlines()) == 1
    assert snapshot(ready.folder) == before


def test_a_half_made_venv_is_gone_on_with(half_made: House) -> None:
    done = half_made.run()
    _went_inside(half_made, done)
    assert _GOING_ON in done.stdout


def test_a_changed_project_file_is_installed_again(ready: House) -> None:
    with (ready.folder / "pyproject.toml").open("a") as project:
        project.write('description = "Now with a description"\n')
    done = ready.run()
    _went_inside(ready, done)
    assert _GOING_ON in done.stdout


def test_a_checkout_that_was_moved_is_installed_again(ready: House) -> None:
    moved = House(ready.folder.with_name("elsewhere"), ready.env)
    shutil.copytree(ready.folder, moved.folder, symlinks=True)
    done = moved.run()
    _went_inside(moved, done)
    assert _GOING_ON in done.stdout


def test_a_venv_whose_python_is_gone_is_made_anew(ready: House) -> None:
    (ready.venv / "bin" / "python").unlink()
    (ready.venv / "bin" / "python").symlink_to("/nowhere/python3")
    done = ready.run()
    _went_inside(ready, done)
    assert _BROKEN in done.stdout


def test_a_venv_without_pip_is_made_anew(half_made: House) -> None:
    for package in (half_made.venv / "lib").glob("python*/site-packages/pip"):
        shutil.rmtree(package)
    done = half_made.run()
    _went_inside(half_made, done)
    assert _BROKEN in done.stdout


@pytest.mark.parametrize("kind", ["file", "empty folder"])
def test_something_else_of_that_name_is_replaced(house: House, kind: str) -> None:
    if kind == "file":
        house.venv.write_text("not a folder")
    else:
        house.venv.mkdir()
    done = house.run()
    _went_inside(house, done)
    assert _BROKEN in done.stdout


@pytest.mark.parametrize("retries", ["0", "1"])
def test_without_a_network_a_sentence_and_then_it_goes_on(half_made: House, retries: str) -> None:
    half_made.env["PIP_RETRIES"] = retries
    half_made.needs_a_package()
    done = half_made.run()
    _plain(done)
    assert "cannot reach the Python package index" in done.stderr
    assert not half_made.stamp.exists()
    again = half_made.run()
    _plain(again)
    assert _GOING_ON in again.stdout


def test_another_failure_of_pip_is_told_in_its_words(half_made: House) -> None:
    (half_made.folder / "backend.py").write_text("raise RuntimeError('no such builder')")
    done = half_made.run()
    _plain(done)
    assert "pip could not install the project. Its last words:" in done.stderr
    assert "error" in done.stderr.lower()
    assert "no such builder" in (half_made.venv / "yardmark-install.log").read_text()


def test_a_package_gone_missing_is_named_and_put_right(ready: House) -> None:
    done = ready.run("backtest")
    _plain(done)
    assert "a_package_that_is_not_there is missing from .venv" in done.stderr
    assert not ready.stamp.exists()
    _went_inside(ready, ready.run())


def _interrupt(process: subprocess.Popen[str], send: Send = os.killpg) -> tuple[int, str, str]:
    """What a terminal does at Ctrl-C: it tells the whole group, and not the door alone."""
    send(process.pid, signal.SIGINT)
    said, complained = process.communicate(timeout=30)
    return process.returncode, said, complained


@pytest.mark.parametrize("send", [os.killpg, os.kill])
def test_interrupted_while_installing(half_made: House, send: Send) -> None:
    half_made.needs_a_package()
    with listening() as silent_index:
        half_made.index_at(silent_index.getsockname()[1])
        process = half_made.start()
        asker, _ = silent_index.accept()
        code, _, complained = _interrupt(process, send)
        asker.settimeout(10)
        asker.recv(65536)
        assert asker.recv(1) == b"", "pip was left behind"
        asker.close()
    assert code == 130
    assert complained == "Stopped. Run the same command again and it goes on from here.\n"
    assert not half_made.stamp.exists()


def test_interrupted_while_making_the_venv(house: House) -> None:
    process = house.start()
    wait_until((house.venv / "pyvenv.cfg").exists)
    code, _, complained = _interrupt(process)
    assert code == 130
    assert complained == "Stopped. Run the same command again and it goes on from here.\n"
    _went_inside(house, house.run())


def test_interrupted_inside(ready: House) -> None:
    process = ready.start("bench")
    assert process.stdout is not None
    assert process.stdout.readline().startswith("inside")
    assert _interrupt(process) == (130, "", "Stopped.\n")
