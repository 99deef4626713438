"""How to give a point its next dose: for the plan alone, apart from any fault or change of grease."""

from __future__ import annotations

from diag.case.model import Case
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.remedy.feeding_notes import dose_at_a_time

__all__ = ["steps", "why_not_now"]


def why_not_now(found: Findings) -> str:
    """What forbids greasing at this moment; empty when nothing does."""
    if found.urgency.level in ("stop_now", "stop_soon"):
        return "it has to stop first, and what is wrong has to be found"
    if found.changeover.action == "wait_and_watch":
        return "wait and watch first: no grease goes in until it has settled"
    if found.changeover.action in ("replace_part", "strip_clean_same", "strip_clean_and_switch"):
        return "what is in there has to come out first"
    return "it has to be mended first" if found.changeover.repair_first else ""


def steps(case: Case, found: Findings, knowledge: Knowledge) -> tuple[str, ...]:
    """The next greasing step by step, in the words of the procedures; () where there is no dose to give."""
    if found.regrease.amount_g is None:
        return ()
    rolling = case.point.kind == "rolling_bearing"
    outlet = ["drain_or_strip"] if rolling and case.point.drain != "open" else []
    fed = ["small_dose", "run", "settle"] if rolling else ["dose_open_end", "run_open_end", "settle_plain"]
    names = ["prepare", *outlet, *fed, "new_interval"]
    table = knowledge.standard("procedures")
    dose = dose_at_a_time(case, found.regrease.amount_g, knowledge)
    words = {"dose": dose, "interval": _interval(found), "limits": ""}
    entries = (table["steps"][name] for name in names)
    return tuple(f"{table['kinds'][e['kind']]['heading']}: {e['text'].format(**words)}" for e in entries)


def _interval(found: Findings) -> str:
    hours = found.regrease.interval_h
    return "again by the machine's manual" if hours is None else f"again after {hours:,.0f} h of running"
