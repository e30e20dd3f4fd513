"""Names as they are kept."""

from __future__ import annotations

from unicodedata import category, is_normalized

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.people.names import tidy, tidy_text


@pytest.mark.parametrize(
    "name",
    [
        "Madonna", "Zoë Ångström", "山田太郎", "محمد علي", "Наталья", "Ọlá", "ไพลิน", "नीलम शर्मा",
        "X", "O’Hara-Quill, the younger", "علی\u200cرضا", "ශ්\u200dරී",
    ],
)  # fmt: skip
def test_a_name_in_any_script_stays_as_it_is(name: str) -> None:
    assert tidy(name) == name


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("Zoe\u0308", "Zoë"),
        ("  Ada \t Finch\n", "Ada Finch"),
        ("A\u00a0B", "A B"),
        ("Ada\u200b Fin\ufeffch", "Ada Finch"),
        ("A\u200dd\u200ca", "Ada"),
        ("\u202eAda\u202c", "Ada"),
        ("\u2066Ada\u2069 \u200fFinch", "Ada Finch"),
        ("Ad\x00a\x07", "Ada"),
        ("So\u00adfia", "Sofia"),
        ("A\ud800da", "Ada"),
        ("\u200b", ""),
    ],
)
def test_what_hides_in_a_name_is_left_out(typed: str, kept: str) -> None:
    assert tidy(typed) == kept


@given(st.text())
def test_a_tidy_name_is_normal_and_stays_so(text: str) -> None:
    kept = tidy(text)
    assert tidy(kept) == kept
    assert is_normalized("NFC", kept)
    assert not any(category(c) in ("Cc", "Cs", "Zl", "Zp") for c in kept)


@given(st.text())
def test_notes_keep_their_lines_and_stay_as_kept(text: str) -> None:
    kept = tidy_text(text)
    assert tidy_text(kept) == kept
    assert tidy_text("One.\r\n\tTwo.\x00") == "One.\r\n\tTwo."
