"""Houses to try the door on."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.door.house import House, build


@pytest.fixture
def house(tmp_path: Path) -> House:
    """A fresh checkout without ``.venv``."""
    return build(tmp_path)


@pytest.fixture(scope="session")
def first_venv(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment that the door has made, to copy from."""
    house = build(tmp_path_factory.mktemp("first"))
    done = house.run()
    assert house.stamp.exists(), done.stdout + done.stderr
    return house.venv


@pytest.fixture
def half_made(house: House, first_venv: Path) -> House:
    """A checkout whose ``.venv`` has a Python and pip but was never finished."""
    shutil.copytree(first_venv, house.venv, symlinks=True)
    house.stamp.unlink()
    return house


@pytest.fixture
def ready(half_made: House) -> House:
    """A checkout whose ``.venv`` is whole."""
    done = half_made.run()
    assert half_made.stamp.exists(), done.stdout + done.stderr
    return half_made
