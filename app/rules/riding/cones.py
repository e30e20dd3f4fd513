"""The cone strip: the shape that a ride is drawn as, and its words for a screen reader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.rules.riding.marking import SpeedResult
from app.rules.riding.values import Cone, Outcome, SeenFault, Severity
from app.rules.yards.speed import speed_words

_CONES = {
    Outcome.CLEAN: Cone.STANDING,
    Outcome.RIDING: Cone.LEANING,
    Outcome.RIDE_AGAIN: Cone.LEANING,
    Outcome.SERIOUS: Cone.FALLEN,
    Outcome.DANGEROUS: Cone.FALLEN,
    Outcome.UNMEASURED: Cone.OUTLINE,
}

SPEED_SAID = {
    SpeedResult.RIDING_FAULT: "too slow, riding",
    SpeedResult.RIDE_AGAIN: "too slow, to be ridden again",
    SpeedResult.SERIOUS: "too slow, serious",
    SpeedResult.NOT_MEASURED: "speed not measured",
}
"""What the minimum-speed rule did to a ride, in one clause; nothing where it did nothing."""


def cone(outcome: Outcome, struck_out: bool) -> Cone:
    """How the ride is drawn: standing, leaning, fallen, or an outline where it says nothing."""
    return Cone.OUTLINE if struck_out else _CONES[outcome]


def fault_name(code: str, names: Mapping[str, str]) -> str:
    """A fault kind's name as it reads in the middle of a sentence; its code where it has none."""
    name = names.get(code, code.replace("_", " "))
    is_acronym = name[1:2].isupper() or name[1:2] == "-"
    return name if is_acronym else name[:1].lower() + name[1:]


def where_words(fault: SeenFault, names: Mapping[str, str]) -> str:
    """``cone touched on the left``: a fault's name with its side if it has one."""
    side = f" on the {fault.side.value}" if fault.side else ""
    return fault_name(fault.kind, names) + side


def fault_words(fault: SeenFault, names: Mapping[str, str]) -> str:
    """``cone touched on the left, serious``; a remark reads ``remark: looked down``."""
    said = where_words(fault, names)
    if fault.severity is Severity.REMARK:
        return f"remark: {said}"
    return f"{said}, {fault.severity.value}"


def ride_words(
    outcome: Outcome,
    faults: Sequence[SeenFault] = (),
    names: Mapping[str, str] | None = None,
    *,
    struck_out: bool = False,
    speed: SpeedResult = SpeedResult.NO_MINIMUM,
    speed_kmh: float | None = None,
) -> str:
    """One cone in words: ``fallen: cone touched on the left, serious``.

    ``names`` gives the fault kinds' names by code; ``speed`` is what the minimum-speed
    rule said of ``speed_kmh`` (km/h).
    """
    shape = cone(outcome, struck_out).value
    parts = ["struck out"] if struck_out else judged_words(outcome, faults, names or {}, speed)
    if speed_kmh is not None:
        parts.append(speed_words(speed_kmh))
    return f"{shape}: {'; '.join(parts)}"


def judged_words(
    outcome: Outcome,
    faults: Sequence[SeenFault],
    names: Mapping[str, str],
    speed: SpeedResult = SpeedResult.NO_MINIMUM,
) -> list[str]:
    """What a ride came to, in clauses: ``clean`` or what the speed and each fault did to it."""
    worst_first = sorted(faults, key=lambda fault: -list(Severity).index(fault.severity))
    words = [fault_words(fault, names) for fault in worst_first]
    if outcome is Outcome.CLEAN:
        return ["clean", *words]
    return [SPEED_SAID[speed], *words] if speed in SPEED_SAID else words
