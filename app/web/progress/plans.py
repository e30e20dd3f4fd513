"""Practice plans for a student and for the riders of a session.

A plan stands in its address, so that it can be changed, gone back from, passed on
and printed, and nothing has to be kept: to change one is only to ask for another.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from flask import redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.progress import plans as rules
from app.rules.progress.plan_values import Block, Plan
from app.rules.progress.plan_words import (
    block_caution,
    block_words,
    cautions,
    outlook_words,
    put_off_words,
    sits_out_words,
    time_words,
    why_words,
)
from app.rules.refusal import Refused
from app.rules.words import count_words
from app.store.progress.planning import USUAL_MINUTES, Bench, session_bench, student_bench
from app.web.context import now, reading, settings
from app.web.pages import page
from app.web.progress.boxes import Choice
from app.web.progress.plan_addresses import (
    MOST_ROUNDS,
    blocks_in,
    blocks_out,
    dropped_in,
    dropped_out,
)
from app.web.progress.routes import bp

MINUTES = (60, 90, 120)
USUAL_ROUNDS, MOST_ROUNDS_CHOSEN = 2, 5

CHANGES: Mapping[str, Callable[[Plan, int], Plan]] = {
    "up": lambda plan, place: rules.move(plan, place, place - 1),
    "down": lambda plan, place: rules.move(plan, place, place + 1),
    "drop": rules.drop,
    "pin": lambda plan, place: rules.pin(plan, place),
    "unpin": lambda plan, place: rules.pin(plan, place, pinned=False),
    "fill": lambda plan, _: rules.refill(plan),
    "allow": rules.allow_again,
    "put": lambda plan, place: rules.put(plan, place, *_wished()),
}


@dataclass(frozen=True, slots=True)
class ShownBlock:
    """One block in words; ``ways`` are what can be done with it: words and address."""

    said: str
    why: str
    waits: tuple[str, ...]
    cautions: tuple[str, ...]
    begins: int
    pinned: bool
    ways: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ShownPlan:
    """A plan in words, with the addresses of the plans it can be changed into."""

    blocks: tuple[ShownBlock, ...]
    outlooks: tuple[str, ...]
    time: str
    cautions: tuple[str, ...]
    put_off: str
    fill: str
    dropped: tuple[tuple[str, str], ...]
    kept: Mapping[str, Any]
    choices: Mapping[str, tuple[str, list[Choice]]]


@bp.get("/students/<int:student_id>/plan")
def student_plan(student_id: int) -> ResponseReturnValue:
    """What one student could practise in an hour or two."""
    minutes = request.args.get("minutes", default=int(USUAL_MINUTES), type=int)
    minutes = minutes if minutes in MINUTES else int(USUAL_MINUTES)
    bench = student_bench(reading(), student_id, float(minutes), now(), settings())
    return _answer(bench, student_id=student_id, minutes=minutes)


@bp.get("/progress/sessions/<int:session_id>/plan")
def session_plan(session_id: int) -> ResponseReturnValue:
    """What the riders of a session could practise together."""
    bench = session_bench(reading(), session_id, now(), settings())
    return _answer(bench, session_id=session_id)


def _answer(bench: Bench, **of: int) -> ResponseReturnValue:
    plan, refusal = _as_asked(bench)
    change, place = request.args.get("do", ""), request.args.get("place", default=0, type=int)
    if change in CHANGES and not refusal:
        try:
            return redirect(_address(CHANGES[change](plan, place), of), code=303)
        except Refused as refused:
            refusal = str(refused)
    return page(
        "progress/plan.html",
        bench=bench,
        plan=_shown(plan, bench, of),
        refusal=refusal,
        lengths=[(each, _bare(of | {"minutes": each})) for each in MINUTES],
        minutes=of.get("minutes"),
        back=url_for("progress.student", student_id=of["student_id"])
        if "student_id" in of
        else url_for("progress.flags", where=of["session_id"]),
    )


def _wished() -> tuple[int, int]:
    """The variant and the rounds of the block to be put in; 0 where they are none."""
    variant = request.args.get("variant", default=0, type=int)
    return variant, min(request.args.get("rounds", default=0, type=int), MOST_ROUNDS)


def _as_asked(bench: Bench) -> tuple[Plan, str]:
    """The plan of the address, or a new one; and why the one asked for cannot be."""
    picks = blocks_in(request.args.get("blocks", ""))
    if picks is None:
        return rules.draw_up(bench.ground, bench.trainees), ""
    try:
        dropped = dropped_in(request.args.get("dropped", ""))
        return rules.replan(bench.ground, bench.trainees, picks, dropped), ""
    except Refused as refused:
        return rules.draw_up(bench.ground, bench.trainees), str(refused)


def _shown(plan: Plan, bench: Bench, of: Mapping[str, int]) -> ShownPlan:
    last = len(plan.blocks) - 1
    return ShownPlan(
        blocks=tuple(
            _block(one, place, last, plan, bench, of) for place, one in enumerate(plan.blocks)
        ),
        outlooks=tuple(outlook_words(one, bench.riders[one.rider_id]) for one in plan.outlooks),
        time=time_words(plan),
        cautions=cautions(plan),
        put_off=put_off_words(plan, bench.variants),
        kept=_kept(plan, of) | {"do": "put"},
        choices=_choices(plan, bench),
        fill=_address(plan, of, do="fill"),
        dropped=tuple(
            (bench.variants[each], _address(plan, of, do="allow", place=each))
            for each in sorted(plan.left_out)
            if each in bench.variants
        ),
    )


def _choices(plan: Plan, bench: Bench) -> dict[str, tuple[str, list[Choice]]]:
    """What can be put in, for how many rounds, and where: a label and its choices for each."""
    waits = {one.variant_id for one in plan.put_off}
    variants = [
        Choice(str(id_), bench.variants[id_] + (" (wet)" if id_ in waits else ""), chosen=False)
        for id_ in (option.variant_id for option in plan.ground.options)
    ]
    rounds = [
        Choice(str(n), count_words(n, "round"), n == USUAL_ROUNDS)
        for n in range(1, MOST_ROUNDS_CHOSEN + 1)
    ]
    places = [Choice("0", "First", not plan.blocks)]
    for place, block in enumerate(plan.blocks, start=1):
        after = f"After {place}. {bench.variants[block.option.variant_id]}"
        places.append(Choice(str(place), after, place == len(plan.blocks)))
    return {
        "variant": ("Manoeuvre", variants),
        "rounds": ("How often", rounds),
        "place": ("Where", places),
    }


def _block(
    block: Block, place: int, last: int, plan: Plan, bench: Bench, of: Mapping[str, int]
) -> ShownBlock:
    ways = [("Earlier", "up")] if place else []
    ways += [("Later", "down")] if place < last else []
    ways += [("Let go", "unpin") if block.pinned else ("Pin", "pin"), ("Drop", "drop")]
    return ShownBlock(
        said=block_words(block, bench.variants),
        why=why_words(block, bench.riders),
        waits=tuple(sits_out_words(one, bench.riders, bench.manoeuvres) for one in block.sits_out),
        cautions=_cautions(plan, place, bench),
        begins=round(block.begins),
        pinned=block.pinned,
        ways=tuple((words, _address(plan, of, do=do, place=place)) for words, do in ways),
    )


def _cautions(plan: Plan, place: int, bench: Bench) -> tuple[str, ...]:
    """That of a wet surface, and the manoeuvre's own where it comes for the first time."""
    before = {block.option.manoeuvre_id for block in plan.blocks[:place]}
    block = plan.blocks[place]
    wet = [said] if (said := block_caution(block, plan)) else []
    first = block.option.manoeuvre_id not in before
    return (*wet, *(bench.cautions[block.option.variant_id] if first else ()))


def _kept(plan: Plan, of: Mapping[str, int]) -> dict[str, Any]:
    """What an address of this plan says besides its path."""
    minutes = {"minutes": of["minutes"]} if "minutes" in of else {}
    return minutes | {"blocks": blocks_out(plan), "dropped": dropped_out(plan)}


def _address(plan: Plan, of: Mapping[str, int], **change: Any) -> str:
    kept = {"blocks": blocks_out(plan), "dropped": dropped_out(plan) or None}
    return url_for(_endpoint(), **of, **kept, **change)  # type: ignore[arg-type]


def _bare(of: dict[str, Any]) -> str:
    return url_for(_endpoint(), **of)


def _endpoint() -> str:
    return request.endpoint or ""
