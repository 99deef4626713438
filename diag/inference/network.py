"""The three-layer noisy-OR network of causes, conditions and signs, solved exactly.

    cause      P(c = 1 | parents) = 1 − (1 − rate_c) · Π (1 − w)^parent; 0 for a cause with rate 0 (ruled out)
    condition  P(k = 1 | causes)  = 1 − (1 − leak_k) · Π (1 − p)^cause
    signs      collapsed per condition to the pair (l1, l0) = P(answers | k = 1), P(answers | k = 0)

The structure is fixed per knowledge and kind; rates and pairs enter as table values, row by row. No large
terms are subtracted: tables of effects are built from (1 − Q) + leak · Q with Q = Π (1 − p)^cause. Method:
noisy-OR as in Pearl, Probabilistic Reasoning in Intelligent Systems (1988), section 4.3.2; all marginals from
one reverse pass as in Darwiche, A differential approach to inference in Bayesian networks, J. ACM 50 (2003).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from diag.errors import InputError, KnowledgeError
from diag.inference.contraction import Plan, Table, backward, forward, plan

if TYPE_CHECKING:
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Kind

__all__ = ["Network", "Parents", "Posterior", "Sweep", "compiled"]

Pairs = Mapping[str, tuple[float, float]]
Mask = NDArray[np.bool_]

# Rows are worked off in portions of about this many numbers a table, so that memory stays flat in the rows
# and tables stay in the processor's second-level cache (measured best between 2^15 and 2^17).
_PORTION = 2**16
_MOST_CACHED = 16  # networks: three kinds and a few versions of the knowledge, or parts of one for a few cases


@dataclass(frozen=True, slots=True)
class Posterior:
    """Of one case: P(present | answers) by id, and P(answers).

    `unproduced`: by condition, P(no cause brought it about | answers), by leak or not there at all.
    """

    causes: dict[str, float]
    conditions: dict[str, float]
    evidence: float
    unproduced: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Sweep:
    """Of B cases: what Posterior holds, by position; NaN in rows whose answers are impossible (−inf)."""

    causes: Table  # (B, n)
    conditions: Table  # (B, m)
    unproduced: Table  # (B, m)
    log_evidence: Table  # (B,)


@dataclass(frozen=True, slots=True)
class Parents:
    """What a cause or condition depends on: positions of causes, and 1 − chance of each."""

    causes: tuple[int, ...]
    spared: tuple[float, ...]
    leak: float = 0.0  # conditions only
    broad: bool = False


@dataclass(frozen=True, slots=True)
class _Factor:
    """A cause's or condition's table: where it enters the plan, and Q and 1 − Q over its parents."""

    table: int  # number of its table in the plan
    spared: Table  # Q, one axis per parent and the batch axis
    caught: Table  # 1 − Q


class Network:
    """Compiled structure. `causes` and `conditions` are the ids in the order of all arrays."""

    def __init__(self, kind: Kind, causes: Mapping[str, Parents], conditions: Mapping[str, Parents],
                 other_causes: Sequence[str] = ()) -> None:
        """`causes` in an order in which parents come first; `other_causes` can't occur at this kind of point.
        """
        self.kind = kind
        self.causes = tuple(causes)
        self.conditions = tuple(conditions)
        self.parents_of_causes = tuple(causes.values())
        self.parents_of_conditions = tuple(conditions.values())
        self._other = tuple(other_causes)
        self._constants: dict[int, Table] = {}
        self._parts: dict[frozenset[str], Network] = {}
        self._compile()

    @property
    def width(self) -> int:
        """Indices of the largest table met; cost grows as 2^width."""
        return self._plan.width

    def only(self, conditions: Collection[str]) -> Network:
        """The same causes with these conditions alone: what nobody spoke of changes no cause.

        Much cheaper where few were answered, as width falls with the conditions.
        """
        wanted = frozenset(self.conditions) & frozenset(conditions)
        if wanted not in self._parts:
            if len(self._parts) >= _MOST_CACHED:
                self._parts.clear()
            given = zip(self.conditions, self.parents_of_conditions, strict=True)
            self._parts[wanted] = Network(
                self.kind, dict(zip(self.causes, self.parents_of_causes, strict=True)),
                {k: p for k, p in given if k in wanted}, self._other)
        return self._parts[wanted]

    def posterior(self, rates: Mapping[str, float], pairs: Pairs) -> Posterior:
        """All marginals of one case. Unnamed conditions are untouched; causes not named are ruled out.

        Raises InputError when the answers can't all be true at once.
        """
        (found,) = self.each_posterior([rates], [pairs])
        if isinstance(found, InputError):
            raise found
        return found

    def each_posterior(self, rates: Sequence[Mapping[str, float]], pairs: Sequence[Pairs]
                       ) -> list[Posterior | InputError]:
        """What `posterior` gives or raises for each of several cases, by one batched pass."""
        found = self.sweep(np.concatenate([self.rate_row(r) for r in rates]),
                           np.concatenate([self.pair_row(p) for p in pairs]))
        return [self._row(found, n) for n in range(len(rates))]

    def _row(self, found: Sweep, n: int) -> Posterior | InputError:
        if not np.isfinite(found.log_evidence[n]):
            return InputError("these answers contradict one another: no state of the point could give all of "
                              "them; set the doubtful ones to probably or unknown")
        return Posterior(
            dict(zip(self.causes, found.causes[n].tolist(), strict=True)) | dict.fromkeys(self._other, 0.0),
            dict(zip(self.conditions, found.conditions[n].tolist(), strict=True)),
            float(np.exp(found.log_evidence[n])),
            dict(zip(self.conditions, found.unproduced[n].tolist(), strict=True)))

    def posteriors(self, rates: Table, pairs: Table) -> tuple[Table, Table, Table]:
        """Causes (B, n), conditions (B, m) and evidence (B,) from rates (B or 1, n) and pairs (B or 1, m, 2).

        Rows whose answers are impossible have evidence 0 and NaN marginals.
        """
        found = self.sweep(rates, pairs)
        return found.causes, found.conditions, np.exp(found.log_evidence)

    def rate_row(self, rates: Mapping[str, float]) -> Table:
        """(1, n) from rates by id."""
        return np.array([[rates.get(c, 0.0) for c in self.causes]])

    def pair_row(self, pairs: Pairs) -> Table:
        """(1, m, 2) from pairs by id; (1, 1) for a condition nobody spoke of."""
        return np.array([[pairs.get(k, (1.0, 1.0)) for k in self.conditions]], dtype=float).reshape(1, -1, 2)

    def sweep(self, rates: Table, pairs: Table, absent: Mask | None = None) -> Sweep:
        """All marginals of B rows by one forward and one reverse pass.

        `absent` (B, n) adds the evidence that these causes are not present. Operands of 1 row serve all rows.
        """
        parts = [self._sweep_portion(*p) for p in self._portions(rates, pairs, absent)]
        return Sweep(*(np.concatenate([getattr(p, name) for p in parts])
                       for name in ("causes", "conditions", "unproduced", "log_evidence")))

    def log_evidence(self, rates: Table, pairs: Table, absent: Mask | None = None) -> Table:
        """ln P(answers) of B rows, by the forward pass alone; −inf where impossible. `absent` as in `sweep`."""
        return np.concatenate([self._total(*p)[0] for p in self._portions(rates, pairs, absent)])

    def log_joint(self, rates: Table, pairs: Table, states: Mask) -> Table:
        """ln P(exactly these causes, answers) for S full assignments (S, n) of one case ((n,), (m, 2))."""
        # einsum, not a matrix product: its threads would wait for one another longer than the work takes.
        present = states.astype(float)
        with np.errstate(divide="ignore"):
            spared = (1 - rates) * np.exp(np.einsum("sp,pc->sc", present, self._log_link))
            chance = np.where(states, np.where(rates > 0, 1 - spared, 0.0), np.where(rates > 0, spared, 1.0))
            missed = (1 - self._leak) * np.exp(np.einsum("sc,ck->sk", present, self._log_effect))
            answers = pairs[:, 0] * (1 - missed) + pairs[:, 1] * missed
            total: Table = np.log(chance).sum(1) + np.log(answers).sum(1)
        return total

    # -- compiling -------------------------------------------------------------------------------------------

    def _compile(self) -> None:
        """Lay out the tables: one per cause, one per condition; a broad one has an index of its own."""
        n = len(self.causes)
        inputs: list[tuple[int, ...]] = [()]  # a constant 1, so that an empty network has a total too
        self._constants[0] = np.ones(1)
        self._of_cause = [self._add(inputs, (c, *p.causes), p) for c, p in enumerate(self.parents_of_causes)]
        self._of_condition = []
        for k, p in enumerate(self.parents_of_conditions):
            if not p.broad:
                self._of_condition.append(self._add(inputs, p.causes, p))
                continue
            self._of_condition.append(_Factor(len(inputs), np.ones(1), np.zeros(1)))
            inputs.append((n + k,))
            for cause, spared in zip(p.causes, p.spared, strict=True):
                self._constants[len(inputs)] = np.array([[1.0, 1.0], [1.0, spared]])[..., None]
                inputs.append((n + k, cause))
        self._plan: Plan = plan(inputs)
        self._inputs = len(inputs)
        self._leak = np.array([p.leak for p in self.parents_of_conditions])
        self._log_link = _log_matrix(self.parents_of_causes, n)
        self._log_effect = _log_matrix(self.parents_of_conditions, n)

    @staticmethod
    def _add(inputs: list[tuple[int, ...]], indices: tuple[int, ...], parents: Parents) -> _Factor:
        inputs.append(indices)
        by_parent = [np.array([1.0, s]) for s in parents.spared]
        spared = reduce(np.multiply.outer, by_parent, np.array(1.0))[..., None]
        return _Factor(len(inputs) - 1, spared, 1 - spared)

    # -- running ---------------------------------------------------------------------------------------------

    def _portions(self, rates: Table, pairs: Table, absent: Mask | None
                  ) -> Iterator[tuple[Table, Table, Mask | None]]:
        rows = max(len(rates), len(pairs), 1 if absent is None else len(absent))
        size = max(8, _PORTION >> self.width)
        for start in range(0, rows, size):
            part = slice(start, min(start + size, rows))
            yield (rates if len(rates) == 1 else rates[part], pairs if len(pairs) == 1 else pairs[part],
                   absent if absent is None or len(absent) == 1 else absent[part])

    def _tables(self, rates: Table, pairs: Table, absent: Mask | None) -> list[Table]:
        """Table values in the order of the plan; axes as there, then the batch."""
        values: list[Table] = [np.empty(0)] * self._inputs
        for number, constant in self._constants.items():
            values[number] = constant
        for c, factor in enumerate(self._of_cause):
            rate = rates[:, c]
            # Rate 0 means impossible, so that a link can't bring the cause about either.
            there = np.where(rate > 0, factor.caught + factor.spared * rate, 0.0)
            not_there = np.where(rate > 0, factor.spared * (1 - rate), 1.0)
            if absent is not None:
                there, not_there = np.broadcast_arrays(np.where(absent[:, c], 0.0, there), not_there)
            values[factor.table] = np.stack([not_there, there])
        given = zip(self._of_condition, self.parents_of_conditions, strict=True)
        for k, (factor, parents) in enumerate(given):
            values[factor.table] = _answer_table(factor, parents, pairs[:, k, 1], pairs[:, k, 0])
        return values

    def _total(self, rates: Table, pairs: Table, absent: Mask | None
               ) -> tuple[Table, Table, Table, list[Table]]:
        """ln evidence, the total it comes from, the scaled pairs, and the tables of the forward pass."""
        # Scaled to a maximum of 1, so that many answers don't underflow.
        scale = pairs.max(axis=2, keepdims=True)
        scaled = pairs / np.where(scale > 0, scale, 1.0)
        total, values = forward(self._plan, self._tables(rates, scaled, absent))
        with np.errstate(divide="ignore"):
            return np.log(total) + np.log(scale[..., 0]).sum(1), total, scaled, values

    def _sweep_portion(self, rates: Table, pairs: Table, absent: Mask | None) -> Sweep:
        log_evidence, total, scaled, values = self._total(rates, pairs, absent)
        gradients = backward(self._plan, values, self._constants.keys())
        with np.errstate(invalid="ignore", divide="ignore"):
            tables = [f.table for f in self._of_cause]
            causes = _columns([_sum(gradients[t][1] * values[t][1]) for t in tables], total)
            reached = [self._reached(k, gradients) for k in range(len(self.conditions))]
            spared = _columns([r[0] for r in reached], total)
            caught = _columns([r[1] for r in reached], total)
            true, false = scaled[..., 0], scaled[..., 1]
            conditions = true * (caught + self._leak * spared)
            unproduced = (true * self._leak + false * (1 - self._leak)) * spared
            rows = total[:, None]
            return Sweep(causes / rows, conditions / rows, unproduced / rows, log_evidence)

    def _reached(self, k: int, gradients: Mapping[int, Table]) -> tuple[Table, Table]:
        """P(the other answers, no cause reached k) and P(the other answers, some cause reached k)."""
        factor, gradient = self._of_condition[k], gradients[self._of_condition[k].table]
        if not self.parents_of_conditions[k].broad:
            return _sum(gradient * factor.spared), _sum(gradient * factor.caught)
        return gradient[1], gradient[0] - gradient[1]


def _columns(columns: list[Table], rows: Table) -> Table:
    """(B, number of columns), also where there is none."""
    return np.stack(columns, 1) if columns else np.empty((len(rows), 0))


def _sum(table: Table) -> Table:
    summed: Table = table.sum(axis=tuple(range(table.ndim - 1)))
    return summed


def _answer_table(factor: _Factor, parents: Parents, false: Table, true: Table) -> Table:
    """P(answers | causes) over the parents; for a broad condition over its own index (design note above)."""
    if parents.broad:
        return np.stack([true, (false - true) * (1 - parents.leak)])
    missed = factor.spared * (1 - parents.leak)
    table: Table = true * (factor.caught + factor.spared * parents.leak) + false * missed
    return table


def _log_matrix(parents: Sequence[Parents], n: int) -> Table:
    """(n, len(parents)): ln(1 − chance) of each cause; a certain chance is held at the least float."""
    logs = np.zeros((n, len(parents)))
    for column, p in enumerate(parents):
        for cause, spared in zip(p.causes, p.spared, strict=True):
            logs[cause, column] = np.log(max(spared, np.finfo(float).tiny))
    return logs


# -- from knowledge ------------------------------------------------------------------------------------------

_CACHE: dict[tuple[str, str], Network] = {}


def compiled(knowledge: Knowledge, kind: Kind) -> Network:
    """The network of this knowledge for this kind of point; made once per fingerprint and kind.

    Base-rate factors (site experience) aren't part of it. Raises KnowledgeError for circular links or a
    network that is too wide.
    """
    key = (knowledge.fingerprint, kind)
    if key not in _CACHE:
        if len(_CACHE) >= _MOST_CACHED:
            _CACHE.clear()
        _CACHE[key] = _build(knowledge, kind)
    return _CACHE[key]


def _build(knowledge: Knowledge, kind: Kind) -> Network:
    possible = [c for c, record in knowledge.causes.items() if kind in record.base_rate]
    links: dict[str, dict[str, float]] = {c: {} for c in possible}
    effects: dict[str, dict[str, float]] = {k: {} for k, c in knowledge.conditions.items() if kind in c.kinds}
    for cause in possible:
        for link in knowledge.causes[cause].leads_to:
            if kind in link.kinds and link.cause in links:
                _spare(links[link.cause], cause, knowledge.level("chance", link.chance))
        for effect in knowledge.causes[cause].produces:
            if kind in effect.kinds and effect.condition in effects:
                _spare(effects[effect.condition], cause, knowledge.level("chance", effect.chance))
    order = _parents_first(links)
    place = {c: n for n, c in enumerate(order)}
    causes = {c: Parents(tuple(place[p] for p in links[c]), tuple(links[c].values())) for c in order}
    conditions = {}
    for k, by in effects.items():
        record = knowledge.conditions[k]
        leak = knowledge.level("leak", record.leak)
        conditions[k] = Parents(tuple(place[c] for c in by), tuple(by.values()), leak, record.broad)
    return Network(kind, causes, conditions, [c for c in knowledge.causes if c not in place])


def _spare(of: dict[str, float], cause: str, chance: float) -> None:
    """Two effects of one cause on one condition are two independent chances."""
    of[cause] = of.get(cause, 1.0) * (1 - chance)


def _parents_first(links: Mapping[str, Mapping[str, float]]) -> list[str]:
    try:
        return list(TopologicalSorter({c: list(parents) for c, parents in links.items()}).static_order())
    except CycleError as error:
        circle = " → ".join(error.args[1])
        raise KnowledgeError(f"leads_to runs in a circle: {circle}; drop the weakest link") from None
