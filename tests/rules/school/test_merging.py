"""Which values stay when two records become one, and what must be done before."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.categories import Category
from app.rules.people.students import MOST_NOTES, StudentFacts
from app.rules.school.merging import (
    FIELDS,
    Clash,
    Pick,
    SignIn,
    chosen,
    differing,
    joined,
    obstacles,
    proposed,
    sign_in_left,
)

LENA = StudentFacts("Lena Wren", Category.A, "01632 960001", notes="Tall.")
TWIN = StudentFacts(
    "Lena Wrenn", Category.A, None, "l@example.org", date(1998, 5, 17), notes="Left."
)
USED, UNUSED, OTHER = SignIn(1, in_use=True), SignIn(2, in_use=False), SignIn(3, in_use=True)


def test_only_what_differs_is_asked() -> None:
    assert differing(LENA, TWIN) == ("name", "phone", "email", "date_of_birth", "notes")
    assert differing(LENA, LENA) == ()


def test_what_is_missing_is_taken_and_notes_are_joined_while_there_is_room() -> None:
    assert proposed(LENA, TWIN, "name") is Pick.KEPT
    assert proposed(LENA, TWIN, "phone") is Pick.KEPT
    assert proposed(LENA, TWIN, "email") is Pick.OTHER
    assert proposed(LENA, TWIN, "notes") is Pick.BOTH
    long = StudentFacts("Lena", Category.A, notes="x" * (MOST_NOTES - 6))
    assert proposed(LENA, long, "notes") is Pick.KEPT
    assert joined("Tall.", "Left.") == "Tall.\n\nLeft."


def test_each_field_is_the_one_that_was_chosen() -> None:
    picks = {"name": Pick.KEPT, "phone": Pick.OTHER, "email": Pick.OTHER, "notes": Pick.BOTH}
    facts = chosen(LENA, TWIN, picks)
    assert facts == StudentFacts(
        "Lena Wren", Category.A, None, "l@example.org", None, notes="Tall.\n\nLeft."
    )


@given(st.dictionaries(st.sampled_from(FIELDS), st.sampled_from([Pick.KEPT, Pick.OTHER])))
def test_no_value_comes_from_elsewhere(picks: dict[str, Pick]) -> None:
    facts = chosen(LENA, TWIN, picks)
    for name in FIELDS:
        source = TWIN if picks.get(name) is Pick.OTHER else LENA
        assert getattr(facts, name) == getattr(source, name)


def test_clashes_and_two_sign_ins_in_use_stand_in_the_way() -> None:
    clash = Clash("Fri 27 Nov 2026, 09:00", "Fri 27 Nov 2026, 10:00")
    told = [reason.sentence for reason in obstacles((clash,), USED, OTHER)]
    assert "Fri 27 Nov 2026, 09:00 here, and Fri 27 Nov 2026, 10:00 on the other" in told[0]
    assert "an owner closes the other under Accounts" in told[1]
    for kept, other in ((USED, UNUSED), (UNUSED, USED), (USED, None), (None, USED), (None, None)):
        assert list(obstacles((), kept, other)) == []


@pytest.mark.parametrize(
    ("kept", "other", "left"),
    [
        (None, None, None),
        (USED, None, USED),
        (None, UNUSED, UNUSED),
        (UNUSED, USED, USED),
        (USED, UNUSED, USED),
        (UNUSED, SignIn(4, in_use=False), UNUSED),
    ],
)
def test_the_sign_in_that_is_in_use_stays(
    kept: SignIn | None, other: SignIn | None, left: SignIn | None
) -> None:
    assert sign_in_left(kept, other) == left
