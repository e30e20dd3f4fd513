"""The audit's words, value by value."""

from __future__ import annotations

from typing import Any

import pytest

from app.web.school.audit_words import detail_words, subject_words


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("attempts", "ride"),
        ("training_sessions", "training session"),
        ("syllabuses", "syllabus"),
        ("settings", "settings"),
        ("school", "school"),
    ],
)
def test_a_table_is_named_as_people_name_its_records(table: str, words: str) -> None:
    assert subject_words(table) == words


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("surface", [None, "dry"], "dry (was nothing)"),
        ("windy", [False, True], "yes (was no)"),
        ("bike", [11, None], "nothing (was 11)"),
        ("roles", ["desk", "owner"], "desk, owner"),
        ("roles", [], "nothing"),
        ("places", 0, "0"),
    ],
)
def test_a_detail_says_what_it_was_and_what_it_is(name: str, value: Any, words: str) -> None:
    assert detail_words(name, value) == words
