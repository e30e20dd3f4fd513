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

    ``ease`` is the level of an average student on the first ride; ``practice``
    is the weight of the practice curve.
    """

    ease: float
    practice: float


@dataclass(frozen=True, slots=True)
class Constants:
    """The fixed constants of the model, on the logit scale where nothing else is said.

    Unless a line says otherwise the value is a rounded best for predicting the
    next attempt of learners it was not fitted on, in public sequences of school
    exercises. They are not riding: the values carry over as sizes only.
    """

    general_variance: float = 1.35
    """How much students differ in all they do."""

    own_variance: float = 0.37
    """How much a student's gift for one manoeuvre differs from the general level."""

    general_drift: float = 0.0005
    """Variance added to the general level with each ride, so that it never sets hard."""

    own_drift: float = 0.005
    """Variance added to the own level with each ride of the manoeuvre."""

    form_variance: float = 0.7
    """How far a student's form of the moment strays from the level."""

    form_kept: float = 0.85
    """The share of the form that lasts to the next ride: half is gone in four rides."""

    form_kept_per_day: float = 0.5
    """The share that lasts a day. No source for the number: that performance while
    practising says little about what is kept is the finding of Soderstrom and Bjork,
    "Learning versus performance", Perspectives on Psychological Science, 2015 (from memory)."""

    power: float = -0.15
    """The shape of the practice curve. Between -1 and -0.15 prediction changes by 0.0002 of log
    loss; the slowest of these is taken, since a manoeuvre is learnt over more rides than a sum."""

    first_clean: float = 0.5
    """What having ridden it clean once adds: done once is the larger part of can do."""

    ceiling: float = 0.95
    """The chance of the best: even they spoil one ride in twenty."""

    rust: float = 0.2
    """The fall per natural logarithm of (1 + days since the last ride).

    Arthur, Bennett, Stanush and McNelly, "Factors that influence skill decay and
    retention", Human Performance, 1998: an effect of -0.01 standard deviations at once
    and -1.4 after more than 365 days; physical tasks lose about half a standard
    deviation less, so about -0.9 in a year. Tatel and Ackerman, "Procedural skill
    retention and decay", Psychological Bulletin, 2023: accuracy falls by 0.08 standard
    deviations a month, 0.96 in a year. One standard deviation between students is
    sqrt(1.35 + 0.37) = 1.31 here, so that 0.93 * 1.31 / ln(366) = 0.206. The logarithm
    puts more of the year's loss in the first weeks than a straight line does: the
    careful side for someone who is going to be tested.
    """


# Invented defaults, estimated from nothing published: a guess at how many average
# beginners ride each cleanly at the first try (from 5 in 10 for the bay to 3 in 10
# for the avoidance), written as a logit. The weight of practice is derived: it lets
# an average student ride the middle ones clean about 88 times in 100 after a dozen
# rides of each. With one unclean ride in four serious (invented) that is 0.97 without
# a serious fault, and 0.97 nine times over is 0.76: the published share of module 1
# tests passed was 74.5 % in 2021/22 (national driving-test statistics, as reported).
# The school's own rides replace all of these as they come in.
SHIPPED: Mapping[str, Skill] = {
    "park": Skill(ease=0.2, practice=1.3),
    "wheel": Skill(ease=0.3, practice=1.3),
    "slalom": Skill(ease=-0.3, practice=1.3),
    "figure_of_8": Skill(ease=-0.5, practice=1.3),
    "slow_ride": Skill(ease=-0.2, practice=1.3),
    "u_turn": Skill(ease=-1.0, practice=1.3),
    "controlled_stop": Skill(ease=0.0, practice=1.3),
    "emergency_stop": Skill(ease=-0.8, practice=1.3),
    "avoidance": Skill(ease=-1.2, practice=1.3),
}

UNSEEN = Skill(ease=-0.4, practice=1.3)
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
    """The parameters before any ride: ``codes`` gives the manoeuvre key of each variant id."""
    skills = {variant: SHIPPED.get(code, UNSEEN) for variant, code in codes.items()}
    return Parameters(skills=skills)
