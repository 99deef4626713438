"""The page for the terminal: reads like a colleague's note, most pressing first."""

from __future__ import annotations

from diag.case.model import Case
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.report.figures import System
from diag.report.layout import paragraph
from diag.report.parts import annex, causes, changeover, decision, grease, regreasing, second, urgency
from diag.report.worded import worded, worded_knowledge
from diag.wordtext import label

__all__ = ["outlook", "page", "title"]


def title(case: Case) -> str:
    """What the case is about in a few words."""
    identity = [part for part in (case.case.machine, case.case.point) if part]
    return case.title or ", ".join(identity) or f"a {label(case.point.kind)}"


def _point(case: Case) -> str:
    """Where it is, for a case that has a title of its own."""
    known = (case.case.site, case.case.machine, case.case.point)
    return ", ".join(part for part in known if part) if case.title else ""


def page(findings: Findings, case: Case, knowledge: Knowledge, units: System = "metric", working: bool = False) -> str:
    """The whole review on 80 columns, plain text; `working` adds every number's working."""
    findings, knowledge = worded(findings, units), worded_knowledge(knowledge, units)
    lines = [
        *paragraph(title(case)),
        *paragraph(_point(case)),
        *urgency.urgency(findings.urgency, case, units),
        *urgency.preserve(case),
        *causes.not_the_grease(findings),
        *causes.causes(findings),
        *causes.together(findings, knowledge),
        *causes.unexplained(findings, knowledge),
        *annex.doubts(findings),
        *second.second_opinion(findings, knowledge),
        *causes.next_check(findings),
        *grease.grease(findings, units),
        *changeover.changeover(findings),
        *decision.decision(findings.changeover, knowledge, case.costs.currency),
        *regreasing.regreasing(findings.regrease, units, working),
        *annex.basis(findings, knowledge),
        *(annex.working(findings, units) if working else []),
        *annex.trust(findings),
    ]
    return "\n".join(lines)


def outlook(findings: Findings, case: Case, knowledge: Knowledge, units: System = "metric") -> str:
    """Urgency and causes alone: what is thought so far."""
    findings, knowledge = worded(findings, units), worded_knowledge(knowledge, units)
    lines = [
        *urgency.urgency(findings.urgency, case, units),
        *causes.not_the_grease(findings),
        *causes.causes(findings),
        *causes.together(findings, knowledge),
        *causes.unexplained(findings, knowledge),
    ]
    return "\n".join(lines[1:])
