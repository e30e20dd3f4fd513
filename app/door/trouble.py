"""What stops the door, said in a sentence."""

from __future__ import annotations


class Trouble(Exception):
    """A reason to stop. Its text is for the person at the keyboard; ``code`` is the exit code."""

    def __init__(self, sentence: str, code: int = 1) -> None:
        super().__init__(sentence)
        self.code = code
