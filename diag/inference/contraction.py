"""Multiply out a network of small tables over binary indices, forward and in reverse.

A table is an array with one axis of length 2 per index and a last axis for the batch (1 or B rows: rows are
independent cases, and a table that is the same for all of them carries 1). The plan is made once per network;
the numbers of a case enter only as table values.

The order is that of variable elimination by least fill. On networks like ours it costs a tenth of the
pairwise greedy path of a general contraction library (measured on 31 causes, 12 links, three broad
conditions: 4–10 thousand multiplications at width 8–10, against 20–190 thousand at width 12–16), and is the
same on every run.
"""

from __future__ import annotations

import math
import random
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.errors import KnowledgeError

__all__ = ["MOST_WIDTH", "Plan", "Table", "backward", "forward", "plan"]

MOST_WIDTH = 20  # 2^20 numbers = 8 MiB a table and row: beyond it a review would take seconds

Table = NDArray[np.float64]
Indices = tuple[int, ...]

_LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXY"
_BATCH = "Z"
_TRIES = 8
_SHAKE = 0.5  # share by which a fill may be shaken up
_CHEAP = 2**15  # up to here another try takes longer than a review could gain by it


@dataclass(frozen=True, slots=True)
class Gradient:
    """How the gradient of one operand of a step follows from that of the result."""

    equation: str
    widen: tuple[int, ...]  # axes of the operand summed in this step alone: constant along them


@dataclass(frozen=True, slots=True)
class Step:
    """Tables `left` and `right` become one; indices needed nowhere else are summed."""

    left: int
    right: int
    equation: str
    left_gradient: Gradient
    right_gradient: Gradient


@dataclass(frozen=True, slots=True)
class Plan:
    """Steps in order; step i makes table number `inputs` + i. `width` = indices of the largest table met."""

    inputs: int
    steps: tuple[Step, ...]
    width: int


def plan(inputs: Sequence[Indices]) -> Plan:
    """The pairwise steps that reduce all `inputs` (each a tuple of distinct indices) to one number a row.

    Cost of a forward pass: about Σ 2^(indices of a step) multiplications a row, dominated by 2^(width + 1).
    Raises KnowledgeError over MOST_WIDTH.
    """
    tables: dict[int, Indices] = {i: tuple(t) for i, t in enumerate(inputs)}
    steps: list[Step] = []
    width = max(map(len, tables.values()))
    for left, right in _pairs(inputs):
        a, b = tables.pop(left), tables.pop(right)
        wanted = {i for t in tables.values() for i in t}
        result = tuple(i for i in dict.fromkeys(a + b) if i in wanted)
        _refuse_wide(max(len(a), len(b), len(result)))
        steps.append(_step(left, right, a, b, result))
        tables[len(inputs) + len(steps) - 1] = result
        width = max(width, len(result))
    return Plan(len(inputs), tuple(steps), width)


def _refuse_wide(width: int) -> None:
    if width > MOST_WIDTH:
        raise KnowledgeError(f"the network needs a table over {width} causes and conditions at once, "
                             f"more than {MOST_WIDTH}: give it fewer broad conditions and more local effects")


def _elimination_order(inputs: Sequence[Indices]) -> list[int]:
    """Indices in the order in which to sum them: the cheapest of a few orders by least fill.

    The first order is by least fill itself, the others with the fill shaken, each from its own fixed seed; on
    the network of rolling bearings the best of eight costs a third of the first. None is tried once the
    order is so cheap that another try would take longer than it could save.
    """
    near = {i: 0 for table in inputs for i in table}
    for table in inputs:
        together = sum(1 << i for i in table)
        for i in table:
            near[i] |= together
    order, cost = _eliminate(dict(near), None, math.inf)
    for seed in range(1, _TRIES):
        if cost < _CHEAP:
            break
        other, other_cost = _eliminate(dict(near), random.Random(seed), cost)
        if other_cost < cost:
            order, cost = other, other_cost
    return order


