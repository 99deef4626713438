"""Speed of the inference on a network as large as the knowledge may become. Not a test: run it by hand.

    python -m tests.bench_inference [width seed]

Reach: all marginals with every condition touched ≤ 10 ms; one batched pass for the next question ≤ 50 ms.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable

import numpy as np

from diag.inference.network import Network, Parents

CAUSES, CONDITIONS, LINKS, BROAD = 31, 33, 12, 3


def large_network(seed: int = 0, broad: int = BROAD) -> Network:
    """31 causes, 12 links, 33 conditions with up to five causes each and `broad` ones with twelve."""
    r = random.Random(seed)
    parents: list[set[int]] = [set() for _ in range(CAUSES)]
    while sum(map(len, parents)) < LINKS:
        child = r.randrange(1, CAUSES)
        if len(parents[child]) < 3:
            parents[child].add(max(0, child - r.randint(1, 4)))
    effects = [sorted(r.sample(range(CAUSES), 12)) for _ in range(broad)]
    while len(effects) < CONDITIONS:
        start = r.randrange(CAUSES)
        effects.append(sorted({(start + r.randrange(9)) % CAUSES for _ in range(r.randint(2, 5))}))

    def parent(of: list[int], leak: float, wide: bool) -> Parents:
        return Parents(tuple(of), tuple(r.choice((0.2, 0.5, 0.8, 0.95)) for _ in of), leak, wide)

    return Network("rolling_bearing", {f"c{n}": parent(sorted(p), 0.0, False) for n, p in enumerate(parents)},
                   {f"k{n}": parent(of, 0.05, n < broad) for n, of in enumerate(effects)})


def milliseconds(work: Callable[[], object], times: int) -> float:
    """Median over `times` runs."""
    work()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - start))
    return float(np.median(taken))


def main() -> None:
    for broad in (1, 2, 3, 4, 5):
        for seed in map(int, sys.argv[1:] or ("0", "1", "2")):
            start = time.perf_counter()
            network = large_network(seed, broad)
            compiling = 1000 * (time.perf_counter() - start)
            r = np.random.default_rng(seed)
            rates, pairs = r.uniform(0.02, 0.1, (1, CAUSES)), r.uniform(0.05, 0.95, (1, CONDITIONS, 2))
            many = r.uniform(0.05, 0.95, (400, CONDITIONS, 2))
            absent = np.eye(CAUSES, dtype=bool)
            print(f"broad {broad} seed {seed}: width {network.width}, compile {compiling:.1f} ms, "
                  f"all marginals {milliseconds(lambda: network.sweep(rates, pairs), 20):.2f} ms, "  # noqa: B023
                  f"31 rows {milliseconds(lambda: network.sweep(rates, pairs, absent), 5):.1f} ms, "  # noqa: B023
                  f"400 evidences {milliseconds(lambda: network.log_evidence(rates, many), 3):.1f} ms")  # noqa: B023


if __name__ == "__main__":
    main()
