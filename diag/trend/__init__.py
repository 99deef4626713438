"""Temperature logs: what a curve around a regreasing tells, as numbers with intervals and as answers.

    bytes ──table──▶ cells ──columns, stamps──▶ Log ──clean──▶ Log + troubles
    Log ──event, thermal, course──▶ verdict ──▶ Trend ──signs──▶ answers with origin `trend`, case

pandas and scipy are loaded by the functions that need them.
"""

from __future__ import annotations

from diag.trend.analyse import analyse
from diag.trend.log import Log, read_log
from diag.trend.result import Trend
from diag.trend.signs import answers, into_case

__all__ = ["Log", "Trend", "analyse", "answers", "into_case", "read_log"]
