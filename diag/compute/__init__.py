"""All computed numbers of a case, each with its working; absent where the inputs don't allow them."""

from __future__ import annotations

import math

from diag.case.model import Case
from diag.compute import film, heat, life, plain  # noqa: F401 - importing them enters their steps
from diag.compute.bench import STEPS, Bench
from diag.compute.temperature import usual_temperature
from diag.errors import InputError
from diag.findings import Computed
from diag.knowledgebase.knowledge import Knowledge
from diag.wordtext import label

__all__ = ["ORDER", "compute", "usual_temperature"]

# The computed ids of the contract, each after those it is worked out from.
ORDER = (
    "mean_diameter", "speed_factor", "viscosity_at_running", "reference_viscosity", "viscosity_ratio",
    "contamination_factor", "basic_life", "life_factor", "modified_life", "limiting_factor",
    "dropping_point_margin", "friction_power", "expected_temperature", "viscosity_ratio_usual", "grease_life",
    "specific_pressure", "sliding_speed", "pressure_velocity",
)


def compute(case: Case, knowledge: Knowledge) -> tuple[dict[str, Computed], tuple[str, ...]]:
    """Numbers by id, and what was assumed for them, in words.

    A number whose formula doesn't hold for these inputs is left out, and the reason stands among the
    assumptions. Never raises for a case that the reader has accepted.
    """
    import numpy as np  # the formulas need it, the commands that compute nothing don't

    bench = Bench(case, knowledge)
    with np.errstate(over="ignore"):  # a speed of next to nothing gives an endless life: left out below
        for computed_id in ORDER:
            item = _worked_out(computed_id, bench)
            if item is not None:
                bench.done[computed_id] = item
    return bench.done, tuple(bench.assumed)


def _worked_out(computed_id: str, bench: Bench) -> Computed | None:
    """One number; None, with the reason noted where there is more to say than that inputs are missing."""
    name = label(computed_id)
    try:
        item = STEPS[computed_id](bench)
    except InputError as error:
        bench.assume(f"{name} is left out: {error}")
        return None
    if item is not None and isinstance(item.value, float) and not math.isfinite(item.value):
        bench.assume(f"{name} is left out: these inputs give no finite number")
        return None
    return item
