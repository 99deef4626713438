"""The cost table of a case: its prices, amounts and chances, drawn together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from diag.case.model import Grease
from diag.findings import Action, CostPart, ExpectedCost, Flip, OneMoreCheck
from diag.knowledgebase.model import RemedyClass
from diag.remedy import decision
from diag.remedy.another_look import Look, one_more_check
from diag.remedy.prices import Band, Prices, basis, prices_of
from diag.remedy.purging import purge_grams
from diag.remedy.situation import Situation

__all__ = ["Weighing"]


@dataclass(frozen=True)
class Weighing:
    """Prices and amounts of one case, and the table over whichever actions are asked for."""

    s: Situation

    def prices(self, band: Band = "value") -> Prices:
        return prices_of(self.s.case.costs, self.grease, self.s.knowledge, band)

    @property
    def grease(self) -> Grease:
        """The grease that would be bought: its family sets the price."""
        return self.s.wanted if self.s.wanted.thickener else self.s.case.grease

    @cached_property
    def amounts(self) -> dict[Action, float]:
        """Kilograms, where the sizes give them."""
        plan, purged = self.s.regrease, purge_grams(self.s)
        grams: dict[Action, float | None] = {
            "adjust_regreasing": plan.amount_g, "strip_clean_same": plan.first_fill_g,
            "strip_clean_and_switch": plan.first_fill_g, "replace_part": plan.first_fill_g,
            "purge_same": sum(purged) / 2 if purged else None, "purge_and_switch": sum(purged) / 2 if purged else None}
        return {action: g / 1000 for action, g in grams.items() if g is not None}

    @property
    def repair(self) -> RemedyClass | None:
        """The work on the machine that goes beside every action."""
        return self.s.remedy if self.s.not_the_grease else None

    def table(self, actions: Sequence[Action]) -> tuple[decision.Job, ...]:
        s = self.s
        return decision.jobs(actions, s.posterior.causes, s.chances, self.repair, self.amounts, s.knowledge,
                             let_out=s.lets_out)

    def cheapest(self, actions: Sequence[Action]) -> Action:
        return decision.cheapest(self.table(actions), self.prices()).action

    def costs(self, actions: Sequence[Action]) -> tuple[ExpectedCost, ...]:
        return decision.expected(self.table(actions), self.prices(), self.prices("low"), self.prices("high"),
                                 self.s.knowledge)

    def parts(self, actions: Sequence[Action]) -> tuple[CostPart, ...]:
        return decision.parts(self.table(actions), self.prices())

    def flips(self, actions: Sequence[Action]) -> tuple[Flip, ...]:
        cause = self.s.likeliest
        return () if cause is None else decision.flips(
            self.table(actions), self.prices(), cause.id, self.s.posterior.causes[cause.id])

    def basis(self) -> tuple[str, ...]:
        return basis(self.s.case.costs, self.s.knowledge)

    def one_more_check(self, look: Look | None, actions: Sequence[Action]) -> OneMoreCheck | None:
        return None if look is None else one_more_check(self.s, look, actions, self.prices(), self.amounts)
