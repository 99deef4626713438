"""Speed of the inference on a network as large as the knowledge may become. Not a test: run it by hand.

    python -m tests.bench_inference [SEED...]

Reach: all marginals with every condition touched ≤ 10 ms; one batched pass for the next question ≤ 50 ms.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable

import numpy as np

from diag.answers import Answer, Answers
from diag.inference import explain, fit, prior, questions, sets
from diag.inference.network import Network, Parents, compiled
from diag.knowledgebase import load
from diag.knowledgebase.model import ALL_KINDS

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


def measure(name: str, network: Network, seed: int) -> None:
    r = np.random.default_rng(seed)
    n, m = len(network.causes), len(network.conditions)
    rates, pairs = r.uniform(0.02, 0.1, (1, n)), r.uniform(0.05, 0.95, (1, m, 2))
    many, absent = r.uniform(0.05, 0.95, (400, m, 2)), np.eye(n, dtype=bool)
    print(f"{name}: {n} causes, {m} conditions, width {network.width}; "
          f"all marginals {milliseconds(lambda: network.sweep(rates, pairs), 20):.2f} ms, "
          f"{n} rows {milliseconds(lambda: network.sweep(rates, pairs, absent), 5):.1f} ms, "
          f"400 evidences {milliseconds(lambda: network.log_evidence(rates, many), 3):.1f} ms")


def carried() -> None:
    """The knowledge the project carries, with a third of all signs answered."""
    known = load()
    for kind in ALL_KINDS:
        network, (rates, _) = compiled(known, kind), prior.rates(known, kind, {})
        measure(f"carried knowledge, {kind}", network, 0)
        signs = [s for s, o in known.signs.items() if kind in o.kinds][::3]
        answers = Answers({s: Answer(s, n % 2, "yes" if n % 2 else "no", "said", s) for n, s in enumerate(signs)})
        pairs = answers.pairs(known, kind)
        posterior = network.posterior(rates, pairs)
        times = {
            "explain": lambda: explain.causes(network, rates, {}, answers, posterior, known),  # noqa: B023
            "sets": lambda: sets.together(network, rates, pairs, posterior),  # noqa: B023
            "fit": lambda: fit.leftover_and_fit(network, rates, answers, posterior, known),  # noqa: B023
            "rank": lambda: questions.rank(network, rates, answers, {}, known)}  # noqa: B023
        print(f"  {len(signs)} answers: " + ", ".join(f"{k} {milliseconds(v, 9):.1f} ms" for k, v in times.items()))


def main() -> None:
    for broad in (1, 2, 3, 4, 5):
        for seed in map(int, sys.argv[1:] or ("0", "1", "2")):
            start = time.perf_counter()
            network = large_network(seed, broad)
            compiling = 1000 * (time.perf_counter() - start)
            measure(f"{broad} broad, seed {seed}, compiled in {compiling:.0f} ms", network, seed)
    carried()


if __name__ == "__main__":
    main()
