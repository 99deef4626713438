"""Cases of the invented brickworks, drawn from worlds that differ from the knowledge; their recipe is data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import numpy as np

import diag
from diag import yamltext
from diag.case import from_data
from diag.case.model import Case, Degree
from diag.errors import Fault, InputError
from diag.knowledgebase.model import Stage
from diag.review import gather
from diag.simulation.technicians import DrawnCase, Technician, cases_of
from diag.simulation.worlds import bent

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["Known", "Recipe", "drawn", "recipe"]

STAGES: tuple[Stage, ...] = get_args(Stage)
_KEYS = {"rate_factor", "tied", "cases_per_world", "technician", "looked_at", "points"}


@dataclass(frozen=True, slots=True)
class Known:
    """A case with its truth. `world`: cases of one world are never trained and tried on at once.

    `present`: causes at work; `told`: the causes of which it is known whether they are; None: of all.
    """

    case: Case
    present: frozenset[str]
    world: int
    told: frozenset[str] | None = None


@dataclass(frozen=True, slots=True)
class Recipe:
    """How cases are drawn; see demo_cases/generator.yaml."""

    rate_factor: float
    tied: float
    cases_per_world: int
    technician: Technician
    looked_at: Mapping[Stage, float]  # shares that come to 1
    points: tuple[Case, ...]


def recipe(knowledge: Knowledge, path: Path | None = None) -> Recipe:
    """The recipe of a file, or the one carried along. Errors: InputError with the place of what is wrong."""
    path = path or _carried()
    data = yamltext.to_data(yamltext.read_file(path))
    try:
        return _recipe(data, path, knowledge)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise InputError(Fault(f"is no recipe for invented cases ({error}); "
                               f"give {', '.join(sorted(_KEYS))}", str(path))) from None


def _carried() -> Path:
    package = Path(diag.__file__).parent
    carried = package / "_data" / "demo_cases"
    return (carried if carried.is_dir() else package.parent / "demo_cases") / "generator.yaml"


def _recipe(data: Mapping[str, Any], path: Path, knowledge: Knowledge) -> Recipe:
    if set(data) != _KEYS:
        raise ValueError(f"keys {', '.join(sorted(set(data) ^ _KEYS))}")
    careless = data["technician"]
    shares = {stage: float(data["looked_at"].get(stage, 0)) for stage in STAGES}
    if abs(sum(shares.values()) - 1) > 1e-9:
        raise ValueError("the shares of looked_at don't come to 1")
    points = tuple(from_data(p, f"{path}: points[{n}]", knowledge) for n, p in enumerate(data["points"]))
    return Recipe(float(data["rate_factor"]), float(data["tied"]), int(data["cases_per_world"]),
                  Technician(float(careless["unknown"]), float(careless["wrong"])), shares, points)


def drawn(knowledge: Knowledge, how: Recipe, cases: int, seed: int = 0) -> list[Known]:
    """Cases world by world, each world at one point of the brickworks; the same seed draws the same.

    The cause that a world keeps from the tool in `diag knowledge simulate` is an ordinary one here.
    """
    sizes = [min(how.cases_per_world, cases - start) for start in range(0, cases, how.cases_per_world)]
    seeds = np.random.SeedSequence(seed).spawn(len(sizes))
    return [known for world, (size, own) in enumerate(zip(sizes, seeds, strict=True))
            for known in _of_world(world, size, how, knowledge, np.random.default_rng(own))]


def _of_world(number: int, cases: int, how: Recipe, knowledge: Knowledge, random: np.random.Generator) -> list[Known]:
    point = how.points[number % len(how.points)]
    world = bent(knowledge, point.point.kind, random, how.rate_factor, how.tied)
    world = replace(world, circumstances=gather(point, knowledge).circumstances)
    furthest = random.choice(len(STAGES), cases, p=[how.looked_at[s] for s in STAGES])
    found = cases_of(world, cases, how.technician, random)
    return [Known(_case(point, one, STAGES[:last + 1], knowledge), one.present, number)
            for one, last in zip(found, furthest, strict=True)]


def _case(point: Case, found: DrawnCase, stages: Sequence[Stage], knowledge: Knowledge) -> Case:
    """The point with its complaint and what was answered to the looks up to the last stage reached."""
    seen: dict[str, Degree] = {}
    for question, replies in found.replies.items():
        if knowledge.questions[question].stage in stages:
            seen |= replies
    return replace(point, complaint=found.complaint, seen=seen)
