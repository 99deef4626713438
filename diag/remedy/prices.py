"""What an hour, a part, a kilogram and a failure cost: as the case states it, else the defaults, every one named."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal

from diag.case.model import Costs, Grease
from diag.knowledgebase import Knowledge

__all__ = ["PRICES", "Band", "PriceName", "Prices", "basis", "prices_of"]

PriceName = Literal["downtime_per_hour", "labour_per_hour", "bearing", "grease_per_kg", "repeat_failure"]
Band = Literal["value", "low", "high"]
PRICES: dict[PriceName, str] = {
    "downtime_per_hour": "an hour of standstill", "labour_per_hour": "an hour of labour", "bearing": "a new part",
    "grease_per_kg": "a kilogram of grease", "repeat_failure": "a repeat failure"}


@dataclass(frozen=True, slots=True)
class Prices:
    """Money per hour, part and kilogram; hours of a failure and of a second try where no price is stated."""

    downtime_per_hour: float
    labour_per_hour: float
    bearing: float
    grease_per_kg: float
    stated_failure: float | None  # a repeat failure as the case prices it
    failure_h: tuple[float, float]  # standstill and labour of a failure
    second_try_h: tuple[float, float]

    def hours(self, downtime: float, labour: float) -> float:
        return downtime * self.downtime_per_hour + labour * self.labour_per_hour

    @property
    def repeat_failure(self) -> float:
        """As stated, else its hours at these prices and a new part."""
        if self.stated_failure is not None:
            return self.stated_failure
        return self.hours(*self.failure_h) + self.bearing

    @property
    def second_try(self) -> float:
        """Coming back because the first work did not cure it."""
        return self.hours(*self.second_try_h)

    def at(self, name: PriceName, value: float) -> Prices:
        """The same with one price changed."""
        changes: dict[str, Any] = {"stated_failure" if name == "repeat_failure" else name: value}
        return replace(self, **changes)

    def of(self, name: PriceName) -> float:
        return float(getattr(self, name))


def prices_of(costs: Costs, grease: Grease, knowledge: Knowledge, band: Band = "value") -> Prices:
    """Stated prices, else the defaults at `band`; grease of another family at its usual relative cost."""
    table = knowledge.costs

    def price(name: Literal["downtime_per_hour", "labour_per_hour", "bearing", "grease_per_kg"]) -> float:
        stated: float | None = getattr(costs, name)
        default: float = getattr(table.prices[name], band)
        return default if stated is None else stated

    family = knowledge.thickeners.get(grease.thickener or "")
    dearer = 1.0
    if family is not None and costs.grease_per_kg is None:
        cost = family.relative_cost
        dearer = {"low": cost.low, "value": (cost.low + cost.high) / 2, "high": cost.high}[band]
    return Prices(
        price("downtime_per_hour"), price("labour_per_hour"), price("bearing"), price("grease_per_kg") * dearer,
        costs.repeat_failure, (table.failure.downtime_h, table.failure.labour_h),
        (table.second_try.downtime_h, table.second_try.labour_h))


def basis(costs: Costs, knowledge: Knowledge) -> tuple[str, ...]:
    """Every price and default that the table rests on, in words, with its mark."""
    table, money = knowledge.costs, costs.currency or "money"
    found = [f"{d.text}: {d.value:g} {money} ({d.low:g} to {d.high:g}); {d.mark}, state it as costs: {name}"
             for name, d in table.prices.items() if getattr(costs, name) is None]
    if costs.repeat_failure is None:
        f = table.failure
        found.append(f"{f.text}: {f.downtime_h:g} h of standstill, {f.labour_h:g} h of labour; {f.mark}, state it as "
                     "costs: repeat_failure")
    f = table.second_try
    found.append(f"{f.text}: {f.downtime_h:g} h of standstill, {f.labour_h:g} h of labour; {f.mark}")
    found.append(f"hours of each work, its chance to succeed and the chance that what it leaves ends in a failure: "
                 f"{table.mark}, in the cost table of the knowledge")
    found.append(f"causes under {table.counted:.0%} are not counted; low and high: hours × {table.hours_low:g} to "
                 f"× {table.hours_high:g}, odds of what stays uncured ÷ and × {table.odds:g}; {table.mark}")
    return tuple(found)
