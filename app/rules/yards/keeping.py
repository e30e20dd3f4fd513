"""What must be so about a yard or a bike before it is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from app.rules.categories import Category
from app.rules.refusal import Reason
from app.rules.yards.area import riders_by_area

LONGEST_SIDE_M = 2000
MOST_CC = 3000
MOST_KW = 250
MOST_KG = 600
"""Bounds that only a slip of the pen passes. Our own choice."""


@dataclass(frozen=True, slots=True)
class YardPlan:
    """A yard as its owner describes it; sides in metres."""

    name: str
    length_m: float
    width_m: float
    places: int
    speed_run: bool = True
    avoidance_left: bool = True
    avoidance_right: bool = True
    remarks: str = ""
    open: bool = True


@dataclass(frozen=True, slots=True)
class BikePlan:
    """A bike as the desk writes it down: engine in cc, power in kW, kerb mass in kg."""

    label: str
    registration: str
    category: Category
    capacity_cc: int
    power_kw: float
    kerb_kg: int


def why_not_yard(yard: YardPlan) -> tuple[Reason, ...]:
    """Every reason against a yard as described."""
    return tuple(_yard(yard))


def _yard(yard: YardPlan) -> Iterator[Reason]:
    sides = {"length_m": yard.length_m, "width_m": yard.width_m}
    wrong = [name for name, side in sides.items() if not 1 <= side <= LONGEST_SIDE_M]
    if not yard.name.strip():
        yield Reason("Write the yard's name.", "name")
    for name in wrong:
        yield Reason(f"Write a length from 1 to {LONGEST_SIDE_M:,} metres.", name)
    if yard.places < 1:
        yield Reason("A yard has at least one place.", "places")
    elif not wrong and yard.places > (most := riders_by_area(yard.length_m, yard.width_m)):
        yield Reason(
            f"The site has room for {most} at once, at 1,200 square feet (111.5 m²) each.",
            "places",
        )


def why_not_bike_kept(bike: BikePlan) -> tuple[Reason, ...]:
    """Every reason against a bike as written down."""
    return tuple(_bike(bike))


def _bike(bike: BikePlan) -> Iterator[Reason]:
    if not bike.label.strip():
        yield Reason("Write what the school calls this bike.", "label")
    if not any(c.isalnum() for c in bike.registration):
        yield Reason("Write the registration.", "registration")
    if not 1 <= bike.capacity_cc <= MOST_CC:
        yield Reason(f"Write from 1 to {MOST_CC:,} cc.", "capacity_cc")
    if not 0.1 <= bike.power_kw <= MOST_KW:
        yield Reason(f"Write from 0.1 to {MOST_KW} kW.", "power_kw")
    if not 1 <= bike.kerb_kg <= MOST_KG:
        yield Reason(f"Write from 1 to {MOST_KG} kg.", "kerb_kg")


def plate(registration: str) -> str:
    """A registration as it is kept: capitals, one space at most between its parts."""
    return " ".join(registration.upper().split())
