"""The reference files as they are shipped, read for the tests."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from app.rules.riding.syllabus import Syllabus
from app.rules.riding.syllabus_reading import parse_syllabus

REFERENCE = Path(__file__).parents[3] / "seed_data" / "reference"


def shipped_tables(name: str) -> dict[str, Any]:
    """The tables of one reference file, fresh at each call so that a test may change them."""
    return tomllib.loads((REFERENCE / name).read_text(encoding="utf-8"))


@cache
def shipped_syllabus() -> Syllabus:
    """The syllabus of the two shipped files."""
    return parse_syllabus(shipped_tables("module_1.toml"), shipped_tables("fault_kinds.toml"))
