"""The numbers of a plan: who rides each block, how long it takes, and what it brings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from app.rules.progress.plan_chances import FINE, Chances, Quadrature
from app.rules.progress.plan_values import (
    Block,
    Ground,
    Option,
    Outlook,
    Pick,
    Plan,
    Rise,
    SitsOut,
    Trainee,
    Wait,
    Way,
)
from app.rules.progress.priorities import Cause
from app.rules.progress.target import Standing

CAUSES = {
    Standing.NOT_RIDDEN: Cause.NEXT_NEW,
    Standing.REFRESH: Cause.REFRESH,
    Standing.STEADY: Cause.KEEP_FRESH,
}


@dataclass(frozen=True, slots=True)
class Turnout:
    """Who rides a block and who sits it out, by the riders' numbers in the plan."""

    riding: tuple[int, ...]
    sits_out: tuple[SitsOut, ...]


class Running:
    """A plan as it is ridden, block by block; it changes with :meth:`ride`."""

    def __init__(
        self,
        ground: Ground,
        trainees: Sequence[Trainee],
        left_out: frozenset[int],
        quadrature: Quadrature,
    ) -> None:
        self.ground, self.trainees = ground, trainees
        self.used, self.set_up = 0.0, -1
        self.chances = [Chances(one, quadrature) for one in trainees]
        self._ways = [_ways(one) for one in trainees]
        self._must = [_in_order(one, ground, left_out) for one in trainees]
        self._known = [_known(one) for one in trainees]

    def turnout(self, option: Option) -> Turnout:
        """Who rides a variant if it comes next."""
        waits = [self._waits(number, option) for number in range(len(self.trainees))]
        riding = tuple(number for number, wait in enumerate(waits) if wait is None)
        return Turnout(riding, tuple(wait for wait in waits if wait is not None))

    def minutes(self, option: Option, rounds: int, riders: int) -> float:
        """How long so many rounds of a variant take if it comes next, the set-out counted."""
        return self.set_out(option) + ride_minutes(option, rounds, riders, self.ground)

    def set_out(self, option: Option) -> float:
        """Minutes to set out a variant if it comes next."""
        return 0.0 if option.manoeuvre_id == self.set_up else self.ground.set_out

    def refreshes(self, option: Option, riding: Sequence[int]) -> bool:
        """Whether the variant needs a refresh by one of these riders."""
        ways = (self._ways[number][option.variant_id] for number in riding)
        return any(way.standing is Standing.REFRESH for way in ways)

    def rise(self, number: int, now: float, option: Option, rounds: int) -> float:
        """By how much one rider's chance rises from ``now`` with so many rides of a variant."""
        return self.chances[number].tried(option.variant_id, rounds) - now

    def ride(self, option: Option, rounds: int, riding: Sequence[int]) -> None:
        """Ride a block: its minutes pass, and its riders have practised."""
        self.used += self.minutes(option, rounds, len(riding))
        self.set_up = option.manoeuvre_id
        for number in riding:
            self.chances[number].ride(option.variant_id, rounds)
            self._known[number].add(option.manoeuvre_id)

    def extend(self, option: Option, minutes: float, riding: Sequence[int]) -> None:
        """Ride one more round of a block that has been ridden, which takes so many minutes."""
        self.used += minutes
        for number in riding:
            self.chances[number].ride(option.variant_id, 1)

    def cause(self, number: int, option: Option) -> Cause:
        """Why a variant is worth a block to one rider."""
        standing = self._ways[number][option.variant_id].standing
        if self.chances[number].ridden[option.variant_id] and standing is not Standing.STEADY:
            return Cause.LEAST_SURE
        return CAUSES.get(standing, Cause.LEAST_SURE)

    def _waits(self, number: int, option: Option) -> SitsOut | None:
        """A manoeuvre that is new to a rider waits for all that come before it in the syllabus.

        Common practice, no source: a swerve at speed is not where anyone begins.
        """
        one, known = self.trainees[number], self._known[number]
        if option.variant_id not in self._ways[number] or option.variant_id in one.ruled_out:
            return SitsOut(one.rider_id, Wait.RULED_OUT)
        if option.manoeuvre_id in known:
            return None
        for place, manoeuvre in self._must[number]:
            if place < option.place and manoeuvre not in known:
                return SitsOut(one.rider_id, Wait.TOO_EARLY, manoeuvre)
        return None


def ride_minutes(option: Option, rounds: int, riders: int, ground: Ground) -> float:
    """Minutes of so many rounds without the set-out: riders take turns, ``at_once`` together."""
    return rounds * ceil(riders / ground.at_once) * option.minutes


def reckoned(
    ground: Ground,
    trainees: tuple[Trainee, ...],
    picks: Sequence[Pick],
    left_out: frozenset[int] = frozenset(),
) -> Plan:
    """The plan of these blocks in this order with all its numbers, however long it is.

    ValueError for a variant that may not be ridden on the ground today.
    """
    running = Running(ground, trainees, left_out, FINE)
    before = [chances.chance() for chances in running.chances]
    blocks = tuple(_blocks(running, picks, list(before)))
    outlooks = tuple(
        Outlook(one.rider_id, one.results.of(first), one.results.of(chances.chance()))
        for one, first, chances in zip(trainees, before, running.chances, strict=True)
    )
    return Plan(ground, trainees, blocks, outlooks, left_out)


def _blocks(running: Running, picks: Sequence[Pick], now: list[float]) -> Iterator[Block]:
    for pick in picks:
        option = running.ground.option(pick.variant_id)
        if option is None:
            raise ValueError(f"variant {pick.variant_id} may not be ridden here today")
        turnout = running.turnout(option)
        begins, set_out = running.used, running.set_out(option)
        causes = [running.cause(number, option) for number in turnout.riding]
        running.ride(option, pick.rounds, turnout.riding)
        rises = []
        for number, cause in zip(turnout.riding, causes, strict=True):
            one, after = running.trainees[number], running.chances[number].chance()
            rise = one.results.of(after) - one.results.of(now[number])
            rises.append(Rise(one.rider_id, rise, cause))
            now[number] = after
        yield Block(
            option=option,
            rounds=pick.rounds,
            pinned=pick.pinned,
            begins=begins,
            set_out=set_out,
            minutes=running.used - begins,
            rises=tuple(rises),
            sits_out=turnout.sits_out,
        )


def _ways(trainee: Trainee) -> dict[int, Way]:
    return {way.variant_id: way for part in trainee.parts for way in part.ways}


def _known(trainee: Trainee) -> set[int]:
    """The manoeuvres that a rider has ridden at all."""
    return {part.manoeuvre_id for part in trainee.parts if any(way.rides > 0 for way in part.ways)}


def _in_order(trainee: Trainee, ground: Ground, left_out: frozenset[int]) -> list[tuple[int, int]]:
    """Places and manoeuvres that a rider can be given here today, in the order of the syllabus."""
    mine = _ways(trainee).keys() - trainee.ruled_out - left_out
    offered = {(o.place, o.manoeuvre_id) for o in ground.options if o.variant_id in mine}
    return sorted(offered)
