"""The shape of knowledge/greases/*.yaml and knowledge/compatibility/*.yaml.

Temperatures in °C, viscosity in mm²/s at 40 °C, washout in % by ASTM D1264 at 79 °C, density in kg/l.
"""

from __future__ import annotations

from typing import Literal

from diag.knowledgebase.model import Confidence, Record

__all__ = [
    "Additive", "Application", "BaseOil", "CompatibilityTable", "ContinuousLimit", "Figure", "Grade",
    "Letter", "Rating", "Stated", "Thickener", "TradeFact",
]  # fmt: skip

Grade = Literal["poor", "fair", "good", "excellent"]
# compatible, borderline or test required, incompatible, same family, not legible in the copy read
Letter = Literal["C", "B", "I", "X", "U"]


class Figure(Record, kw_only=True, frozen=True):
    """A published number or span; `high` equals `low` for a single number."""

    low: float
    high: float
    source: tuple[str, ...]
    confidence: Confidence
    note: str = ""


class Rating(Record, kw_only=True, frozen=True):
    """A published judgement in words: from the worst product of the family to the best."""

    worst: Grade
    best: Grade
    source: tuple[str, ...]
    confidence: Confidence
    note: str = ""


class Stated(Record, kw_only=True, frozen=True):
    """A fact in words."""

    text: str
    source: tuple[str, ...]
    confidence: Confidence
    note: str = ""


class ContinuousLimit(Record, kw_only=True, frozen=True):
    """With this oil: where heat starts to shorten grease life, and the printed maximum."""

    oil: str
    continuous: Figure
    printed: Figure


class Thickener(Record, kw_only=True, frozen=True):
    """One thickener family of the case file's closed set."""

    id: str
    name: str
    dropping_point: Figure | None = None  # None: no true one
    table_maximum: Figure | None = None  # what handbook tables print; a short-interval figure
    practical_maximum: Figure  # months of life on the usual oil
    lowest_temperature: Figure  # ordinary NLGI 2 of this family; the oil sets it
    water_washout: Figure
    water_resistance: Rating
    shear_stability: Rating
    pumpability: Rating
    oxidation: Rating
    rust_protection: Rating
    high_speed: Rating
    load: Stated  # load capacity of the thickener itself
    reversibility: Stated  # what is left of it after overheating
    texture: Stated
    relative_cost: Figure  # lithium = 1
    continuous_limits: tuple[ContinuousLimit, ...] = ()
    typical_uses: tuple[str, ...]
    weaknesses: tuple[Stated, ...]
    with_itself: Stated | None = None  # why two greases of this family need not go together

    @property
    def practical_max(self) -> float:
        """Highest temperature for lasting service of any ordinary product of the family [°C]: the low end."""
        return self.practical_maximum.low


class BaseOil(Record, kw_only=True, frozen=True):
    """One base-oil family of the case file's closed set."""

    id: str
    name: str
    viscosity_index: Figure
    lowest_temperature: Figure
    long_term_maximum: Figure
    density: Figure
    seals: Stated
    facts: tuple[Stated, ...] = ()
    mixes_with_no_other: bool = False  # any other oil must be cleaned off first

    @property
    def practical_max(self) -> float:
        """Highest temperature for lasting service [°C]: the low end of the span."""
        return self.long_term_maximum.low


class Additive(Record, kw_only=True, frozen=True):
    """One additive of the case file's closed set."""

    id: str
    name: str
    solid: bool = False
    does: Stated
    suits: tuple[Stated, ...] = ()
    beware: tuple[Stated, ...] = ()
    share: Figure | None = None  # usual content [% by mass]
    speed_factor_ceiling: Figure | None = None  # n·dm [mm/min]; no place in a faster rolling bearing


class Application(Record, kw_only=True, frozen=True):
    """Usual base-oil viscosity of a duty."""

    id: str
    use: str
    viscosity_40: Figure


class TradeFact(Record, kw_only=True, frozen=True):
    """A fact of the trade, to be looked up."""

    id: str
    text: str
    source: tuple[str, ...]
    confidence: Confidence


class CompatibilityTable(Record, kw_only=True, frozen=True):
    """One published mixing chart, cell by cell as printed or recalled.

    `labels` are the chart's own row names in its order; `words` says which rows speak of a word of the case
    file: of several the worst counts.
    """

    id: str
    title: str
    publisher: str
    year: int | None
    of: Literal["thickener", "base_oil"]
    source: tuple[str, ...]
    confidence: Confidence
    completeness: str
    note: str
    labels: dict[str, str]
    words: dict[str, tuple[str, ...]]
    rows: dict[str, dict[str, Letter]]
