"""The numbers of the progress model, each with its value and its reason.

How hard a manoeuvre is and what practice on it brings are estimated from the
school's own rides, shrunk towards the shipped values below. The constants are
fixed: a school with thirty students cannot fit them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Skill:
    """One manoeuvre variant: both figures are on the logit scale.

    ``ease`` is the level of an average student on the first ride (0 means one in
    two clean); ``practice`` is the weight of the practice curve.
    """

    ease: float
    practice: float


@dataclass(frozen=True, slots=True)
class Constants:
    """The fixed constants of the model.

    General and own variances, their drifts and the power of the practice curve
    are the region that predicted best, one attempt ahead, for learners it was
    not fitted on, in public data sets of practice sequences (school exercises,
    not riding); they carry over as sizes only.
    """

    general_variance: float = 0.7
    own_variance: float = 0.45
    general_drift: float = 0.0
    own_drift: float = 0.008
    power: float = -0.15
    slope: float = 1.2
    # Rust: the logit falls by this much per natural logarithm of (1 + days).
    # Arthur, Bennett, Stanush and McNelly, "Factors that influence skill decay
    # and retention", Human Performance 11(1), 1998: d = -0.01 at once, -1.4 after
    # more than 365 days, physical tasks about half a standard deviation less, so
    # about -0.9 at a year. Students differ by sqrt(0.7 + 0.45) = 1.07 on the logit:
    # 0.9 * 1.07 / ln(366) = 0.163. Tatel and Ackerman, Psychological Bulletin,
    # 2023: accuracy falls 0.08 standard deviations a month, 0.96 in a year, which
    # gives 0.174. Their mean is taken, divided by the slope that multiplies it.
    rust: float = 0.14


# Invented defaults, estimated from nothing published: an instructor's guess at the
# share of average beginners who ride each cleanly at the first try, as a logit.
# The school's own rides replace them as they come in.
SHIPPED: Mapping[str, Skill] = {
    "ride_into_bay": Skill(ease=0.6, practice=0.55),
    "wheel_by_hand": Skill(ease=0.8, practice=0.55),
    "slalom": Skill(ease=-0.1, practice=0.55),
    "figure_of_8": Skill(ease=-0.3, practice=0.55),
    "slow_ride": Skill(ease=0.2, practice=0.55),
    "u_turn": Skill(ease=-0.8, practice=0.55),
    "controlled_stop": Skill(ease=0.5, practice=0.55),
    "emergency_stop": Skill(ease=-0.5, practice=0.55),
    "avoidance": Skill(ease=-1.0, practice=0.55),
}

UNSEEN = Skill(ease=0.0, practice=0.55)
"""A manoeuvre that the school made itself and nobody has ridden: the middle of the others."""


@dataclass(frozen=True, slots=True)
class Parameters:
    """Everything the model needs besides the rides: skills by variant id, and constants."""

    skills: Mapping[int, Skill] = field(default_factory=dict)
    unseen: Skill = UNSEEN
    constants: Constants = Constants()

    def skill(self, variant_id: int) -> Skill:
        """The figures of one variant, or those of an unseen one."""
        return self.skills.get(variant_id, self.unseen)


def shipped_parameters(codes: Mapping[int, str]) -> Parameters:
    """The parameters before any ride: ``codes`` gives the manoeuvre code of each variant id."""
    skills = {variant: SHIPPED.get(code, UNSEEN) for variant, code in codes.items()}
    return Parameters(skills=skills)
