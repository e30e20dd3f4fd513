"""Where things lie in the checkout."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
VENV = ROOT / ".venv"
TOOLS = ROOT / ".tools"
WINDOWS = sys.platform == "win32"


def venv_python() -> Path:
    """The Python of the project's own environment, whether or not it is there."""
    return VENV / "Scripts" / "python.exe" if WINDOWS else VENV / "bin" / "python"


def inside_venv() -> bool:
    """Whether this very process runs in the project's own environment."""
    return Path(sys.prefix).resolve() == VENV.resolve()
