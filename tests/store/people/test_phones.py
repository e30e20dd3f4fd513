"""Telephone numbers in one written form, by region."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.people.seeking import Numbers
from app.rules.refusal import Refused
from app.store.people.phones import dialled, numbers, written

# Ofcom, "Telephone numbers for use in TV and radio drama programmes", as others reproduce it
# (the page itself was not at hand): a thousand numbers
# from each of these on, none of which is anybody's.
DRAMA = [
    ("0113 4960000", "+441134960000"),
    ("0114 4960000", "+441144960000"),
    ("0115 4960000", "+441154960000"),
    ("0116 4960000", "+441164960000"),
    ("0117 4960000", "+441174960000"),
    ("0118 4960000", "+441184960000"),
    ("0121 4960000", "+441214960000"),
    ("0131 4960000", "+441314960000"),
    ("0141 4960000", "+441414960000"),
    ("0151 4960000", "+441514960000"),
    ("0161 4960000", "+441614960000"),
    ("0191 4980000", "+441914980000"),
    ("020 79460000", "+442079460000"),
    ("028 96496000", "+442896496000"),
    ("029 20180000", "+442920180000"),
    ("01632 960000", "+441632960000"),
    ("07700 900000", "+447700900000"),
    ("08081 570000", "+448081570000"),
    ("0909 8790000", "+449098790000"),
    ("03069 990000", "+443069990000"),
]


@pytest.mark.parametrize(("national", "international"), DRAMA)
@pytest.mark.parametrize("last", ["000", "999"])
def test_numbers_set_aside_for_drama_are_taken_as_they_are_dialled(
    national: str, international: str, last: str
) -> None:
    national, international = national[:-3] + last, international[:-3] + last
    kept = written(national, "GB")
    assert kept.replace(" ", "") == national.replace(" ", "")
    assert written(international, "GB") == kept
    assert dialled(kept, "GB") == f"tel:{international}"
    assert numbers(kept, "GB") == Numbers(national.replace(" ", ""), international[1:])


@pytest.mark.parametrize(
    "typed",
    [
        "01632960123", "01632 960 123", "(01632) 960123", "+44 1632 960123", "0044 1632 960123",
        "+44 (0)1632 960123", "01632-960-123", "01632/960123", "01632.960.123",
        "０１６３２ ９６０１２３",
    ],
)  # fmt: skip
def test_however_it_is_written_it_is_kept_in_one_way(typed: str) -> None:
    assert written(typed, "GB") == "01632 960123"


# ITU-T E.123: national notation has the digits that are not always dialled in parentheses,
# international notation + and the code of the country, digits parted by spaces, and an
# extension after "ext.". The numbers are invented; 555 01xx is kept for fiction.
@pytest.mark.parametrize(
    ("typed", "region", "kept", "dial"),
    [
        ("(607) 555-0123", "US", "(607) 555-0123", "tel:+16075550123"),
        ("+1 607 555 0123", "US", "(607) 555-0123", "tel:+16075550123"),
        ("+1 607 555 0123", "GB", "+1 607-555-0123", "tel:+16075550123"),
        ("(01632) 960123 ext. 876", "GB", "01632 960123 x876", "tel:+441632960123;ext=876"),
        ("+33 1 99 00 12 34", "GB", "+33 1 99 00 12 34", "tel:+33199001234"),
        ("00 33 1 99 00 12 34", "GB", "+33 1 99 00 12 34", "tel:+33199001234"),
    ],
)
def test_a_number_of_another_country_is_kept_with_its_code(
    typed: str, region: str, kept: str, dial: str
) -> None:
    assert written(typed, region) == kept
    assert dialled(kept, region) == dial


def test_the_longest_number_of_e_164_is_taken_and_a_longer_one_is_not() -> None:
    """ITU-T E.164: fifteen digits at most, the code of the country included."""
    assert dialled(written("+49 30 1234567890", "GB"), "GB") == "tel:+49301234567890"
    with pytest.raises(Refused, match="6 to 15 digits"):
        written("+49 30 1234 5678 9012 3456", "GB")


@pytest.mark.parametrize("sign", ["x", " ext. ", " extension ", "#", ";ext="])
def test_an_extension_is_kept_and_dialled(sign: str) -> None:
    kept = written(f"01632 960123{sign}45", "GB")
    assert kept == "01632 960123 x45"
    assert written(kept, "GB") == kept
    assert dialled(kept, "GB") == "tel:+441632960123;ext=45"
    assert numbers(kept, "GB") == Numbers("01632960123x45", "441632960123x45")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("960123", "Write the area code too"),
        ("0163296012345", "too long"),
        ("+999 1234567", "No country has this code"),
        ("+44 163", "6 to 15 digits"),
        ("+44 1632", "Write the area code too"),
        ("call me", "in digits"),
        ("0800 CONES", "in digits"),
    ],
)
def test_what_no_telephone_can_dial_is_refused_at_its_field(typed: str, words: str) -> None:
    with pytest.raises(Refused, match=words) as caught:
        written(typed, "GB", "guardian_phone")
    assert caught.value.reasons[0].field == "guardian_phone"


@pytest.mark.parametrize("kept", ["12345678", "0163", "ask at home", ""])
def test_what_an_older_release_took_is_searched_and_dialled_as_it_stands(kept: str) -> None:
    assert dialled(kept, "GB").startswith("tel:")
    assert isinstance(numbers(kept, "GB"), Numbers)
    assert numbers(None, "GB") == Numbers()


@given(st.text("0123456789+ ()-./x", max_size=20), st.sampled_from(["GB", "IE", "FR", "US"]))
def test_the_written_form_is_written_the_same(typed: str, region: str) -> None:
    try:
        kept = written(typed, region)
    except Refused:
        return
    assert written(kept, region) == kept
    assert dialled(kept, region) == dialled(typed, region)
    assert numbers(kept, region) == numbers(typed, region)
