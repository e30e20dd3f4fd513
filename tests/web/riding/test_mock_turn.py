"""The screen of one manoeuvre of a mock test: what comes next, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from uuid import uuid4

import pytest

from app.store.database import Database
from tests.support.client import Page, Visitor, typed_values
from tests.support.queries import counted
from tests.web.riding.board import variant_id
from tests.web.riding.mock import AT_50, MANOEUVRES, MockTest

Visit = Callable[[str | None], Visitor]


def now_at(page: Page) -> str:
    """The manoeuvre that is ridden next."""
    return next("".join(node.itertext()) for node in page.tree.iter("h2") if node.get("class"))


def sent(page: Page, **values: object) -> tuple[str, dict[str, object]]:
    """Where a page sends its ride, and what it sends."""
    form = page.form("/rides")
    return str(form.get("action")), {**typed_values(form), **values}


def test_the_whole_syllabus_comes_in_order_with_one_tap_each(mock: MockTest) -> None:
    page = mock.begin()
    for number, name in enumerate(MANOEUVRES, start=1):
        assert (now_at(page), f"{number} of 9" in page.text) == (name, True)
        page = mock.clean(page, **(AT_50 if name in MANOEUVRES[-2:] else {}))
    assert "Nothing is left to ride" in page.text
    assert len(mock.rides()) == 9


def test_only_faults_can_be_ticked_no_remarks(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Slalom")
    assert "Cone touched" in page.text
    assert "Looked at the cone" not in page.text
    refused = mock.send(page, {"press": "faults", "fault": "looked_at_cone"}, 422)
    assert "not offered here" in refused.text
    assert len(mock.rides()) == 2


def test_a_fault_is_kept_with_its_severity_and_the_test_goes_on(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Slalom")
    after = mock.fault(page, "cone_touched:left", **{"severity-cone_touched:left": "riding"})
    assert now_at(after) == "Figure of 8"
    assert mock.rides()[-1].outcome == "riding"


def test_what_was_seen_is_folded_away_from_the_rider(mock: MockTest) -> None:
    page = mock.fault(mock.begin(), "cone_touched:left")
    tree = page.tree
    (peek,) = [d for d in tree.iter("details") if "so far" in "".join(d.itertext())]
    assert peek.get("open") is None
    assert "1 serious fault" in "".join(peek.itertext())
    peek.clear()
    assert "serious fault" not in "".join(next(tree.iter("main")).itertext())
    assert 'href="#cone-' not in page.html


def test_too_slow_is_ridden_again_once(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Emergency stop")
    second = mock.clean(page, speed="44", source="gate")
    assert now_at(second) == "Emergency stop: second try"
    after = mock.clean(second, **AT_50)
    assert now_at(after) == "Hazard avoidance to the left"
    assert [ride.second_try for ride in mock.rides()[-2:]] == [False, True]


def test_avoidance_is_not_ridden_after_a_failed_emergency_stop(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Emergency stop")
    after = mock.clean(mock.clean(page, speed="44", source="gate"), speed="45", source="gate")
    assert "Nothing is left to ride" in after.text
    assert len(mock.rides()) == 9


def test_no_second_try_after_a_serious_fault(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Emergency stop")
    after = mock.fault(page, "skid_held", speed="44", source="gate")
    assert "Nothing is left to ride" in after.text


def test_a_clean_press_with_a_fault_ticked_keeps_the_tick_and_nothing_else(mock: MockTest) -> None:
    page = mock.begin()
    refused = mock.send(page, {"press": "clean", "fault": "stall"}, 422)
    assert "this ride is not clean" in refused.text
    assert typed_values(refused.form("/rides"))["fault"] == ["stall"]
    assert mock.rides() == []


def test_a_fault_press_without_a_fault_is_refused(mock: MockTest) -> None:
    assert "Tick what you saw" in mock.send(mock.begin(), {"press": "faults"}, 422).text
    assert mock.rides() == []


def test_a_speed_without_its_source_is_refused_beside_the_field(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Emergency stop")
    refused = mock.send(page, {"press": "clean", "speed": "51", "source": None}, 422)
    assert "where the speed came from" in refused.error_beside("speed")
    assert len(mock.rides()) == 7


def test_sent_twice_it_is_kept_once(mock: MockTest) -> None:
    action, values = sent(mock.begin(), press="clean")
    pages = [mock.visitor.post(action, values) for _ in range(2)]
    assert len(mock.rides()) == 1
    assert [now_at(page) for page in pages] == ["Wheel into the next bay"] * 2


def test_the_same_manoeuvre_from_a_second_page_is_refused(mock: MockTest) -> None:
    first = mock.begin()
    second = mock.visitor.get(mock.path())
    mock.clean(first)
    refused = mock.send(second, {"press": "faults", "fault": "stall"}, 422)
    assert "moved on" in refused.text
    assert now_at(refused) == "Wheel into the next bay"
    assert "fault" not in typed_values(refused.form("/rides"))
    assert len(mock.rides()) == 1


def test_a_manoeuvre_out_of_order_is_refused(mock: MockTest, database: Database) -> None:
    action, values = sent(mock.begin(), press="clean", variant=variant_id(database, "u_turn"))
    assert "moved on" in mock.visitor.post(action, values, status=422).text
    assert mock.rides() == []


def test_a_ride_under_another_rides_number_is_refused(mock: MockTest) -> None:
    page = mock.clean(mock.begin())
    board_ride = str(mock.rides()[0].id)
    mock.visitor.submit(page, {}, "/undo")
    action, values = sent(page, press="clean", attempt_id=board_ride)
    action2, values2 = sent(mock.visitor.get(mock.path()), press="clean", attempt_id=board_ride)
    mock.visitor.post(action, values, status=422)
    refused = mock.visitor.post(action2, values2, status=422)
    assert "was taken back before" in refused.text
    assert typed_values(refused.form("/rides"))["attempt_id"] != [board_ride]
    assert mock.rides() == []


def test_the_last_manoeuvre_can_be_taken_back_again_and_again(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Slalom")
    page = mock.visitor.submit(page, {}, "/undo")
    assert now_at(page) == "Wheel into the next bay"
    page = mock.visitor.submit(page, {}, "/undo")
    assert (now_at(page), mock.rides()) == ("Park in the bay", [])
    assert len(mock.rides(struck=True)) == 2
    assert "Nothing to take back" in page.text


def test_a_second_tap_takes_nothing_more_back(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Slalom")
    mock.visitor.submit(page, {}, "/undo")
    after = mock.visitor.submit(page, {}, "/undo")
    assert now_at(after) == "Wheel into the next bay"
    assert len(mock.rides()) == 1


def test_taking_back_from_an_old_page_is_refused(mock: MockTest) -> None:
    old = mock.clean(mock.begin())
    mock.clean(old)
    assert "Nothing was taken back" in mock.visitor.submit(old, {}, "/undo", 422).text
    assert len(mock.rides()) == 2


def test_its_rides_count_like_any_other(mock: MockTest) -> None:
    mock.fault(mock.begin())
    rides = mock.visitor.get(f"/students/{mock.people.learner}/progress").text
    assert "1 ride in 1 session" in rides


@pytest.mark.parametrize("rest", ["", "/stop"])
def test_an_unknown_mock_test_is_not_found(mock: MockTest, rest: str) -> None:
    mock.begin()
    mock.visitor.get(f"/yard/mock-tests/{uuid4()}{rest}", status=404)


@pytest.mark.parametrize("rest", ["/rides", "/undo", "/end", "/stop"])
def test_another_instructors_mock_test_is_not_found(
    visit: Visit, mock: MockTest, rest: str
) -> None:
    page = mock.clean(mock.begin())
    other = visit("other_instructor")
    other.get(mock.path(), status=404)
    token = typed_values(other.get("/yard").form("/sign-out"))["csrf_token"][0]
    _, values = sent(page, press="clean", csrf_token=token, reason="Out of time")
    other.post(mock.path(rest), values, status=404)
    assert (len(mock.rides()), mock.row().ended_at) == (1, None)


def test_a_page_asks_the_same_however_far_the_test_is(
    mock: MockTest, app_database: Database
) -> None:
    counts = []
    page = mock.begin()
    for rides in (0, 6):
        for _ in range(rides):
            page = mock.clean(page)
        with counted(app_database) as seen:
            mock.visitor.get(mock.path())
        counts.append(len(seen))
    assert counts[0] == counts[1] <= 20
