"""The papers a student brings."""

from __future__ import annotations

from enum import StrEnum


class PaperKind(StrEnum):
    """What a paper is."""

    PROVISIONAL = "provisional"
    CBT = "cbt"
    THEORY = "theory"
    MODULE_1 = "module_1"
