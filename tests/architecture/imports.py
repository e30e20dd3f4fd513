"""Who may import whom in ``app/``, as functions from one file's source to what is wrong in it."""

from __future__ import annotations

import ast
import sys
from collections.abc import Callable, Iterator
from pathlib import PurePosixPath

ROOMS = ("accounts", "people", "yards", "papers", "diary", "riding", "progress", "school")

# Parts of the standard library that reach outside: no clock, no chance and no I/O in the rules.
OUTSIDE = {"io", "os", "pathlib", "random", "secrets", "socket", "sqlite3", "subprocess", "time"}
CLOCKS = {"now", "today", "utcnow"}

Checker = Callable[[PurePosixPath, str], bool]


def imports(source: str) -> Iterator[str]:
    """Every module named in an import, with names imported from it as ``module.name``."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            stem = "." * node.level + (node.module or "")
            yield from (f"{stem}.{alias.name}" for alias in node.names)


def wrong(path: str, source: str) -> list[str]:
    """A line for each import in the file that breaks a rule: the file, the import and the rule."""
    place = PurePosixPath(path)
    found = [
        f"{path} imports {name}: {rule}"
        for name in imports(source)
        for rule, breaks in RULES.items()
        if breaks(place, name)
    ]
    return found + [f"{path} reads the clock with {call}()" for call in _clocks(place, source)]


def _within(name: str, *modules: str) -> bool:
    return any(name == module or name.startswith(f"{module}.") for module in modules)


def _top(name: str) -> str:
    return name.partition(".")[0]


def _stays_in(name: str, package: str) -> bool:
    return _within(name, package) or _top(name) in sys.stdlib_module_names


def _relative(_place: PurePosixPath, name: str) -> bool:
    return name.startswith(".")


def _root(_place: PurePosixPath, name: str) -> bool:
    """``from app import x``, unless x is a storey; what ``app/__init__`` offers is for servers."""
    if name == "app":
        return True
    head, _, rest = name.partition(".")
    storeys = ("rules", "store", "web", "commands", "door", "config")
    return head == "app" and rest.partition(".")[0] not in storeys


def _rules(place: PurePosixPath, name: str) -> bool:
    return _on(place, "rules") and not _stays_in(name, "app.rules")


def _rules_outside(place: PurePosixPath, name: str) -> bool:
    return _on(place, "rules") and _top(name) in OUTSIDE


def _store(place: PurePosixPath, name: str) -> bool:
    flask = _top(name).startswith("flask")
    return _on(place, "store") and (flask or _within(name, "app.web", "app.commands", "app.door"))


def _web(place: PurePosixPath, name: str) -> bool:
    database = _top(name) in {"sqlalchemy", "psycopg", "alembic", "sqlite3"}
    tables = _top(name) == "app" and "tables" in name.split(".")
    return _on(place, "web") and (database or tables or _within(name, "app.commands", "app.door"))


def _door(place: PurePosixPath, name: str) -> bool:
    return _on(place, "door") and not _stays_in(name, "app.door")


# A ride and the standings that follow from it are one transaction, which the later room owns;
# so the riding screens hand their rides to it; and the board says what its riders are flagged for.
ALLOWED = frozenset(
    ("riding", f"app.store.progress.{module}")
    for module in ("writes", "syncing", "rides_file", "board_standings")
)


def _rooms(place: PurePosixPath, name: str) -> bool:
    here, there = _room(place.parts), _room(tuple(name.split(".")))
    if here is None or there is None or (_on(place, "web") and _allowed(here, name)):
        return False
    return ROOMS.index(there) > ROOMS.index(here)


def _allowed(here: str, name: str) -> bool:
    return any(here == room and _within(name, module) for room, module in ALLOWED)


def _room(parts: tuple[str, ...]) -> str | None:
    """The room of a path or module: the second part after ``app``, on the three storeys."""
    indoors = len(parts) > 2 and parts[0] == "app" and parts[1] in ("rules", "store", "web")
    return parts[2] if indoors and parts[2] in ROOMS else None


def _on(place: PurePosixPath, storey: str) -> bool:
    return place.parts[:2] == ("app", storey)


def _clocks(place: PurePosixPath, source: str) -> Iterator[str]:
    if _on(place, "rules") or _on(place, "store"):
        for node in ast.walk(ast.parse(source)):
            called = node.func if isinstance(node, ast.Call) else None
            if isinstance(called, ast.Attribute) and called.attr in CLOCKS and _dates(called.value):
                yield called.attr


def _dates(value: ast.expr) -> bool:
    name = value.attr if isinstance(value, ast.Attribute) else getattr(value, "id", "")
    return name in ("date", "datetime")


RULES: dict[str, Checker] = {
    "imports are written from the top": _relative,
    "nothing imports from the root of app": _root,
    "rules use the standard library and rules only": _rules,
    "rules reach nothing outside": _rules_outside,
    "the store knows no Flask and nothing above it": _store,
    "the web knows no database, no table and nothing beside it": _web,
    "the door uses the standard library only": _door,
    f"a room knows itself and those before it ({', '.join(ROOMS)})": _rooms,
}
