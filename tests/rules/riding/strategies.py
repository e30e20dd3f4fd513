"""Hypothesis strategies for rides, faults and speeds."""

from __future__ import annotations

from hypothesis import strategies as st

from app.rules.riding.findings import RiddenExercise
from app.rules.riding.marking import judge_speed
from app.rules.riding.values import SeenFault, Severity, Side

KINDS = ("cone_touched", "foot_down", "wobble", "machine_dropped")
CODES = (
    "park",
    "wheel",
    "slalom",
    "figure_of_8",
    "slow_ride",
    "u_turn",
    "controlled_stop",
    "emergency_stop",
    "avoidance",
)

speeds = st.floats(min_value=0, max_value=150, allow_nan=False)
minimums = st.sampled_from((None, 30.0, 50.0))
seen_faults = st.builds(
    SeenFault,
    kind=st.sampled_from(KINDS),
    severity=st.sampled_from(list(Severity)),
    side=st.none() | st.sampled_from(list(Side)),
)
fault_lists = st.lists(seen_faults, max_size=4).map(tuple)
speed_verdicts = st.builds(judge_speed, st.none() | speeds, minimums, st.booleans())
ridden_exercises = st.builds(
    RiddenExercise, manoeuvre=st.sampled_from(CODES), faults=fault_lists, speed=speed_verdicts
)
