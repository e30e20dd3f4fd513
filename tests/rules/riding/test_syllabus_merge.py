"""A new release of the syllabus: the school's own edits survive it."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.rules.riding.syllabus_merge import merge
from tests.rules.riding.shipped import shipped_tables

BEFORE = {"name": "Slalom", "minutes": 1.0, "cautions": ["a"], "variants": {"only": {"place": 1}}}

values = st.none() | st.integers(0, 3) | st.sampled_from(["a", "b"]) | st.lists(st.integers(0, 1))
entries = st.dictionaries(st.sampled_from("pqrst"), values, max_size=5)
tables = st.dictionaries(st.sampled_from("xyz"), entries, max_size=3)


def test_a_field_that_the_school_left_alone_follows_the_release() -> None:
    merged = merge(BEFORE, {**BEFORE, "minutes": 1.5}, BEFORE)
    assert merged.values["minutes"] == 1.5
    assert merged.kept_edits == ()


def test_a_field_that_the_school_edited_is_kept_and_named() -> None:
    merged = merge(BEFORE, {**BEFORE, "minutes": 1.5}, {**BEFORE, "minutes": 3.0})
    assert merged.values["minutes"] == 3.0
    assert merged.kept_edits == ("minutes",)


def test_an_edit_of_one_field_does_not_hold_back_the_others() -> None:
    now = {**BEFORE, "name": "Slalom, five cones", "minutes": 1.5}
    merged = merge(BEFORE, now, {**BEFORE, "minutes": 3.0})
    assert (merged.values["name"], merged.values["minutes"]) == ("Slalom, five cones", 3.0)


def test_an_edit_that_the_release_now_agrees_with_is_no_edit_any_more() -> None:
    merged = merge(BEFORE, {**BEFORE, "minutes": 3.0}, {**BEFORE, "minutes": 3.0})
    assert merged.kept_edits == ()


def test_an_edit_within_a_table_is_named_by_its_whole_way() -> None:
    current = {**BEFORE, "variants": {"only": {"place": 2}}}
    assert merge(BEFORE, BEFORE, current).kept_edits == ("variants.only.place",)


def test_a_list_is_one_field() -> None:
    merged = merge(BEFORE, {**BEFORE, "cautions": ["a", "b"]}, {**BEFORE, "cautions": ["c"]})
    assert merged.values["cautions"] == ["c"]


def test_an_entry_that_the_school_took_away_stays_away() -> None:
    whole = {"stall": {"place": 1}, "wobble": {"place": 2}}
    merged = merge(whole, whole, {"stall": {"place": 1}})
    assert merged.values == {"stall": {"place": 1}}
    assert merged.kept_edits == ("wobble",)


def test_an_entry_of_the_schools_own_is_kept() -> None:
    merged = merge({}, {"stall": {"place": 1}}, {"own": {"place": 9}})
    assert merged.values == {"stall": {"place": 1}, "own": {"place": 9}}


def test_a_field_dropped_by_the_release_goes_unless_it_was_edited() -> None:
    assert "old" not in merge({"old": 1}, {}, {"old": 1}).values
    assert merge({"old": 1}, {}, {"old": 2}).values == {"old": 2}


def test_the_first_load_takes_everything_that_is_shipped() -> None:
    shipped = shipped_tables("module_1.toml")["manoeuvres"]
    assert merge(None, shipped, {}) == (shipped, ())


@given(tables, tables)
def test_a_school_without_edits_gets_the_release_as_it_is(
    before: dict[str, Any], now: dict[str, Any]
) -> None:
    merged = merge(before, now, before)
    assert merged.kept_edits == ()
    assert {code: entry for code, entry in merged.values.items() if entry} == {
        code: entry for code, entry in now.items() if entry
    }


@given(entries, entries, entries)
def test_every_edit_survives_and_every_untouched_field_follows(
    before: dict[str, Any], now: dict[str, Any], current: dict[str, Any]
) -> None:
    merged, nothing = merge(before, now, current), object()
    for name in {*before, *now, *current}:
        edited = current.get(name, nothing) != before.get(name, nothing)
        expected = (current if edited else now).get(name, nothing)
        assert merged.values.get(name, nothing) == expected


@given(tables, tables, tables)
def test_loading_the_same_release_again_changes_nothing(
    before: dict[str, Any], now: dict[str, Any], current: dict[str, Any]
) -> None:
    once = merge(before, now, current).values
    assert merge(now, now, once).values == once
