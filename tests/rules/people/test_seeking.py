"""Finding a person by a few letters."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.people.seeking import Numbers, plain, sought, wanted

NUMBERS = Numbers("01632960123", "441632960123")
KEPT = sought("Zoë Ångström-Quill", NUMBERS, "Zoe.Q@Example.org")
LETTERS = st.characters(categories=["Lu", "Ll", "Lt", "Lo", "Lm"])
NAMES = st.lists(st.text(LETTERS, min_size=1, max_size=12), min_size=1, max_size=4).map(" ".join)


def _finds(typed: str, kept: str = KEPT) -> bool:
    return bool(wanted(typed)) and all(piece in kept for piece in wanted(typed))


@pytest.mark.parametrize(
    "typed",
    [
        "zoe", "ZOË", "ang", "quill", "quill zoe", "ångström-quill", "960123", "960 123",
        "(01632) 960", "q@exam", "zoe.q", "+44 1632", "+44 (0)1632 960", "0044 1632",
        "(0)1632", "1632 960", "01632-960-123", "٠١٦٣٢", "０１６３２",
        "zoe 01632 960", "01632 960 zoe",
    ],
)  # fmt: skip
def test_a_person_is_found_by(typed: str) -> None:
    assert _finds(typed)


@pytest.mark.parametrize("typed", ["zoa", "quill ada", "960124", "zoe 999", "+45 1632", "0 1 6 4"])
def test_a_person_is_not_found_by(typed: str) -> None:
    assert not _finds(typed)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("Łukasz Żbik", "lukasz zbik"),
        ("Anna Straße", "strasse"),
        ("Anna STRASSE", "straße"),
        ("İpek Yılmaz", "ipek yilmaz"),
        ("Ipek", "ıpek"),
        ("Øyvind Ærø", "oyvind aero"),
        ("Đặng Thị Hương", "dang thi huong"),
        ("Þóra Eiðsdóttir", "thora eids"),
        ("Seán O’Hara", "o'hara"),
        ("Seán O'Hara", "ohara"),
        ("Mary-Jane Finch", "mary jane"),
        ("Mary Jane Finch", "mary-jane"),
        ("Γιώργος Παπάς", "γιωργος"),
        ("ΓΙΩΡΓΟΣ", "γιώργος"),
        ("Наталья Йорк", "иорк"),
        ("محمّد عليّ", "محمد"),
        ("علی\u200cرضا", "علیرضا"),
        ("山田 太郎", "太郎"),
        ("김민준", "민준"),
        ("ガブリエル", "ｶﾞﾌﾞ"),
    ],
)
def test_accents_strokes_and_scripts_make_no_difference(name: str, typed: str) -> None:
    assert _finds(typed, sought(name, Numbers(), None))


@given(NAMES, st.data())
def test_whatever_part_of_a_name_is_typed_in_whatever_case_it_is_found(
    name: str, data: st.DataObject
) -> None:
    kept = sought(name, NUMBERS, None)
    start = data.draw(st.integers(0, len(name) - 1))
    part = name[start : data.draw(st.integers(start + 1, len(name)))]
    for typed in (part, part.upper(), part.lower()):
        assert all(piece in kept for piece in wanted(typed)), (typed, kept)


@given(NAMES)
def test_the_words_of_a_name_are_found_in_any_order(name: str) -> None:
    kept = sought(name, NUMBERS, None)
    for order in list(permutations(name.split()))[:6]:
        assert all(piece in kept for piece in wanted(" ".join(order)))


@given(st.text())
def test_folding_twice_is_folding_once(text: str) -> None:
    assert plain(plain(text)) == plain(text)
    assert plain(text.upper()) == plain(plain(text).upper())


@given(st.text("0123456789", min_size=1, max_size=15), st.data())
def test_any_part_of_a_number_is_found_however_it_is_spaced(
    number: str, data: st.DataObject
) -> None:
    kept = sought("Ada", Numbers(number, number), None)
    start = data.draw(st.integers(0, len(number) - 1))
    part = number[start : data.draw(st.integers(start + 1, len(number)))]
    typed = "".join(c + data.draw(st.sampled_from(["", " ", "-", "/", "."])) for c in part)
    assert all(piece in kept for piece in wanted(typed))


def test_an_extension_is_a_part_of_its_number() -> None:
    kept = sought("Ada", Numbers("01632960123x45", "441632960123x45"), None)
    for typed in ("01632 960123 x45", "960123 ext. 45", "960 123 #45", "+44 1632 960123 extn 45"):
        assert _finds(typed, kept)
    assert not _finds("960123 x46", kept)


def test_nothing_typed_wants_nothing() -> None:
    assert wanted("  ") == ()


def test_what_cannot_be_printed_is_not_searched_for() -> None:
    assert wanted("zo\x00e") == ("zoe",)


def test_letters_of_the_name_and_of_the_email_do_not_run_together() -> None:
    assert "finch01632" not in sought("Ada Finch", NUMBERS, None)
    assert sought("A\nB", Numbers(), "x\ny").count("\n") == 3