def _eliminate(near: dict[int, int], shake: random.Random | None, most: float) -> tuple[list[int], float]:
    """One order and its cost, Σ 2^(indices met at once); cut short, and so incomplete, at a cost of `most`.

    `near` holds, per index, the indices it shares a table with and itself, as bits of one number.
    """

    def fill(i: int) -> int:
        """How many pairs (counted twice) removing i would join that aren't joined yet."""
        return sum((near[i] & ~near[a]).bit_count() for a in _bits(near[i]))

    def worth(i: int) -> tuple[float, int, int]:
        noise = 1 + _SHAKE * shake.random() if shake else 1.0
        return fills[i] * noise, near[i].bit_count(), i

    fills = {i: fill(i) for i in near}
    order: list[int] = []
    cost = 0.0
    while near and cost < most:
        least = min(fills, key=worth)
        around = near.pop(least)
        del fills[least]
        order.append(least)
        cost += 1 << around.bit_count()
        rest = around & ~(1 << least)
        changed = 0
        for a in _bits(rest):
            near[a] = (near[a] | rest) & ~(1 << least)
            changed |= near[a]
        fills.update((a, fill(a)) for a in _bits(changed))
    return order, cost


def _bits(number: int) -> Iterator[int]:
    """Positions of the set bits."""
    while number:
        low = number & -number
        yield low.bit_length() - 1
        number ^= low


def _pairs(inputs: Sequence[Indices]) -> list[tuple[int, int]]:
    """Pairs of table numbers: within each index's bucket the smallest tables first, then what is left over.
    """
    live = {i: frozenset(t) for i, t in enumerate(inputs)}
    pairs: list[tuple[int, int]] = []

    def merge(bucket: list[int]) -> None:
        while len(bucket) > 1:
            bucket.sort(key=lambda t: (len(live[t]), t))
            left, right, *bucket = bucket
            both = live.pop(left) | live.pop(right)
            new = len(inputs) + len(pairs)
            live[new] = frozenset(i for i in both if any(i in t for t in live.values()))
            pairs.append((left, right))
            bucket.append(new)

    for index in _elimination_order(inputs):
        merge([t for t, indices in live.items() if index in indices])
    merge(list(live))
    return pairs


def _step(left: int, right: int, a: Indices, b: Indices, result: Indices) -> Step:
    letter = dict(zip(dict.fromkeys(a + b), _LETTERS, strict=False))

    def word(indices: Indices) -> str:
        return "".join(letter[i] for i in indices) + _BATCH

    def gradient(wanted: Indices, other: Indices) -> Gradient:
        known = set(other) | set(result)
        narrow = tuple(i for i in wanted if i in known)
        widen = tuple(n for n, i in enumerate(wanted) if i not in known)
        return Gradient(f"{word(result)},{word(other)}->{word(narrow)}", widen)

    equation = f"{word(a)},{word(b)}->{word(result)}"
    return Step(left, right, equation, gradient(a, b), gradient(b, a))


def forward(made: Plan, tables: Sequence[Table]) -> tuple[Table, list[Table]]:
    """The total of each row (B,), and all tables, given and made, as `backward` needs them."""
    values = list(tables)
    for step in made.steps:
        values.append(np.einsum(step.equation, values[step.left], values[step.right]))
    last = values[-1]
    return last.sum(axis=tuple(range(last.ndim - 1))), values


def backward(made: Plan, values: list[Table], constant: Collection[int] = ()) -> dict[int, Table]:
    """Derivative of the total with respect to each given table but the `constant` ones, shaped as it and B
    rows.
    """
    gradients: list[Table | None] = [None] * len(values)
    gradients[-1] = np.ones(values[-1].shape)
    for number in reversed(range(len(made.steps))):
        step = made.steps[number]
        after = gradients[made.inputs + number]
        assert after is not None  # each table but the last enters exactly one later step
        if step.left not in constant:
            gradients[step.left] = _pull(step.left_gradient, after, values[step.right])
        if step.right not in constant:
            gradients[step.right] = _pull(step.right_gradient, after, values[step.left])
        gradients[made.inputs + number] = None  # frees memory
    return {n: g for n, g in enumerate(gradients[: made.inputs]) if g is not None}


def _pull(rule: Gradient, after: Table, other: Table) -> Table:
    narrow: Table = np.einsum(rule.equation, after, other)
    if not rule.widen:
        return narrow
    wide = np.expand_dims(narrow, rule.widen)
    return np.broadcast_to(wide, [2 if n in rule.widen else s for n, s in enumerate(wide.shape)])
