"""What a tablet hands in: read strictly, item by item, and never with anything but a sentence."""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.refusal import Refused
from app.rules.riding.handed_in import NewStrike, Unreadable, read_batch, skew_of
from app.rules.riding.recording import NewFault, NewRide
from app.rules.riding.values import Severity, Side, SpeedSource

NOW = datetime(2026, 11, 26, 9, 0, tzinfo=UTC)
TABLET = str(UUID(int=7))


def sent_ride(**changes: Any) -> dict[str, Any]:
    usual = {
        "kind": "ride",
        "id": str(uuid4()),
        "session": 1,
        "student": 2,
        "variant": 3,
        "ridden_at": "2026-11-26T08:59:00.250Z",
        "seq": 4,
        "speed_kmh": 49.5,
        "speed_source": "gate",
        "second_try": False,
        "faults": [{"kind": "cone_touched", "severity": "serious", "side": "left"}],
    }
    return {**usual, **changes}


def batch(*items: Any, **changes: Any) -> dict[str, Any]:
    return {"tablet": TABLET, "clock": NOW.isoformat(), "items": list(items), **changes}


def only(item: Any, clock: datetime = NOW) -> Any:
    (read,) = read_batch(batch(item, clock=clock.isoformat()), NOW).items
    return read


def test_a_ride_is_read_whole() -> None:
    sent = sent_ride()
    assert only(sent) == NewRide(
        attempt_id=UUID(sent["id"]),
        session_id=1,
        student_id=2,
        variant_id=3,
        ridden_at=NOW - timedelta(seconds=59, milliseconds=750),
        faults=(NewFault("cone_touched", Severity.SERIOUS, Side.LEFT),),
        speed_kmh=49.5,
        speed_source=SpeedSource.GATE,
        tablet=UUID(TABLET),
        tablet_seq=4,
    )


def test_a_strike_is_read_whole() -> None:
    made, ride = uuid4(), uuid4()
    sent = {"kind": "strike_out", "id": str(made), "ride": str(ride), "reason": " Wrong rider "}
    assert only(sent) == NewStrike(made, ride, "Wrong rider")


WRONG = [
    {"id": "nobody"},
    {"session": 1.5},
    {"session": True},
    {"student": 2**31},
    {"variant": -1},
    {"seq": None},
    {"ridden_at": "2026-11-26T08:59:00"},
    {"ridden_at": "0001-01-01T00:00:00+14:00"},
    {"ridden_at": 5},
    {"speed_kmh": float("nan")},
    {"speed_kmh": 10**400},
    {"speed_kmh": "50"},
    {"speed_source": "guess"},
    {"second_try": 1},
    {"faults": "none"},
    {"faults": [{"kind": "stall", "severity": "awful"}]},
    {"faults": [{"kind": "st\x00all", "severity": "riding"}]},
    {"faults": [{"kind": "\ud800", "severity": "riding"}]},
    {"faults": [{"kind": "stall", "severity": "riding"}] * 13},
    {"faults": [7]},
    {"more": 1},
    {"mock_test": 5},
    {"kind": "wish"},
    {"kind": []},
]


@pytest.mark.parametrize("change", WRONG, ids=repr)
def test_what_cannot_be_read_is_named_and_keeps_no_other_out(change: dict[str, Any]) -> None:
    wrong, right = sent_ride(**change), sent_ride()
    first, second = read_batch(batch(wrong, right), NOW).items
    assert isinstance(first, Unreadable)
    assert first.sent_id == wrong["id"]
    assert first.reason.endswith(".")
    assert isinstance(second, NewRide)


@pytest.mark.parametrize(
    "sent",
    [None, [], "batch", 5, {}, batch(tablet=1), batch(clock="noon"), batch(items={}), batch(x=1)],
    ids=repr,
)
def test_what_is_no_batch_is_refused_whole(sent: Any) -> None:
    with pytest.raises(Refused):
        read_batch(sent, NOW)


def test_a_small_difference_of_clocks_says_nothing() -> None:
    assert skew_of(NOW + timedelta(seconds=120), NOW) == timedelta(0)
    assert skew_of(NOW - timedelta(seconds=121), NOW) == timedelta(seconds=-121)


@given(st.integers(-10_000, 10_000))
def test_times_are_put_right_by_the_skew_and_keep_their_distance(minutes: int) -> None:
    ahead = timedelta(minutes=minutes)
    times = [NOW - timedelta(minutes=5), NOW - timedelta(minutes=1)]
    sent = [sent_ride(ridden_at=(t + ahead).isoformat()) for t in times]
    read = read_batch(batch(*sent, clock=(NOW + ahead).isoformat()), NOW).items
    rides = [ride for ride in read if isinstance(ride, NewRide)]
    if abs(minutes) > 2:
        assert [ride.ridden_at for ride in rides] == times
        assert {ride.skew_seconds for ride in rides} == {minutes * 60}
    assert rides[1].ridden_at - rides[0].ridden_at == timedelta(minutes=4)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=12,
)
FIELDS = sorted({*sent_ride(), "ride", "reason", "mock_test"})


@given(JSON)
def test_no_json_does_anything_but_be_read_or_refused(sent: Any) -> None:
    with suppress(Refused):
        read_batch(sent, NOW)


@given(st.sampled_from(["ride", "strike_out"]), st.dictionaries(st.sampled_from(FIELDS), JSON))
def test_nor_does_an_item_made_of_any_json(kind: str, changes: dict[str, Any]) -> None:
    strike = {"kind": "strike_out", "id": TABLET, "ride": TABLET, "reason": "Wrong rider"}
    read = only({**(sent_ride() if kind == "ride" else strike), **changes})
    assert isinstance(read, NewRide | NewStrike | Unreadable)


def test_it_reads_what_json_writes() -> None:
    sent = json.loads(json.dumps(batch(sent_ride())))
    assert isinstance(read_batch(sent, NOW).items[0], NewRide)
