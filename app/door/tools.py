"""The programs that some tests need and pip cannot install."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from app.door.place import TOOLS
from app.door.processes import watch
from app.door.progress import Progress

_DEBIAN_POSTGRES = Path("/usr/lib/postgresql")


@dataclass(frozen=True, slots=True)
class Need:
    """A program that tests look for under ``variable``."""

    variable: str
    name: str
    package: str
    skipped: str


CHROMIUM = Need("YARDMARK_CHROMIUM", "Chromium", "chromium", "tests in a browser")
POSTGRES = Need("YARDMARK_PG_BIN", "PostgreSQL", "postgresql", "tests on PostgreSQL")
CHECKER = Need("YARDMARK_VNU_JAR", "the Nu HTML checker", "", "HTML checks by the Nu checker")


@dataclass(frozen=True, slots=True)
class Found:
    """What there is: values for the environment of the tests, and what is missing."""

    variables: Mapping[str, str]
    missing: tuple[Need, ...]


def gather(env: Mapping[str, str], *, wanted: tuple[Need, ...]) -> Found:
    """Find the programs in ``wanted``, install what can be, and say what cannot."""
    absent = [need for need in wanted if need.package and not _find(need, env)]
    if absent:
        _install_packages(absent)
    if CHECKER in wanted and not _find(CHECKER, env):
        _install_checker()
    places = {need.variable: place for need in wanted if (place := _find(need, env))}
    missing = tuple(need for need in wanted if need.variable not in places)
    for need in missing:
        print(f"Without {need.name}, the {need.skipped} are skipped.", flush=True)
    return Found(places, missing)


def _find(need: Need, env: Mapping[str, str]) -> str | None:
    given = env.get(need.variable)
    if given:
        return given
    finders = {CHROMIUM: find_chromium, POSTGRES: find_postgres, CHECKER: find_checker}
    return finders[need]()


def find_chromium() -> str | None:
    """Path of the browser's program."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


def find_postgres(debian: Path = _DEBIAN_POSTGRES) -> str | None:
    """Folder of PostgreSQL's server programs; Debian keeps them off the PATH, one per version."""
    folders = sorted(debian.glob("*/bin"), key=_version, reverse=True)
    on_path = shutil.which("initdb")
    folders += [Path(on_path).parent] if on_path else []
    for folder in folders:
        if all((folder / name).exists() for name in ("initdb", "pg_ctl", "postgres")):
            return str(folder)
    return None


def _version(folder: Path) -> tuple[int, ...]:
    return tuple(int(number) for number in re.findall(r"\d+", folder.parent.name))


def find_checker() -> str | None:
    """Path of the checker's jar, when there is a Java to run it."""
    if not shutil.which("java"):
        return None
    jars = sorted(TOOLS.glob("node_modules/vnu-jar/**/vnu.jar"))
    return str(jars[0]) if jars else None


def _install_packages(absent: list[Need]) -> None:
    packages = [need.package for need in absent]
    command = f"apt-get install -y {' '.join(packages)}"
    if not shutil.which("apt-get"):
        print(f"Not installed: {_names(absent)}. There is no apt-get here to install it with.")
    elif getattr(os, "geteuid", lambda: 1)() != 0:
        print(f"Not installed: {_names(absent)}. Only root can install it, with: {command}")
    elif not _apt(packages):
        print(f"Not installed: {_names(absent)}. This failed: {command}")


def _names(needs: list[Need]) -> str:
    return " and ".join(need.name for need in needs)


def _apt(packages: list[str]) -> bool:
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    update = ["apt-get", "update"]
    # A stale list of packages may still do, so only the second command decides.
    _try("Fetching the list of Debian packages", update, env)
    install = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    return _try(f"Installing {' and '.join(packages)}", install, env)


def _install_checker() -> None:
    if not shutil.which("java") or not shutil.which("npm"):
        print("Not installed: the Nu HTML checker. It needs Java and npm, which are not both here.")
        return
    TOOLS.mkdir(exist_ok=True)
    npm = [str(shutil.which("npm")), "install", "--no-save", "--no-audit", "--no-fund"]
    if not _try("Fetching the Nu HTML checker", [*npm, "--prefix", str(TOOLS), "vnu-jar"]):
        print("Not installed: the Nu HTML checker. npm could not fetch vnu-jar.")


def _try(step: str, command: list[str], env: Mapping[str, str] | None = None) -> bool:
    with Progress(step) as progress:

        def heard(line: str) -> None:
            progress.detail = line[:50]

        return watch(command, heard, progress.show, env).code == 0
