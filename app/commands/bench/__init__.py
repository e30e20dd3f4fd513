"""How fast the pages that matter are, as ratios to a floor measured in the same run.

Absolute figures vary with the machine and with what else it does; only the
ratios in one run say anything.
"""

from __future__ import annotations

from app.commands.bench.command import bench as bench
