"""A whole test: passed, failed, not finished or stopped, and why."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.rules.riding.findings import FindingCode, RiddenExercise
from app.rules.riding.marking import judge_speed
from app.rules.riding.values import SeenFault, Severity, Side
from app.rules.riding.verdict import ModuleResult, ModuleVerdict, judge_test, marking_sheet
from tests.rules.riding.shipped import shipped_syllabus
from tests.rules.riding.strategies import CODES, ridden_exercises, seen_faults

SHEET = marking_sheet(shipped_syllabus())
WOBBLE = SeenFault("wobble", Severity.RIDING)
STALL = SeenFault("stall", Severity.RIDING)
TOUCHED = SeenFault("cone_touched", Severity.SERIOUS, Side.LEFT)
RANKS = [ModuleResult.PASSED, ModuleResult.INCOMPLETE, ModuleResult.STOPPED, ModuleResult.FAILED]


def a_test(without: tuple[str, ...] = (), **changed: RiddenExercise) -> list[RiddenExercise]:
    """A whole clean test with some rides changed or left out."""
    return [changed.get(c, RiddenExercise(c)) for c in CODES if c not in without]


def ridden(code: str, *faults: SeenFault) -> RiddenExercise:
    return RiddenExercise(code, faults)


def at_speed(code: str, kmh: float | None, *, second_try: bool = False) -> RiddenExercise:
    return RiddenExercise(code, (), judge_speed(kmh, 50.0, second_try))


def codes(verdict: ModuleVerdict) -> list[FindingCode]:
    return [reason.code for reason in verdict.reasons]


def test_a_test_without_a_fault_is_passed_and_needs_no_reason() -> None:
    verdict = judge_test(a_test(), SHEET)
    assert verdict.result is ModuleResult.PASSED
    assert verdict.reasons == ()
    assert verdict.sentence == "Passed: no faults, at most 5 riding faults allowed."


def test_five_riding_faults_pass_and_six_do_not() -> None:
    five = judge_test(a_test(slalom=ridden("slalom", *[WOBBLE] * 2, *[STALL] * 3)), SHEET)
    six = judge_test(a_test(slalom=ridden("slalom", *[WOBBLE] * 3, *[STALL] * 3)), SHEET)
    assert five.result is ModuleResult.PASSED
    assert six.result is ModuleResult.FAILED
    assert codes(six) == [FindingCode.TOO_MANY_RIDING_FAULTS]
    assert six.reasons[0].sentence == "6 riding faults in the whole test; at most 5 may pass."


@pytest.mark.parametrize("severity", [Severity.SERIOUS, Severity.DANGEROUS])
def test_one_serious_or_dangerous_fault_fails_the_test(severity: Severity) -> None:
    fault = SeenFault("cone_touched", severity, Side.RIGHT)
    verdict = judge_test(a_test(slalom=ridden("slalom", fault)), SHEET)
    assert verdict.result is ModuleResult.FAILED
    assert verdict.reasons[0].sentence == (
        f"Slalom: cone touched on the right, a {severity.value} fault."
    )
    assert (verdict.reasons[0].manoeuvre, verdict.reasons[0].fault) == ("slalom", "cone_touched")


def test_remarks_never_count_in_a_test() -> None:
    remarks = [SeenFault("looked_down", Severity.REMARK)] * 9
    assert judge_test(a_test(slalom=ridden("slalom", *remarks)), SHEET).sentence == (
        "Passed: no faults, at most 5 riding faults allowed."
    )


def test_reasons_stand_in_the_order_of_the_exercises_whatever_was_ridden_first() -> None:
    rides = a_test(u_turn=ridden("u_turn", TOUCHED), park=ridden("park", TOUCHED))
    verdict = judge_test(rides[::-1], SHEET)
    assert [reason.manoeuvre for reason in verdict.reasons] == ["park", "u_turn"]


def test_a_riding_fault_for_speed_counts_among_the_riding_faults() -> None:
    rides = a_test(slalom=ridden("slalom", *[STALL] * 5), avoidance=at_speed("avoidance", 48.0))
    verdict = judge_test(rides, SHEET)
    assert (verdict.result, verdict.riding) == (ModuleResult.FAILED, 6)


def test_too_slow_on_the_first_try_only_costs_nothing_once_ridden_again() -> None:
    rides = [*a_test(avoidance=at_speed("avoidance", 41.0))]
    waiting = judge_test(rides, SHEET)
    assert (waiting.result, codes(waiting)) == (
        ModuleResult.INCOMPLETE,
        [FindingCode.RIDE_AGAIN_DUE],
    )
    again = judge_test([*rides, at_speed("avoidance", 51.0, second_try=True)], SHEET)
    assert (again.result, again.riding) == (ModuleResult.PASSED, 0)


def test_too_slow_on_the_second_try_fails_the_test() -> None:
    rides = [
        *a_test(avoidance=at_speed("avoidance", 41.0)),
        at_speed("avoidance", 44.0, second_try=True),
    ]
    verdict = judge_test(rides, SHEET)
    assert verdict.result is ModuleResult.FAILED
    assert verdict.reasons[0].sentence == (
        "Hazard avoidance: too slow on the second try, a serious fault."
    )


def test_a_speed_that_was_not_measured_leaves_the_test_open() -> None:
    verdict = judge_test(a_test(avoidance=at_speed("avoidance", None)), SHEET)
    assert (verdict.result, codes(verdict)) == (
        ModuleResult.INCOMPLETE,
        [FindingCode.SPEED_NOT_MEASURED],
    )


def test_avoidance_is_rightly_left_out_after_a_failed_emergency_stop() -> None:
    rides = a_test(without=("avoidance",), emergency_stop=ridden("emergency_stop", TOUCHED))
    verdict = judge_test(rides, SHEET)
    assert verdict.result is ModuleResult.FAILED
    assert [note.code for note in verdict.notes] == [FindingCode.NOT_RIDDEN_AFTER_FAILURE]


def test_avoidance_left_out_after_a_good_emergency_stop_is_not_finished() -> None:
    faulty_but_not_failed = ridden("emergency_stop", STALL)
    verdict = judge_test(
        a_test(without=("avoidance",), emergency_stop=faulty_but_not_failed), SHEET
    )
    assert (verdict.result, codes(verdict)) == (ModuleResult.INCOMPLETE, [FindingCode.NOT_RIDDEN])


def test_a_test_not_finished_has_no_verdict_yet() -> None:
    verdict = judge_test(a_test(without=("u_turn", "avoidance")), SHEET)
    assert verdict.result is ModuleResult.INCOMPLETE
    assert verdict.sentence == "No verdict yet, 2 exercises still open: no faults so far."


def test_a_stopped_test_stays_stopped_and_keeps_what_was_seen() -> None:
    rides = [ridden("park"), ridden("slalom", TOUCHED)]
    verdict = judge_test(rides, SHEET, stopped=True)
    assert verdict.result is ModuleResult.STOPPED
    assert codes(verdict) == [FindingCode.STOPPED, FindingCode.SERIOUS_FAULT]
    assert verdict.sentence == "Stopped, so no verdict: 1 serious fault up to then."


def test_dropping_the_machine_between_the_exercises_fails_the_test() -> None:
    dropped = SeenFault("machine_dropped", Severity.SERIOUS, Side.LEFT)
    verdict = judge_test(a_test(), SHEET, between=[dropped])
    assert verdict.result is ModuleResult.FAILED
    assert verdict.reasons[0].sentence == (
        "Between the exercises: machine dropped on the left, a serious fault."
    )


def test_a_riding_fault_that_keeps_happening_is_a_note_and_never_a_decision() -> None:
    verdict = judge_test(a_test(slalom=ridden("slalom", WOBBLE, WOBBLE, WOBBLE)), SHEET)
    assert verdict.result is ModuleResult.PASSED
    note = verdict.notes[-1]
    assert (note.code, note.fault, note.count) == (FindingCode.REPEATED, "wobble", 3)


def test_a_ride_that_is_not_on_the_sheet_is_refused() -> None:
    with pytest.raises(ValueError, match="wheelie"):
        judge_test([RiddenExercise("wheelie")], SHEET)


@given(st.lists(ridden_exercises, max_size=12), seen_faults, st.booleans(), st.data())
def test_one_more_fault_never_improves_a_verdict(
    rides: list[RiddenExercise], fault: SeenFault, stopped: bool, data: st.DataObject
) -> None:
    assume(rides)
    place = data.draw(st.integers(0, len(rides) - 1))
    worse = list(rides)
    hit = worse[place]
    worse[place] = RiddenExercise(hit.manoeuvre, (*hit.faults, fault), hit.speed)
    before, after = (
        judge_test(rides, SHEET, stopped=stopped),
        judge_test(worse, SHEET, stopped=stopped),
    )
    assert RANKS.index(after.result) >= RANKS.index(before.result)


@given(st.lists(ridden_exercises, max_size=12))
def test_the_verdict_follows_from_the_counts_alone(rides: list[RiddenExercise]) -> None:
    verdict = judge_test(rides, SHEET)
    failed = verdict.serious > 0 or verdict.dangerous > 0 or verdict.riding > 5
    assert (verdict.result is ModuleResult.FAILED) == failed
    assert (verdict.result is ModuleResult.PASSED) == (verdict.reasons == ())
