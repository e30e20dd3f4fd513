"""Measuring the shape of code: how long functions and files are, and what is typed.

The length of a function is the number of lines of its body, blank ones and comments
included, from the first statement after the docstring to the last. Decorators,
the signature and the docstring do not count: they are there for the reader, and
a rule that counted them would be a rule against explaining.
"""

from __future__ import annotations

import ast
from dataclasses import dataclass
from pathlib import Path
from statistics import median

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True, slots=True)
class Measured:
    """One function: where it is, lines of its body, and whether it says what it returns."""

    where: str
    lines: int
    typed: bool


@dataclass(frozen=True, slots=True)
class Figures:
    """What a set of functions comes to; ``long_share`` is of those over 30 lines, from 0 to 1."""

    count: int
    median: float
    long_share: float
    longest: Measured
    untyped: tuple[str, ...]


LONG = 30


def functions(where: str, source: str) -> list[Measured]:
    """Measure every function and method in a source text, nested ones too."""
    nodes = [node for node in ast.walk(ast.parse(source)) if isinstance(node, Function)]
    return [
        Measured(f"{where}:{node.lineno} {node.name}", length(node), node.returns is not None)
        for node in nodes
    ]


def length(node: Function) -> int:
    """Lines of the body without its docstring; a body that is only a docstring has none."""
    body = node.body[1:] if ast.get_docstring(node, clean=False) is not None else node.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def figures(measured: list[Measured]) -> Figures:
    """Sum a set of functions up. There has to be at least one."""
    lengths = [each.lines for each in measured]
    return Figures(
        count=len(measured),
        median=median(lengths),
        long_share=sum(lines > LONG for lines in lengths) / len(lengths),
        longest=max(measured, key=lambda each: each.lines),
        untyped=tuple(each.where for each in measured if not each.typed),
    )


def python_files(*folders: Path) -> list[Path]:
    """Every Python file in some folders, in order."""
    return sorted(path for folder in folders for path in folder.rglob("*.py"))
