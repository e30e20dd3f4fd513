"""``python3 -m app test``: every check there is, in order, and a line for each at the end."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass

from app.door import tools
from app.door.arguments import RunTests
from app.door.place import ROOT, venv_python
from app.door.processes import pass_through

_FAST = "not slow and not browser"
# A file's tests share what it sets up; the files go out in the order that tests/conftest.py gives.
_SIDE_BY_SIDE = ("-n", "auto", "--dist", "loadfile", "--no-loadscope-reorder")


@dataclass(frozen=True, slots=True)
class Step:
    """One check: a name for people and a module of ``.venv`` with its words."""

    name: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a step ended, how long it took in seconds and the last line it wrote."""

    name: str
    passed: bool
    seconds: float
    last_line: str = ""


def run(order: RunTests) -> int:
    """Run the checks and tests that ``order`` asks for; return 0 when all passed, otherwise 1."""
    found = tools.gather(os.environ, wanted=_wanted(order))
    outcomes = [*_demanded(found, os.environ)]
    env = {**os.environ, **found.variables}
    outcomes += [_take(step, env) for step in steps(order)]
    print("\n" + "\n".join(_row(outcome) for outcome in outcomes))
    print(outcomes[-1].last_line, flush=True)  # pytest's own summary closes the output
    return 0 if all(outcome.passed for outcome in outcomes) else 1


def steps(order: RunTests) -> list[Step]:
    """The checks in order, pytest last."""
    checks = [
        Step("ruff check", ("ruff", "check", ".")),
        Step("ruff format", ("ruff", "format", "--check", ".")),
        Step("mypy", ("mypy",)),
    ]
    if any((ROOT / "templates").rglob("*.html")):
        checks.append(Step("djlint", ("djlint", "templates", "--lint", "--quiet")))
    return [*([] if order.narrowed else checks), _pytest(order)]


def _pytest(order: RunTests) -> Step:
    marks = ("-m", _FAST) if order.fast else ()
    picked = ("-k", order.expression) if order.expression else ()
    colour = ("--color=yes",) if sys.stdout.isatty() else ()
    side_by_side = () if order.narrowed else _SIDE_BY_SIDE
    name = "pytest, fast" if order.fast else "pytest"
    return Step(name, ("pytest", *colour, *marks, *picked, *side_by_side, *order.rest))


def _wanted(order: RunTests) -> tuple[tools.Need, ...]:
    return (tools.POSTGRES,) if order.fast else (tools.CHROMIUM, tools.POSTGRES, tools.CHECKER)


def _demanded(found: tools.Found, env: Mapping[str, str]) -> list[Outcome]:
    """Under CI a missing browser or server is a failure: a skip would look like a pass."""
    if env.get("CI", "").lower() not in ("true", "1"):
        return []
    lacking = [need for need in found.missing if need.package]
    return [Outcome(f"{need.name} is missing", passed=False, seconds=0) for need in lacking]


def _take(step: Step, env: Mapping[str, str]) -> Outcome:
    print(f"\n{step.name}", flush=True)
    began = time.monotonic()
    done = pass_through([str(venv_python()), "-m", *step.words], env)
    lines = done.output.split("\n")
    last = next((line for line in reversed(lines) if line.strip()), "")
    return Outcome(step.name, done.code == 0, time.monotonic() - began, last.rstrip())


def _row(outcome: Outcome) -> str:
    verdict = "passed" if outcome.passed else "FAILED"
    return f"{outcome.name:<24}{verdict:<8}{outcome.seconds:7.1f} s"
