"""What the code writes into the audit: read out of its source, so that nothing is forgotten."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from app.config import ROOT
from app.rules.diary import values

_ACTION, _SUBJECT = 3, 4
"""Where they stand among the arguments of audit.record."""

ANY = "…"
"""Stands for the part of an action that is only known when it happens."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """One place that writes into the audit. An action may have a part that is ``ANY``."""

    where: str
    subject: str
    actions: tuple[str, ...]
    details: tuple[str, ...]


def recorded() -> tuple[Recorded, ...]:
    """Every call of audit.record in the app whose subject is written out.

    An action that is handed to the function around the call is looked up where that
    function is called. One that cannot be read gives no actions.
    """
    found = [one for path in sorted(_sources()) for one in _in_file(path)]
    return tuple(one for one in found if one.subject)


def _sources() -> Iterator[Path]:
    yield from (ROOT / "app").rglob("*.py")


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _in_file(path: Path) -> Iterator[Recorded]:
    for function in ast.walk(_tree(path)):
        if not isinstance(function, ast.FunctionDef):
            continue
        for call in _own_nodes(function):
            if isinstance(call, ast.Call) and ast.unparse(call.func) == "audit.record":
                yield _entry(path, function, call)


def _own_nodes(function: ast.FunctionDef) -> Iterator[ast.AST]:
    """What stands in a function, but not in one that is written inside it."""
    waiting: list[ast.AST] = list(function.body)
    while waiting:
        node = waiting.pop()
        yield node
        if not isinstance(node, ast.FunctionDef):
            waiting += ast.iter_child_nodes(node)


def _entry(path: Path, function: ast.FunctionDef, call: ast.Call) -> Recorded:
    subject = call.args[_SUBJECT]
    return Recorded(
        where=f"{path.relative_to(ROOT)}:{call.lineno}",
        subject=str(subject.value) if isinstance(subject, ast.Constant) else "",
        actions=tuple(_actions(function, call.args[_ACTION])),
        details=tuple(_details(function, call)),
    )


def _details(function: ast.FunctionDef, call: ast.Call) -> Iterator[str]:
    """The names of the details, those of a dictionary in the function too."""
    for word in call.keywords:
        if word.arg:
            yield word.arg
            continue
        given = ast.unparse(word.value)
        for node in _own_nodes(function):
            if isinstance(node, ast.Assign) and given in map(ast.unparse, node.targets):
                yield from _keys(node.value)


def _keys(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Dict):
        yield from (str(key.value) for key in node.keys if isinstance(key, ast.Constant))


def _actions(function: ast.FunctionDef, node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Constant):
        yield str(node.value)
    elif isinstance(node, ast.JoinedStr):
        parts = (part.value if isinstance(part, ast.Constant) else ANY for part in node.values)
        yield "".join(map(str, parts))
    elif isinstance(node, ast.IfExp):
        yield from _actions(function, node.body)
        yield from _actions(function, node.orelse)
    elif isinstance(node, ast.Name):
        yield from _named(function, node.id)
    elif isinstance(node, ast.Attribute) and node.attr == "value":
        yield from _of_enum(function, ast.unparse(node.value))


def _of_enum(function: ast.FunctionDef, name: str) -> Iterator[str]:
    """Every word of the enum that an argument is one of."""
    for argument in (*function.args.args, *function.args.kwonlyargs):
        if argument.arg == name and argument.annotation is not None:
            yield from getattr(values, ast.unparse(argument.annotation), ())


def _named(function: ast.FunctionDef, name: str) -> Iterator[str]:
    """An action by a name: set in the function, or handed to it by those who call it."""
    for node in ast.walk(function):
        if isinstance(node, ast.Assign) and name in map(ast.unparse, node.targets):
            yield from _actions(function, node.value)
    wanted = [argument.arg for argument in function.args.args]
    only_named = [argument.arg for argument in function.args.kwonlyargs]
    if name in (*wanted, *only_named):
        place = wanted.index(name) if name in wanted else len(wanted)
        for caller, call in _callers(function.name):
            yield from _handed(caller, call, name, place)


def _handed(caller: ast.FunctionDef, call: ast.Call, name: str, place: int) -> Iterator[str]:
    for word in call.keywords:
        if word.arg == name:
            yield from _actions(caller, word.value)
    if place < len(call.args):
        yield from _actions(caller, call.args[place])


def _callers(name: str) -> Iterator[tuple[ast.FunctionDef, ast.Call]]:
    for path in _sources():
        for function in ast.walk(_tree(path)):
            if isinstance(function, ast.FunctionDef):
                for node in _own_nodes(function):
                    if isinstance(node, ast.Call) and _name_of(node.func) == name:
                        yield function, node


def _name_of(called: ast.expr) -> str:
    return called.attr if isinstance(called, ast.Attribute) else ast.unparse(called)
