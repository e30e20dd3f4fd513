"""From a syllabus back to plain entries, in the very shape that the parser reads."""

from __future__ import annotations

from typing import Any

from app.rules.riding.syllabus import FaultKind, Manoeuvre


def manoeuvre_entry(manoeuvre: Manoeuvre) -> dict[str, Any]:
    """A manoeuvre as the table under its code in the reference file; JSON can hold it."""
    entry: dict[str, Any] = {
        "name": manoeuvre.name,
        "exercise": manoeuvre.exercise,
        "place": manoeuvre.place,
        "minutes": manoeuvre.minutes,
        "speed_run": manoeuvre.speed_run,
        "clean_looks_like": manoeuvre.clean_looks_like,
        "coaching_points": list(manoeuvre.coaching_points),
        "common_mistake": manoeuvre.common_mistake,
        "cautions": list(manoeuvre.cautions),
        "cone_colours": list(manoeuvre.cone_colours),
        "variants": {v.code: {"name": v.name, "place": v.place} for v in manoeuvre.variants},
    }
    if manoeuvre.minimum_kmh:
        entry["minimum_kmh"] = {c.value: kmh for c, kmh in manoeuvre.minimum_kmh.items()}
    if manoeuvre.not_after_failed:
        entry["not_after_failed"] = manoeuvre.not_after_failed
    return entry


def fault_kind_entry(kind: FaultKind) -> dict[str, Any]:
    """A fault kind as the table under its code in the reference file; JSON can hold it."""
    return {
        "name": kind.name,
        "sided": kind.sided,
        "standing": kind.standing,
        "place": kind.place,
        "defaults": {
            each.manoeuvre: {
                "severity": each.severity.value,
                "standing": each.standing,
                **({"note": each.note} if each.note else {}),
            }
            for each in kind.defaults
        },
    }
