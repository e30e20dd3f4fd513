"""Drawing up a plan: block after block, the one that raises the chances most for its time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count, takewhile

from app.rules.progress.plan_chances import COARSE
from app.rules.progress.plan_numbers import Running, ride_minutes
from app.rules.progress.plan_values import MOST_IN_A_ROW, Ground, Option, Pick, Trainee

ROUNDS = (2, 3, 4, 5)
"""Rounds that a block may have; a single one only where no more fits. Invented: one ride shows
nothing of whether it comes off twice, and after five the next manoeuvre is better mixed in."""

PATIENCE = 0.75
"""Of two blocks the one with the larger rise / minutes ** PATIENCE is taken. With 1, short blocks
are taken too often and the time goes into setting out: for simulated riders, one to three of them
over one and two hours, plans with 0.75 brought 1 to 6 % more than with 1, and on the whole no less
than with 0.5."""

SLACK = 1e-9
"""What minutes may differ by for nothing but rounding."""


@dataclass(frozen=True, slots=True)
class Trial:
    """A block that may come next, its minutes, and the rise of all chances weighed by them."""

    option: Option
    rounds: int
    riding: tuple[int, ...]
    minutes: float
    worth: float


def drawn(
    ground: Ground,
    trainees: Sequence[Trainee],
    kept: Mapping[int, Pick],
    left_out: frozenset[int],
) -> list[Pick]:
    """Blocks to fill the minutes around those ``kept`` at their places in the plan.

    What needs a refresh is given one block before anything else is weighed; a run
    at speed does not come first where there is something slow to warm up on
    (common practice, no source) nor at all on a wet surface; a variant follows itself
    only where nothing else can be ridden. Minutes left at the end go to further rounds.
    Of blocks that bring the same, the one earlier in the syllabus and the shorter comes
    first, so that a plan is always the same.
    """
    drawing = _Drawing(ground, trainees, kept, left_out)
    while drawing.place_next():
        pass
    while drawing.stretch():
        pass
    return drawing.picks


class _Drawing:
    def __init__(
        self,
        ground: Ground,
        trainees: Sequence[Trainee],
        kept: Mapping[int, Pick],
        left_out: frozenset[int],
    ) -> None:
        self.picks: list[Pick] = []
        self._riding: list[tuple[int, ...]] = []
        self._running = Running(ground, trainees, left_out, COARSE)
        self._ground = ground
        self._kept = dict(sorted(kept.items()))
        self._options = {one.variant_id: one for one in ground.options}
        self._open = [
            one
            for one in ground.options
            if one.variant_id not in left_out and not ground.puts_off(one)
        ]
        self._refresh_due = not any(self._refreshes(pick) for pick in kept.values())

    def place_next(self) -> bool:
        """Put one more block at the end, or say that there is none to put."""
        pick = self._kept.pop(len(self.picks), None) or self._best() or self._next_kept()
        if pick is None:
            return False
        self._put(pick)
        return True

    def stretch(self) -> bool:
        """Give one block that is not pinned one more round, or say that none has the time."""
        now = [chances.chance() for chances in self._running.chances]
        longer = [trial for trial in self._longer(now) if trial[1].worth > 0.0]
        if not longer:
            return False
        place, best = max(longer, key=lambda trial: (*_worth(trial[1]), -trial[0]))
        self._running.extend(best.option, best.minutes, best.riding)
        self.picks[place] = Pick(best.option.variant_id, best.rounds)
        return True

    def _longer(self, now: Sequence[float]) -> Iterator[tuple[int, Trial]]:
        """Each block with one more round, at its place; the minutes are those of that round."""
        for place, (pick, riding) in enumerate(zip(self.picks, self._riding, strict=True)):
            option = self._options[pick.variant_id]
            minutes = ride_minutes(option, 1, len(riding), self._ground)
            if not pick.pinned and pick.rounds < ROUNDS[-1] and 0.0 < minutes <= self._spare():
                rise = sum(self._running.rise(n, now[n], option, 1) for n in riding)
                yield (
                    place,
                    Trial(option, pick.rounds + 1, riding, minutes, _weighed(rise, minutes)),
                )

    def _next_kept(self) -> Pick | None:
        """A kept block whose place is not reached, for nothing fits before it."""
        return self._kept.pop(next(iter(self._kept))) if self._kept else None

    def _put(self, pick: Pick) -> None:
        option = self._options[pick.variant_id]
        riding = self._running.turnout(option).riding
        if self._running.refreshes(option, riding):
            self._refresh_due = False
        self._running.ride(option, pick.rounds, riding)
        self.picks.append(pick)
        self._riding.append(riding)

    def _best(self) -> Pick | None:
        """The best block that may come next: one for a refresh while that is due."""
        now = [chances.chance() for chances in self._running.chances]
        trials = list(self._trials(ROUNDS, now))
        if not trials and (self._refresh_due or not self.picks):
            trials = list(self._trials((1,), now))
        last = self.picks[-1].variant_id if self.picks else None
        trials = [one for one in trials if one.option.variant_id != last] or trials
        due = [one for one in trials if self._running.refreshes(one.option, one.riding)]
        if self._refresh_due and due:
            trials = self._to_warm_up(trials, min(one.minutes for one in due)) or due
        elif not self.picks:
            trials = self._to_warm_up(trials, 0.0) or trials
        best = max(trials, key=_worth, default=None)
        return Pick(best.option.variant_id, best.rounds) if best else None

    def _to_warm_up(self, trials: Sequence[Trial], later: float) -> list[Trial]:
        """What may come first before a run at speed, with so many minutes left for that."""
        return [
            one
            for one in trials
            if not (self.picks or one.option.speed_run) and one.minutes <= self._spare() - later
        ]

    def _trials(self, rounds: Sequence[int], now: Sequence[float]) -> Iterator[Trial]:
        spare = self._spare()
        for option in self._open:
            riding = self._running.turnout(option).riding
            if not riding or self._would_be_too_many(option):
                continue
            for many in rounds:
                minutes = self._running.minutes(option, many, len(riding))
                if minutes > spare:
                    break
                rise = sum(self._running.rise(n, now[n], option, many) for n in riding)
                if rise > 0.0:
                    yield Trial(option, many, riding, minutes, _weighed(rise, minutes))

    def _spare(self) -> float:
        return self._ground.minutes - self._running.used - self._reserved() + SLACK

    def _reserved(self) -> float:
        """Minutes for what is kept and still to come, at their longest: all ride, each set out."""
        riders = len(self._running.trainees)
        return sum(
            self._ground.set_out
            + ride_minutes(self._options[pick.variant_id], pick.rounds, riders, self._ground)
            for pick in self._kept.values()
        )

    def _would_be_too_many(self, option: Option) -> bool:
        """Whether it would stand in too long a row, those kept at the next places counted."""
        after = takewhile(self._kept.__contains__, count(len(self.picks) + 1))
        coming = [self._kept[place] for place in after]
        row = self._run(self.picks[::-1], option) + 1 + self._run(coming, option)
        return row > MOST_IN_A_ROW

    def _run(self, picks: Sequence[Pick], option: Option) -> int:
        """How many of these blocks, from the first on, are of the option's manoeuvre."""
        manoeuvres = (self._options[pick.variant_id].manoeuvre_id for pick in picks)
        return len(list(takewhile(option.manoeuvre_id.__eq__, manoeuvres)))

    def _refreshes(self, pick: Pick) -> bool:
        option = self._options[pick.variant_id]
        return self._running.refreshes(option, self._running.turnout(option).riding)


def _worth(trial: Trial) -> tuple[float, int, int, int]:
    option = trial.option
    return (trial.worth, -option.place, -option.variant_id, -trial.rounds)


def _weighed(rise: float, minutes: float) -> float:
    return float(rise / minutes**PATIENCE)
