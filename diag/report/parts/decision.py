"""The decision in money: the table, where it flips, whether one more check pays, and what it all rests on."""

from __future__ import annotations

from diag.findings import Changeover, CostPart, ExpectedCost, Flip, OneMoreCheck
from diag.knowledgebase import Knowledge
from diag.numbertext import shown
from diag.report.layout import bullets, heading, paragraph, percent
from diag.wordtext import label

__all__ = ["decision", "flip_words", "look_words", "nearest"]

_ROW = "{action:<24}{cost:>8}{span:>18}{cures:>6}{standstill:>8}{labour:>8}{material:>8}"
_HEAD = _ROW.format(action="", cost="cost", span="between", cures="cures", standstill="stop", labour="work",
                    material="goods")
_SCALES = ((1.0, ""), (1e3, "thousands of "), (1e6, "millions of "), (1e9, "thousand millions of "))
_WIDEST = 999_999.5  # seven figures would run into the next column
_FLIPS = 3  # told on the page, the nearest first; JSON has them all


def decision(change: Changeover, knowledge: Knowledge, currency: str | None) -> list[str]:
    """Nothing where no action is open to choice; else the table, the flips, the check and the basis."""
    if not change.expected_costs:
        return []
    parts = {part.action: part for part in change.cost_parts}
    scale, words = _scale(change)
    lines = heading(f"What it is expected to cost, in {words}{currency or 'money'}")
    lines += [_HEAD.rstrip(), *(_row(c, parts.get(c.action), change, scale) for c in change.expected_costs)]
    lines += paragraph(
        "* is what is advised. Cost: standstill, labour, goods, and what a failure or a second try is expected to "
        "cost if it does not cure; cures: the chance that all is well after it. An action that a rule of safety "
        "bars has no line.")
    lines += bullets(flip_words(f, knowledge) for f in nearest(change))
    lines += paragraph(look_words(change.one_more_check)) if change.one_more_check else []
    return lines + (["It rests on:", *bullets(change.cost_basis)] if change.cost_basis else [])


def _scale(change: Changeover) -> tuple[float, str]:
    """What the sums are told in, so that the dearest still fits its column."""
    parts = (max(p.standstill, p.labour, p.material) for p in change.cost_parts)
    dearest = max([*(c.high for c in change.expected_costs), *parts])
    return next((s for s in _SCALES if dearest < _WIDEST * s[0]), _SCALES[-1])


def _row(cost: ExpectedCost, part: CostPart | None, change: Changeover, scale: float) -> str:
    def money(value: float) -> str:
        return f"{value / scale:,.0f}"

    mark = "* " if cost.action == change.action else "  "
    told = {"cures": "", "standstill": "", "labour": "", "material": ""} if part is None else {
        "cures": f"{100 * part.cures:.0f} %", "standstill": money(part.standstill), "labour": money(part.labour),
        "material": money(part.material)}
    return _ROW.format(action=mark + label(cost.action), cost=money(cost.cost),
                       span=f"{money(cost.low)} - {money(cost.high)}", **told)


def nearest(change: Changeover) -> list[Flip]:
    """The flips that are told on a page, those that need least to come about first."""
    return sorted(change.flips, key=_distance)[:_FLIPS]


def flip_words(flip: Flip, knowledge: Knowledge) -> str:
    """Where another action becomes the cheapest, in a sentence."""
    chance = flip.text in knowledge.causes
    name = f"the chance of: {knowledge.causes[flip.text].name}" if chance else flip.text
    at, now = (percent(flip.at), percent(flip.now)) if chance else (shown(flip.at), shown(flip.now))
    return (f"if {name} were {flip.side} {at} (now {now}), {label(flip.action)} would be the cheapest instead of "
            f"{label(flip.instead_of)}")


def _distance(flip: Flip) -> float:
    """How many times the present value the flip lies away, either way; a chance by its odds."""
    def odds(value: float) -> float:
        return value / (1 - value) if flip.variable.startswith("chance of ") and value < 1 else value

    high, low = max(odds(flip.at), odds(flip.now)), min(odds(flip.at), odds(flip.now))
    return high / low if low > 0 else float("inf")


def look_words(check: OneMoreCheck) -> str:
    """Whether the next question is worth its time."""
    verdict = "worth asking first" if check.worth_it else "not worth its time for the choice of action"
    return (f"One more check ({check.text}): expected to save {check.saves:,.0f}, takes {check.costs:,.0f}; {verdict}.")
