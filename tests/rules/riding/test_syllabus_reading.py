"""The syllabus files: complete as shipped, and every slip in them is named with its place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from app.rules.categories import Category
from app.rules.riding.reference_entry import BadReference, Entry
from app.rules.riding.syllabus import ONLY, FaultKind, Manoeuvre
from app.rules.riding.syllabus_plain import fault_kind_entry, manoeuvre_entry
from app.rules.riding.syllabus_reading import parse_fault_kind, parse_manoeuvre, parse_syllabus
from app.rules.riding.values import Severity
from tests.rules.riding.shipped import shipped_syllabus, shipped_tables

SYLLABUS = shipped_syllabus()

Change = Callable[[dict[str, Any], dict[str, Any]], object]


def test_avoidance_is_ridden_left_and_right_and_everything_else_in_one_way() -> None:
    variants = {m.code: [v.code for v in m.variants] for m in SYLLABUS.manoeuvres}
    assert variants.pop("avoidance") == ["left", "right"]
    assert all(codes == [ONLY] for codes in variants.values())


@pytest.mark.parametrize("manoeuvre", SYLLABUS.manoeuvres, ids=lambda m: m.code)
def test_every_manoeuvre_says_what_is_clean_how_to_get_there_and_what_to_beware_of(
    manoeuvre: Manoeuvre,
) -> None:
    assert 2 <= len(manoeuvre.coaching_points) <= 3
    assert len(manoeuvre.clean_looks_like) > 40
    assert len(manoeuvre.common_mistake) > 20
    assert manoeuvre.cautions
    assert 0 < manoeuvre.minutes <= 5


def test_no_text_shouts() -> None:
    for manoeuvre in SYLLABUS.manoeuvres:
        texts = (manoeuvre.clean_looks_like, *manoeuvre.coaching_points, *manoeuvre.cautions)
        assert not any("!" in text for text in texts)
        assert all(text.endswith(".") for text in texts)


def test_the_stops_and_the_avoidance_need_the_run_at_speed() -> None:
    runs = [m.code for m in SYLLABUS.manoeuvres if m.speed_run]
    assert runs == ["controlled_stop", "emergency_stop", "avoidance"]


def test_what_has_a_minimum_speed_has_one_for_every_category() -> None:
    for manoeuvre in SYLLABUS.manoeuvres:
        assert set(manoeuvre.minimum_kmh) in (set(), set(Category))


def test_every_manoeuvre_offers_faults_first_and_remarks_after_them() -> None:
    for manoeuvre in SYLLABUS.manoeuvres:
        offers = SYLLABUS.offers(manoeuvre.code)
        assert any(not offer.is_remark for offer in offers)
        assert [o.is_remark for o in offers] == sorted(o.is_remark for o in offers)


def test_a_rider_is_offered_the_minimum_of_their_category() -> None:
    avoidance = SYLLABUS.manoeuvre("avoidance")
    assert avoidance.minimum_for(Category.AM) == 30.0
    assert SYLLABUS.manoeuvre("slalom").minimum_for(Category.A) is None


@pytest.mark.parametrize("manoeuvre", SYLLABUS.manoeuvres, ids=lambda m: m.code)
def test_a_manoeuvre_survives_the_way_to_plain_tables_and_back(manoeuvre: Manoeuvre) -> None:
    entry = Entry(manoeuvre.code, manoeuvre_entry(manoeuvre))
    assert parse_manoeuvre(manoeuvre.code, entry) == manoeuvre


@pytest.mark.parametrize("kind", SYLLABUS.fault_kinds, ids=lambda k: k.code)
def test_a_fault_kind_survives_the_way_to_plain_tables_and_back(kind: FaultKind) -> None:
    assert parse_fault_kind(kind.code, Entry(kind.code, fault_kind_entry(kind))) == kind


def at(table: dict[str, Any], path: str) -> tuple[dict[str, Any], str]:
    """The table that holds the last part of a dotted path, and that part."""
    *way, last = path.split(".")
    for part in way:
        table = table[part]
    return table, last


MODULE_SLIPS = [
    ("manoeuvres.slalom.name", "", "syllabus.manoeuvres.slalom, field name: "),
    ("manoeuvres.slalom.minutes", 0, "syllabus.manoeuvres.slalom, field minutes: "),
    ("manoeuvres.slalom.minutes", True, "syllabus.manoeuvres.slalom, field minutes: "),
    ("manoeuvres.slalom.minutes", float("nan"), "syllabus.manoeuvres.slalom, field minutes: "),
    ("manoeuvres.slalom.place", "3", "syllabus.manoeuvres.slalom, field place: "),
    ("manoeuvres.slalom.speed_run", "no", "syllabus.manoeuvres.slalom, field speed_run: "),
    ("manoeuvres.slalom.cautions", [], "syllabus.manoeuvres.slalom, field cautions: "),
    ("manoeuvres.slalom.cautions", [""], "syllabus.manoeuvres.slalom, field cautions: "),
    ("manoeuvres.slalom.colour", "red", "syllabus.manoeuvres.slalom, field colour: is not"),
    ("manoeuvres.slalom.variants", {}, "syllabus.manoeuvres.slalom, field variants: "),
    ("manoeuvres.slalom.not_after_failed", "x", "syllabus.manoeuvres.slalom, field not_after"),
    ("manoeuvres.Slalom", {}, "syllabus.manoeuvres, field Slalom: a code is"),
    ("manoeuvres.slalom", 7, "syllabus.manoeuvres.slalom, field (the entry itself): "),
    ("manoeuvres.slalom.place", 1, "manoeuvres.slalom, field place: 1 is already the place of"),
    ("manoeuvres.avoidance.variants.left.place", 2, "variants.right, field place: 2 is already"),
    ("manoeuvres.avoidance.minimum_kmh.B", 50, "avoidance.minimum_kmh, field B: is not a field"),
    ("manoeuvres.avoidance.minimum_kmh.A", -50, "avoidance.minimum_kmh, field A: must be"),
    ("pass_rule.most_riding_faults", -1, "syllabus.pass_rule, field most_riding_faults: "),
    ("version", 0, "syllabus, field version: "),
]
FAULT_SLIPS = [
    ("syllabus", "module_9", "faults, field syllabus: must be module_1"),
    ("fault_kinds.stall.sided", 1, "faults.fault_kinds.stall, field sided: "),
    ("fault_kinds.stall.standing", "", "faults.fault_kinds.stall, field standing: "),
    ("fault_kinds.stall.defaults.slalom.severity", "bad", "stall.defaults.slalom, field severity"),
    ("fault_kinds.stall.defaults.wheelie", {"severity": "riding"}, "defaults, field wheelie: "),
]


@pytest.mark.parametrize(("path", "value", "message"), MODULE_SLIPS)
def test_a_slip_in_the_syllabus_is_named_with_entry_and_field(
    path: str, value: object, message: str
) -> None:
    module = shipped_tables("module_1.toml")
    table, last = at(module, path)
    table[last] = value
    with pytest.raises(BadReference) as caught:
        parse_syllabus(module, shipped_tables("fault_kinds.toml"))
    assert message in str(caught.value)


@pytest.mark.parametrize(("path", "value", "message"), FAULT_SLIPS)
def test_a_slip_in_the_fault_kinds_is_named_with_entry_and_field(
    path: str, value: object, message: str
) -> None:
    faults = shipped_tables("fault_kinds.toml")
    table, last = at(faults, path)
    table[last] = value
    with pytest.raises(BadReference) as caught:
        parse_syllabus(shipped_tables("module_1.toml"), faults)
    assert message in str(caught.value)


@pytest.mark.parametrize("field", sorted(shipped_tables("module_1.toml")["manoeuvres"]["slalom"]))
def test_a_field_left_out_of_a_manoeuvre_is_missed(field: str) -> None:
    module = shipped_tables("module_1.toml")
    del module["manoeuvres"]["slalom"][field]
    with pytest.raises(BadReference, match=rf"slalom, field {field}: is missing"):
        parse_syllabus(module, shipped_tables("fault_kinds.toml"))


def test_a_default_may_have_a_standing_of_its_own() -> None:
    foot_down = SYLLABUS.fault_kind("foot_down")
    slow, turn = foot_down.default_for("slow_ride"), foot_down.default_for("u_turn")
    assert slow is not None
    assert turn is not None
    assert (slow.severity, slow.standing) == (Severity.RIDING, "memory")
    assert (turn.severity, turn.standing) == (Severity.SERIOUS, "common practice")
