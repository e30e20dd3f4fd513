"""From plain tables, as a TOML reader yields them, to a checked syllabus. No input or output."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from app.rules.categories import Category
from app.rules.riding.reference_entry import BadReference, Entry
from app.rules.riding.syllabus import (
    FaultDefault,
    FaultKind,
    Manoeuvre,
    PassRule,
    SpeedRule,
    Syllabus,
    Variant,
)
from app.rules.riding.values import Severity

Placed = TypeVar("Placed", Manoeuvre, Variant, FaultKind)

_FASTEST_MINIMUM_KMH = 120.0
_LONGEST_RIDE_MINUTES = 60.0


def parse_syllabus(module: Mapping[str, Any], fault_kinds: Mapping[str, Any]) -> Syllabus:
    """Check and build a syllabus from the tables of its two files.

    Raises BadReference, which names the entry and the field, for anything
    missing, misspelt, of the wrong type, or naming an entry that is not there.
    """
    top = Entry("syllabus", module)
    manoeuvres = _in_place(parse_manoeuvre(code, entry) for code, entry in top.tables("manoeuvres"))
    syllabus = Syllabus(
        version=top.whole("version"),
        code=top.text("code"),
        name=top.text("name"),
        caution=top.text("caution"),
        pass_rule=_pass_rule(top.table("pass_rule")),
        speed_rule=_speed_rule(top.table("speed_rule")),
        manoeuvres=manoeuvres,
        fault_kinds=_fault_kinds(Entry("faults", fault_kinds), top.text("code")),
    )
    top.done()
    _check_names(syllabus)
    return syllabus


def parse_manoeuvre(code: str, entry: Entry) -> Manoeuvre:
    """One manoeuvre from its entry. Raises BadReference."""
    manoeuvre = Manoeuvre(
        code=code,
        name=entry.text("name"),
        exercise=entry.whole("exercise"),
        place=entry.whole("place"),
        minutes=entry.number("minutes", 0, _LONGEST_RIDE_MINUTES),
        speed_run=entry.flag("speed_run"),
        clean_looks_like=entry.text("clean_looks_like"),
        coaching_points=entry.texts("coaching_points", least=1),
        common_mistake=entry.text("common_mistake"),
        cautions=entry.texts("cautions", least=1),
        cone_colours=entry.texts("cone_colours"),
        variants=_in_place(_variant(code, each) for code, each in entry.tables("variants")),
        minimum_kmh=_minimum_speeds(entry),
        not_after_failed=entry.text_or("not_after_failed", "") or None,
    )
    entry.done()
    return manoeuvre


def _variant(code: str, entry: Entry) -> Variant:
    variant = Variant(code=code, name=entry.text("name"), place=entry.whole("place"))
    entry.done()
    return variant


def _minimum_speeds(entry: Entry) -> dict[Category, float]:
    if not entry.has("minimum_kmh"):
        return {}
    speeds = entry.table("minimum_kmh")
    found = {
        category: speeds.number(category.value, 0, _FASTEST_MINIMUM_KMH)
        for category in Category
        if speeds.has(category.value)
    }
    speeds.done()
    return found


def _pass_rule(entry: Entry) -> PassRule:
    most = entry.whole("most_riding_faults", least=0)
    rule = PassRule(most, entry.text("source"), entry.text("standing"))
    entry.done()
    return rule


def _speed_rule(entry: Entry) -> SpeedRule:
    share = entry.number("allowance_share", 0, 0.5)
    rule = SpeedRule(share, entry.text("source"), entry.text("standing"))
    entry.done()
    return rule


def _fault_kinds(top: Entry, syllabus_code: str) -> tuple[FaultKind, ...]:
    top.whole("version")
    if top.text("syllabus") != syllabus_code:
        raise top.wrong("syllabus", f"must be {syllabus_code}, the code of the syllabus")
    kinds = _in_place(parse_fault_kind(code, entry) for code, entry in top.tables("fault_kinds"))
    top.done()
    return kinds


def parse_fault_kind(code: str, entry: Entry) -> FaultKind:
    """One fault kind from its entry. Raises BadReference."""
    standing = entry.text("standing")
    kind = FaultKind(
        code=code,
        name=entry.text("name"),
        sided=entry.flag("sided"),
        standing=standing,
        place=entry.whole("place"),
        defaults=tuple(_default(m, each, standing) for m, each in entry.tables("defaults")),
    )
    entry.done()
    return kind


def _default(manoeuvre: str, entry: Entry, standing: str) -> FaultDefault:
    default = FaultDefault(
        manoeuvre=manoeuvre,
        severity=entry.word("severity", Severity),
        standing=entry.text_or("standing", standing),
        note=entry.text_or("note", ""),
    )
    entry.done()
    return default


def _in_place(things: Iterable[Placed]) -> tuple[Placed, ...]:
    return tuple(sorted(things, key=lambda thing: thing.place))


def _check_names(syllabus: Syllabus) -> None:
    _check_places("manoeuvres", syllabus.manoeuvres)
    _check_places("fault_kinds", syllabus.fault_kinds)
    codes = {manoeuvre.code for manoeuvre in syllabus.manoeuvres}
    for manoeuvre in syllabus.manoeuvres:
        _check_places(f"manoeuvres.{manoeuvre.code}.variants", manoeuvre.variants)
        if manoeuvre.not_after_failed and manoeuvre.not_after_failed not in codes:
            name = f"syllabus.manoeuvres.{manoeuvre.code}"
            raise BadReference(name, "not_after_failed", "names no manoeuvre")
    for kind in syllabus.fault_kinds:
        for default in kind.defaults:
            if default.manoeuvre not in codes:
                name = f"faults.fault_kinds.{kind.code}.defaults"
                raise BadReference(name, default.manoeuvre, "names no manoeuvre")


def _check_places(where: str, things: Iterable[Manoeuvre | Variant | FaultKind]) -> None:
    taken: dict[int, str] = {}
    for thing in things:
        if thing.place in taken:
            problem = f"{thing.place} is already the place of {taken[thing.place]}"
            raise BadReference(f"{where}.{thing.code}", "place", problem)
        taken[thing.place] = thing.code
