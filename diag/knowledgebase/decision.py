"""The shape of two files behind the decision: what work and failures cost, and checks before grease is bought."""

from __future__ import annotations

from typing import Literal

from diag.knowledgebase.model import ALL_KINDS, Confidence, Kind, Record, Stage

__all__ = ["CostTable", "FieldCheck", "Hours", "PriceDefault", "Work"]

Mark = Literal["invented", "judgement"]
ActionWord = Literal["keep", "adjust_regreasing", "wait_and_watch", "purge_same", "strip_clean_same",
                     "purge_and_switch", "strip_clean_and_switch", "replace_part"]
PriceWord = Literal["downtime_per_hour", "labour_per_hour", "bearing", "grease_per_kg"]


class PriceDefault(Record, kw_only=True, frozen=True):
    """A price taken where the case states none, with the band it may lie in; money of any currency."""

    value: float
    low: float
    high: float
    text: str
    mark: Mark
    source: tuple[str, ...]
    confidence: Confidence


class Work(Record, kw_only=True, frozen=True):
    """What an action takes, and how sure it is.

    `works`: chance that the work itself succeeds, where all causes present are ones it cures.
    `goes_on`: chance that a fault it leaves ends in a failure before it is caught.
    """

    downtime_h: float
    labour_h: float
    grease_kg: float  # where the sizes give no amount
    new_part: bool
    works: float
    goes_on: float
    mark: Mark
    source: tuple[str, ...]
    confidence: Confidence


class Hours(Record, kw_only=True, frozen=True):
    """Standstill and labour of an event, h."""

    downtime_h: float
    labour_h: float
    text: str
    mark: Mark
    source: tuple[str, ...]
    confidence: Confidence


class CostTable(Record, kw_only=True, frozen=True):
    """costs.yaml: prices in money, hours, chances 0 to 1."""

    prices: dict[PriceWord, PriceDefault]
    work: dict[ActionWord, Work]
    failure: Hours  # a repeat failure where the case states no cost of one
    second_try: Hours  # coming back because the first work didn't cure
    hours_low: float  # factor on all hours for the low cost
    hours_high: float
    odds: float  # the odds of what stays uncured may be wrong by this factor either way
    counted: float  # causes less likely than this are what any point carries, and aren't counted
    mark: Mark
    source: tuple[str, ...]
    confidence: Confidence


class FieldCheck(Record, kw_only=True, frozen=True):
    """One check of machine, not of grease: what, with what, and the limit."""

    id: str
    causes: tuple[str, ...]  # worth doing when one of these is likely
    check: str
    tool: str
    limit: str
    stage: Stage
    electrical: bool = False
    kinds: tuple[Kind, ...] = ALL_KINDS
    drive: str = ""  # only where the point is driven so, or nobody said how
    source: tuple[str, ...]
    confidence: Confidence
