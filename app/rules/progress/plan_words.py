"""A practice plan in words. It advises: the instructor decides what is ridden."""

from __future__ import annotations

from collections.abc import Mapping

from app.rules.progress.plan_values import Block, Outlook, Plan, SitsOut, Wait
from app.rules.progress.priorities import CAUSE_WORDS, Cause
from app.rules.words import count_words

Names = Mapping[int, str]

PLAN_CAUTION = (
    "A plan is advice. The instructor decides what is ridden, by the rider, the surface and the"
    " weather, and stops before anyone is tired."
)
AT_SPEED_FIRST = "The first block is a run at speed: warm up on something slow first."
WET_GROUND = (
    "The surface is wet: stopping takes at least twice as long as on a dry one, and paint, covers"
    " and loose grit are slippery."
)
"""The Highway Code, rule 227 (wet weather; at least double the stopping distance), from memory."""
WET_RUN = (
    "The surface is wet: a run at speed only if the instructor judges so here and now, and only as"
    " far as the instructor says."
)
MOSTLY_HELPS = 0.005
"""A smaller rise of the chance is not worth a number."""


def block_words(block: Block, variants: Names) -> str:
    """``U-turn, 3 rounds, 11 minutes with 3 to set out``."""
    name = variants[block.option.variant_id]
    parts = [name, count_words(block.rounds, "round"), minutes_words(block.minutes)]
    if block.set_out:
        parts[-1] += f" with {block.set_out:g} to set out"
    return ", ".join(parts)


def why_words(block: Block, riders: Names) -> str:
    """For whom the block is and why, those with most to gain first: one sentence, or nothing."""
    by_cause: dict[Cause, list[str]] = {}
    for one in sorted(block.rises, key=lambda rise: (-rise.rise, rise.rider_id)):
        by_cause.setdefault(one.cause, []).append(riders[one.rider_id])
    said = [f"for {_listed(names)}, {CAUSE_WORDS[cause]}" for cause, names in by_cause.items()]
    text = "; ".join(said)
    return text[:1].upper() + text[1:] + "." if text else ""


def sits_out_words(one: SitsOut, riders: Names, manoeuvres: Names) -> str:
    """Why a rider does not ride a block."""
    name = riders[one.rider_id]
    if one.why is Wait.TOO_EARLY and one.first is not None:
        return f"{name} sits this one out: {_inside(manoeuvres[one.first])} comes first."
    return f"{name} sits this one out: it is ruled out for them today."


def outlook_words(outlook: Outlook, rider: str) -> str:
    """What the plan is expected to do for a rider, in tenths, without a promise."""
    if outlook.after - outlook.before < MOSTLY_HELPS:
        return f"{rider}: keeps what is there, {_tenths(outlook.after)}."
    before, after = _tenths(outlook.before), _tenths(outlook.after)
    if before == after:
        return f"{rider}: {before}, and a little better after this plan."
    return f"{rider}: {before} now; {after} expected after this plan."


def time_words(plan: Plan) -> str:
    """``118 of 120 minutes planned``."""
    return f"{plan.minutes:g} of {minutes_words(plan.ground.minutes)} planned"


def cautions(plan: Plan) -> tuple[str, ...]:
    """What to say beside a plan before anyone rides it."""
    found = [WET_GROUND] if plan.ground.wet else []
    found += [AT_SPEED_FIRST] if plan.begins_at_speed else []
    return (*found, PLAN_CAUTION)


def block_caution(block: Block, plan: Plan) -> str:
    """What to say beside a run at speed on a wet surface; nothing beside any other block."""
    return WET_RUN if plan.ground.puts_off(block.option) else ""


def put_off_words(plan: Plan, variants: Names) -> str:
    """``Put off to a drier day: Controlled stop, Emergency stop.``, or nothing."""
    names = [variants[one.variant_id] for one in plan.put_off]
    return f"Put off to a drier day: {'; '.join(names)}." if names else ""


def minutes_words(minutes: float) -> str:
    """``1 minute``, ``7.5 minutes``."""
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


def _tenths(chance: float) -> str:
    tenths = round(chance * 10)
    if tenths == 0:
        return "less than 1 in 10"
    return "more than 9 in 10" if chance > 0.9 else f"about {tenths} in 10"


def _inside(name: str) -> str:
    return name if name[1:2].isupper() or name[1:2] == "-" else name[:1].lower() + name[1:]


def _listed(names: list[str]) -> str:
    if len(names) == 1:
        return names[0]
    return ", ".join(names[:-1]) + " and " + names[-1]
