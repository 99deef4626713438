"""Speed of the numbers on arrays. Not a test: run it by hand.

    python -m tests.bench_tribology

Reach: 10⁵ viscosity ratios in one array call; the band of 2,000 drawn temperatures under 50 ms.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from diag.case.model import Case
from diag.compute import compute
from diag.knowledgebase import load, standard
from diag.tribology import film, heat
from diag.tribology.viscosity import viscosity_at
from tests.tiny import case

RATIOS, DRAWS, TIMES = 100_000, 2_000, 21


def milliseconds(work: Callable[[], object]) -> float:
    """Median over `TIMES` runs."""
    work()
    taken = []
    for _ in range(TIMES):
        start = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - start))
    return float(np.median(taken))


def ratios() -> Callable[[], object]:
    rng = np.random.default_rng(0)
    rpm, size, warm = (rng.uniform(*ends, RATIOS) for ends in ((100, 3000), (30, 300), (30, 110)))
    v40 = rng.uniform(20, 460, RATIOS)
    v100 = 0.9 * v40**0.52
    return lambda: film.kappa(viscosity_at(warm, v40, v100), rpm, size)


def band() -> Callable[[], object]:
    area = float(heat.reference_area(50.0, 110.0, 27.0))
    unknowns = heat.unknowns_for(standard("heat_balance"), standard("friction_factors"), "deep_groove_ball", area,
                                 (3_000.0, 7_000.0), (15.0, 30.0), 38_000.0)
    return lambda: heat.quantile_span(heat.temperatures(1450, 80, area, 110.0, 11.8, unknowns, DRAWS))


def whole_case() -> Case:
    bearing = {"type": "deep_groove_ball", "bore": 50.0, "outside": 110.0, "width": 27.0, "dynamic_rating": 62_000.0,
               "static_rating": 38_000.0}
    return case(point={"bearing": bearing, "speed": 1450.0, "running_temperature": 70.0, "usual_temperature": 60.0,
                       "load": {"force": 4_200.0}}, grease={"viscosity_40": 110.0})


def main() -> None:
    knowledge, built = load(), whole_case()
    print(f"{RATIOS} viscosity ratios, each of its own oil, heat, speed and size: {milliseconds(ratios()):.1f} ms")
    print(f"band of {DRAWS} drawn temperatures: {milliseconds(band()):.1f} ms")
    print(f"all numbers of a case: {milliseconds(lambda: compute(built, knowledge)):.1f} ms")


if __name__ == "__main__":
    main()
