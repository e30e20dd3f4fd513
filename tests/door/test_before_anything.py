"""What the door says on a machine that has only Python, before it makes anything."""

from __future__ import annotations

import ast

import pytest

from app.door import arguments, ports
from app.door.trouble import Trouble
from tests.door.house import ROOT, House, listening


def test_help_lists_every_command_before_anything_is_installed(house: House) -> None:
    done = house.run("--help")
    assert done.returncode == 0
    for name, line in arguments.COMMANDS.items():
        assert f"  {name} " in done.stdout
        assert line in done.stdout
    assert not house.venv.exists()


@pytest.mark.parametrize("words", [("test", "--help"), ("help",), ("--empty", "-h")])
def test_help_is_found_in_other_places_too(house: House, words: tuple[str, ...]) -> None:
    assert house.run(*words).stdout == arguments.help_text()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("sell",), "There is no command 'sell'."),
        (("--port", "eighty"), "'eighty' is not a port."),
        (("--port", "0"), "'0' is not a port."),
        (("--port", "65536"), "'65536' is not a port."),
        (("--port",), "Argument --port: expected one argument."),
        (("--fast",), "Unrecognized arguments: --fast."),
        (("test", "--quick"), "Unrecognized arguments: --quick."),
    ],
)
def test_words_that_make_no_sense(house: House, words: tuple[str, ...], sentence: str) -> None:
    done = house.run(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(sentence)
    assert done.stderr.count("\n") == 1
    assert not house.venv.exists()


def test_a_port_in_use_is_named_before_slow_work(house: House) -> None:
    with listening() as other:
        port = other.getsockname()[1]
        done = house.run("--port", str(port))
    assert done.returncode == ports.EXIT_CODE
    assert f"Port {port} is in use" in done.stderr
    assert f"--port {port + 1}" in done.stderr
    assert done.stderr.count("\n") == 1
    assert not house.venv.exists()


def test_an_address_that_is_not_of_this_machine() -> None:
    # 192.0.2.0/24 is kept for documentation (RFC 5737), so no machine has it.
    with pytest.raises(Trouble, match=r"192\.0\.2\.1 is not an address of this machine"):
        ports.check("192.0.2.1", 8000)


def test_a_free_port_passes() -> None:
    with listening() as other:
        port = other.getsockname()[1]
    ports.check("127.0.0.1", port)


@pytest.mark.parametrize("name", ["__main__.py", "__init__.py"])
def test_an_old_python_can_read_the_way_in(name: str) -> None:
    source = (ROOT / "app" / name).read_text(encoding="utf-8")
    ast.parse(source, feature_version=(3, 7))


def _as_if(house: House, statement: str) -> tuple[int, str]:
    run = "import runpy; sys.argv = ['app']; runpy.run_module('app', run_name='__main__')"
    done = house.run_python("-c", f"import sys; {statement}; {run}")
    return done.returncode, done.stderr


def test_an_old_python_says_what_is_needed(house: House) -> None:
    code, said = _as_if(house, "sys.version_info = (3, 9, 18)")
    assert code == 1
    assert said.startswith("Yardmark needs Python 3.11 or newer, and this is Python 3.9.")
    assert said.count("\n") == 1


@pytest.mark.parametrize("module", ["venv", "ensurepip"])
def test_a_python_that_cannot_make_environments(house: House, module: str) -> None:
    code, said = _as_if(house, f"sys.modules[{module!r}] = None")
    assert code == 1
    assert said.startswith(f"This Python lacks {module}, ")
    assert "apt-get install python3-venv" in said
    assert said.count("\n") == 1
    assert not house.venv.exists()


def test_the_door_needs_no_package(house: House) -> None:
    modules = sorted(path.stem for path in (house.folder / "app" / "door").glob("*.py"))
    imports = "; ".join(f"import app.door.{name}" for name in modules if name != "__init__")
    done = house.run_python("-I", "-S", "-c", f"import sys; sys.path.insert(0, '.'); {imports}")
    assert done.returncode == 0, done.stderr
