"""The shape of the code: short functions, short files, every return typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.architecture.shape import Figures, Measured, figures, functions, python_files

ROOT = Path(__file__).resolve().parents[2]
MEDIAN = 8
LONG_SHARE = 0.03
LONGEST = 60
FILE_LINES = 300


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def _measure(folder: str) -> list[Measured]:
    found: list[Measured] = []
    for path in python_files(ROOT / folder):
        found += functions(path.relative_to(ROOT).as_posix(), _text(path))
    return found


def _told(folder: str, got: Figures) -> str:
    return (
        f"{folder}: {got.count} functions, median {got.median:g} lines, "
        f"{got.long_share:.1%} over 30, longest {got.longest.lines} ({got.longest.where})"
    )


@pytest.mark.parametrize("folder", ["app", "tests"])
def test_functions_are_short_and_typed(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    got = figures(_measure(folder))
    with capsys.disabled():
        print(f"\n{_told(folder, got)}")
    assert got.median <= MEDIAN
    assert got.long_share < LONG_SHARE
    assert got.longest.lines <= LONGEST
    assert got.untyped == ()


def test_files_are_short() -> None:
    long = {
        path.relative_to(ROOT).as_posix(): lines
        for path in python_files(ROOT / "app", ROOT / "tests")
        if (lines := len(_text(path).splitlines())) > FILE_LINES
    }
    assert long == {}


def _source(body_lines: int, *, signature: str = "def f() -> None:") -> str:
    body = "\n".join("    x = 1" for _ in range(body_lines))
    return f'@decorated\n{signature}\n    """Says\n    what.\n    """\n{body}\n'


@pytest.mark.parametrize("lines", [1, 30, 31, 61])
def test_only_the_body_is_counted(lines: int) -> None:
    assert [each.lines for each in functions("f.py", _source(lines))] == [lines]


def test_comments_and_blank_lines_within_are_counted() -> None:
    source = "def f() -> int:\n    x = 1\n\n    # why\n    return x\n"
    assert functions("f.py", source)[0].lines == 4


def test_nested_functions_and_methods_are_found() -> None:
    source = "class A:\n    async def f(self) -> int:\n        def g(): ...\n        return g()\n"
    found = functions("a.py", source)
    assert [(each.where, each.lines) for each in found] == [("a.py:2 f", 2), ("a.py:3 g", 1)]
    assert figures(found).untyped == ("a.py:3 g",)


def test_the_share_of_long_functions() -> None:
    found = [each for lines in (5, 7, 30, 31) for each in functions("f.py", _source(lines))]
    got = figures(found)
    assert (got.median, got.long_share, got.longest.lines) == (18.5, 0.25, 31)
