"""Score the twenty published cases: `python tests/published_score.py` prints the table of the README.

The case files were encoded from what was observed alone and committed before the causes were read. n is 20: the
interval beside each share is Wilson's at 95 %.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import yaml

from diag.case import read_case
from diag.inference.network import compiled
from diag.knowledgebase import Knowledge, load
from diag.review import review

FOLDER = Path(__file__).resolve().parent / "published_cases"


@dataclass(frozen=True)
class Scored:
    """One case: rank of the best right cause (1 = first), and the share of belief on right causes."""

    name: str
    right: tuple[str, ...]
    named: tuple[str, ...]  # the three likeliest
    rank: int
    share: float


def published_causes() -> dict[str, dict[str, object]]:
    causes: dict[str, dict[str, object]] = yaml.safe_load((FOLDER / "causes.yaml").read_text("utf-8"))["causes"]
    return causes


def scored(name: str, belief: Mapping[str, float], right: tuple[str, ...]) -> Scored:
    """Rank and share from P(present) per cause; shares are the probabilities brought to a sum of one."""
    order = sorted(belief, key=lambda c: -belief[c])
    total = sum(belief.values())
    share = sum(belief.get(c, 0.0) for c in right) / total
    return Scored(name, right, tuple(order[:3]), min(order.index(c) + 1 for c in right if c in order), share)


def by_diag(knowledge: Knowledge) -> list[Scored]:
    """Every case through `review`, the causes as it ranks them."""
    found = []
    for name, entry in published_causes().items():
        findings = review(read_case(FOLDER / f"{name}.yaml", knowledge), knowledge)
        found.append(scored(name, {c.id: c.probability for c in findings.causes}, tuple(entry["right"])))
    return found


def by_own_words(knowledge: Knowledge) -> list[Scored]:
    """Every case without what was encoded as seen, measured or lab: the observed texts stand in `said` instead."""
    told: dict[str, list[str]] = yaml.safe_load((FOLDER / "observed.yaml").read_text("utf-8"))
    found = []
    for name, entry in published_causes().items():
        case = replace(read_case(FOLDER / f"{name}.yaml", knowledge), seen={}, measured={}, lab={},
                       said=". ".join(told[name]))
        belief = {c.id: c.probability for c in review(case, knowledge).causes}
        found.append(scored(name, belief, tuple(entry["right"])))
    return found


def by_commonest(knowledge: Knowledge) -> list[Scored]:
    """The guess that knows no signs: always the marginal rates of the kind, commonest first."""
    found = []
    for name, entry in published_causes().items():
        kind = read_case(FOLDER / f"{name}.yaml", knowledge).point.kind
        network = compiled(knowledge, kind)
        rates = {c.id: knowledge.level("base_rate", c.base_rate[kind])
                 for c in knowledge.causes.values() if kind in c.base_rate}
        belief = dict(network.posterior(rates, {}).causes)
        found.append(scored(name, belief, tuple(entry["right"])))
    return found


def wilson(hits: int, n: int, z: float = 1.96) -> tuple[float, float]:
    """Wilson's interval of a share (Wilson 1927)."""
    p, d = hits / n, 1 + z * z / n
    middle, half = p + z * z / (2 * n), z * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return (middle - half) / d, (middle + half) / d


def summary(cases: list[Scored]) -> dict[str, float]:
    n = len(cases)
    return {"n": n, "first": sum(c.rank == 1 for c in cases), "three": sum(c.rank <= 3 for c in cases),
            "log": sum(math.log(max(c.share, 1e-6)) for c in cases) / n}


def table(knowledge: Knowledge) -> str:
    lines = ["| | first named | among three | mean log score |", "|---|---|---|---|"]
    for label, cases in (("diag, encoded by hand", by_diag(knowledge)),
                         ("diag, own words alone", by_own_words(knowledge)),
                         ("always the three commonest", by_commonest(knowledge))):
        s = summary(cases)
        n = int(s["n"])
        cells = [f"{int(s[k])} of {n} ({_percent(wilson(int(s[k]), n))})" for k in ("first", "three")]
        lines.append(f"| {label} | {cells[0]} | {cells[1]} | {s['log']:.2f} |")
    return "\n".join(lines)


def _percent(span: tuple[float, float]) -> str:
    return f"{span[0]:.0%} to {span[1]:.0%}"


if __name__ == "__main__":
    carried = load()
    for case in by_diag(carried):
        print(f"{case.rank:3d} {case.share:5.0%}  {case.name}: named {', '.join(case.named)}; "
              f"right {', '.join(case.right)}")
    print(table(carried))
