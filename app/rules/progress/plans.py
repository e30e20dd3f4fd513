"""Practice plans: drawn up, and changed by the instructor, whose numbers then follow.

A plan holds the blocks that raise the riders' chances of passing most, one plan
for all of them so that they share what is set out. It is advice: the instructor
moves, drops, pins and adds blocks, and nothing is planned that may not be ridden
on the ground today or that would come too early for a rider. On a wet surface runs
at speed are put off; one that the instructor puts in all the same comes with a caution.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from app.rules.progress.plan_drawing import SLACK, drawn
from app.rules.progress.plan_numbers import reckoned
from app.rules.progress.plan_values import MOST_IN_A_ROW, Ground, Pick, Plan, Trainee
from app.rules.refusal import Reason, Refused


def draw_up(ground: Ground, trainees: Sequence[Trainee]) -> Plan:
    """A plan for these riders together. Empty where nothing fits or nothing helps."""
    riders = tuple(trainees)
    return reckoned(ground, riders, drawn(ground, riders, {}, frozenset()))


def replan(
    ground: Ground,
    trainees: Sequence[Trainee],
    picks: Sequence[Pick],
    left_out: frozenset[int] = frozenset(),
) -> Plan:
    """A kept plan with the numbers of today.

    What is too long is cut from the end, pinned blocks last. Refused where a
    variant may not be ridden here today, where pinned blocks alone take too long,
    and where more than two blocks of one manoeuvre stand in a row.
    """
    for pick in picks:
        if ground.option(pick.variant_id) is None:
            raise Refused(Reason("That cannot be ridden here today."))
    plan = reckoned(ground, tuple(trainees), picks, left_out)
    while plan.minutes > ground.minutes + SLACK:
        plan = reckoned(ground, plan.trainees, _shortened(plan.picks), left_out)
    if _too_many_in_a_row(plan):
        raise Refused(
            Reason(
                f"That would put more than {MOST_IN_A_ROW} blocks of one manoeuvre in a row."
                " Move or drop another one first."
            )
        )
    return plan


def move(plan: Plan, place: int, to: int) -> Plan:
    """The plan with the block at ``place`` (from 0) moved to ``to``. Refused as in replan."""
    picks = list(plan.picks)
    picks.insert(_at(to, plan), picks.pop(_at(place, plan)))
    return _with(plan, picks)


def drop(plan: Plan, place: int) -> Plan:
    """The plan without a block, and without its variant when it is filled up again.

    The minutes that it leaves stay free until then.
    """
    picks = list(plan.picks)
    dropped = picks.pop(_at(place, plan))
    return _with(replace(plan, left_out=plan.left_out | {dropped.variant_id}), picks)


def pin(plan: Plan, place: int, pinned: bool = True) -> Plan:
    """The plan with a block pinned, or no longer so: a pinned one stays when it is filled up."""
    at = _at(place, plan)
    blocks = list(plan.blocks)
    blocks[at] = replace(blocks[at], pinned=pinned)
    return replace(plan, blocks=tuple(blocks))


def put(plan: Plan, place: int, variant_id: int, rounds: int = 2) -> Plan:
    """The plan with a pinned block of the instructor's choice at ``place``.

    Others give way from the end. Refused as in replan, and below one round.
    """
    if rounds < 1:
        raise Refused(Reason("A block has at least one round.", "rounds"))
    picks = list(plan.picks)
    picks.insert(max(0, min(place, len(picks))), Pick(variant_id, rounds, pinned=True))
    return _with(replace(plan, left_out=plan.left_out - {variant_id}), picks)


def allow_again(plan: Plan, variant_id: int) -> Plan:
    """The plan with a variant that was dropped allowed when it is filled up."""
    return _with(replace(plan, left_out=plan.left_out - {variant_id}), plan.picks)


def refill(plan: Plan) -> Plan:
    """The plan drawn up anew around its pinned blocks, which keep their places where they can.

    Refused where the pinned blocks would end up too many in a row.
    """
    kept = {place: pick for place, pick in enumerate(plan.picks) if pick.pinned}
    return _with(plan, drawn(plan.ground, plan.trainees, kept, plan.left_out))


def _with(plan: Plan, picks: Sequence[Pick]) -> Plan:
    return replan(plan.ground, plan.trainees, picks, plan.left_out)


def _at(place: int, plan: Plan) -> int:
    if not 0 <= place < len(plan.blocks):
        raise Refused(Reason("The plan has changed: there is no such block in it."))
    return place


def _shortened(picks: Sequence[Pick]) -> list[Pick]:
    """One round less in the last block that is not pinned; none left, no block."""
    loose = [place for place, pick in enumerate(picks) if not pick.pinned]
    if not loose:
        raise Refused(Reason("The pinned blocks take longer than there is time."))
    left, last = list(picks), loose[-1]
    shorter = replace(picks[last], rounds=picks[last].rounds - 1)
    left[last : last + 1] = [shorter] if shorter.rounds else []
    return left


def _too_many_in_a_row(plan: Plan) -> bool:
    rows = groupby(block.option.manoeuvre_id for block in plan.blocks)
    return any(len(list(row)) > MOST_IN_A_ROW for _, row in rows)
