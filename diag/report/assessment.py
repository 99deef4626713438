"""Pages on how good the knowledge is: drawn cases, sensitivity, separability, base rates."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from diag.report.layout import bullets, heading, paragraph
from diag.wordtext import label

if TYPE_CHECKING:
    from diag.inference.separation import Separation
    from diag.knowledgebase import Knowledge
    from diag.knowledgebase.model import Kind
    from diag.simulation.base_rates import BaseRates, Outset
    from diag.simulation.scoring import Scores
    from diag.simulation.sensitivity import Changed, Sensitivity
    from diag.simulation.trial import Trial

__all__ = ["percent_of", "rates", "sensitivity", "separability", "table", "trial"]

_WORST = 10
_KNOBS = 6
_NAMED = 5  # causes named for one complaint

_BENT = (
    "The worlds they were drawn from differ from the knowledge: every link and effect word stands one level off, the "
    "odds of every base rate are three times higher or lower, one cause of each world is one that the tool doesn't "
    "know, and a quarter of the signs repeat another sign whatever is there. How far the field differs from the "
    "knowledge nobody has measured: this shows how the tool bears such differences, not how often it is right."
)
_OWN = (
    "They were drawn from the knowledge itself. That proves the code and nothing else: whatever the knowledge has "
    "wrong, these cases have wrong too."
)


def trial(found: Trial) -> str:
    """Scores of the guided walk beside a fixed order and a guess, calibration, and each cause."""
    careless = found.technician
    lines = [
        *paragraph(
            f"{found.cases} invented points from {found.worlds} worlds, seed {found.seed}. Technicians pass over "
            f"{percent_of(careless.unknown)} of the looks as not known and answer {percent_of(careless.wrong)} of "
            f"the rest wrong, on top of the slips in the words."
        ),
        *paragraph(_OWN if found.as_known else _BENT),
        *heading("How it did"),
        *table(("", "first", "in three", "log score", "Brier", "quiet"), (
            _scored("guided walk", found.guided), _scored("fixed order", found.fixed),
            _scored("three commonest", found.guess))),
        "",
        *paragraph(
            f"first, in three: a cause at work is named first, or among three, in the {found.guided.with_cause} "
            "cases with one. Log score and Brier (0 is best): mean per cause and case. quiet: nothing leads where no "
            f"cause is at work ({found.guided.cases - found.guided.with_cause} cases). The fixed order takes the "
            "looks that the walks took most often, as many as go into their mean time."
        ),
        *paragraph(
            f"The walk took {found.questions:.1f} looks and {found.minutes:.0f} minutes of looking on average, "
            f"laboratory left out. In {found.unlisted} cases a cause was at work that the tool doesn't know."
        ),
        *_calibration(found.guided),
        *_by_cause(found.guided),
    ]
    return "\n".join(lines)


def _scored(name: str, scores: Scores) -> tuple[str, ...]:
    return (name, percent_of(scores.first), percent_of(scores.three), f"{scores.log_score:.3f}", f"{scores.brier:.3f}",
            percent_of(scores.quiet))


def _calibration(scores: Scores) -> list[str]:
    rows = [(f"{100 * b.low:.0f} to {100 * b.high:.0f} %", str(b.n), percent_of(b.believed), percent_of(b.present))
            for b in scores.calibration]
    return [*heading("Calibration of the guided walk"), *table(("said", "times", "mean said", "present"), rows)]


def _by_cause(scores: Scores) -> list[str]:
    rows = [(c.cause, str(c.present), str(c.first), str(c.three), percent_of(c.believed_present),
             percent_of(c.believed_absent)) for c in scores.causes if c.believed_absent is not None]
    return [*heading("By cause"), *table(("", "at work", "first", "in three", "said", "said else"), rows), "",
            *paragraph("said: mean belief where it was at work; said else: where it was not.")]


def sensitivity(found: Mapping[str, Sensitivity]) -> str:
    """Each set of cases: single words, whole tables, and the cases that hang by a thread."""
    lines = paragraph(
        "Share of the cases in which the urgency, the leading cause or the action changes when level words are moved "
        "by one step, that is to the number of the next word. Urgency is by rule; the words enter it nowhere but in "
        "how much probably counts."
    )
    for name, one in found.items():
        lines += [*heading(f"{name} cases ({one.cases})"), *table(
            ("moved", "urgency", "cause", "action"),
            [_changed(c) for c in (one.mean_single, *one.single[:_KNOBS], *one.together)])]
        worst = one.single[0]
        lines += ["", *paragraph(f"Worst single knob: {worst.knob} (leading cause {percent_of(worst.cause)}, action "
                                 f"{percent_of(worst.action)}).")]
        lines += paragraph(f"{len(one.hanging)} of {one.cases} cases are changed by some single word; most easily:")
        lines += bullets(f"{h.case}: by {percent_of(h.share)} of the single moves" for h in one.hanging[:_KNOBS])
    return "\n".join(lines)


def _changed(changed: Changed) -> tuple[str, ...]:
    return changed.knob, percent_of(changed.urgency), percent_of(changed.cause), percent_of(changed.action)


def separability(found: Mapping[Kind, Sequence[Separation]], knowledge: Knowledge, settles: float) -> str:
    """The ten worst pairs of each kind, and what settles those that no look in the field tells apart."""
    lines = paragraph(
        "Odds expected between two causes whose remedies differ, once every look up to a stage is answered: 20 means "
        f"twenty to one for the right one. From {math.exp(settles):.0f} on they count as told apart. Circumstances of "
        "the point (greased yesterday, a belt drive) are left out; they come on top."
    )
    for kind, pairs in found.items():
        stages = tuple(pairs[0].by_stage) if pairs else ()
        rows = [(f"{p.first} / {p.second}", *(_odds(p.by_stage[s]) for s in stages)) for p in pairs[:_WORST]]
        told = sum(p.by_stage["cleaned"] >= settles for p in pairs)
        lines += heading(f"{label(kind)}: {told} of {len(pairs)} pairs told apart; the {len(rows)} worst")
        lines += _stacked(stages, rows)
    lines += heading("Not told apart in the field")
    lines += bullets(
        f"{' / '.join(e.causes)} ({label(e.settled_by)}): {e.how}" for e in knowledge.separability.values()
    )
    return "\n".join(lines)


def _stacked(stages: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Two long ids on a line of their own, the stages under them."""
    return [line for pair, *odds in rows for line in (pair, "    " + ", ".join(
        f"{stage} {o}" for stage, o in zip(stages, odds, strict=True)))]


def rates(found: BaseRates) -> str:
    """Groups beside the published shares, and the outset by kind and complaint."""
    lines = paragraph(
        "Shares of failed rolling bearings by cause, published, beside what the base rates come to when they are "
        "brought to exclusive shares. The published sets disagree and count failed parts, not people who call: the "
        f"range is a fence, no target. In one line: {found.reading}. {found.not_found}"
    )
    lines += ["", *table(("group", "here", "published", "range"), [
        (label(g.group), f"{g.ours:.0f} %", ", ".join(f"{v:g}" for v in g.published.values()),
         f"{g.low:.0f} to {g.high:.0f} %{'' if g.within else '  outside'}") for g in found.groups])]
    for kind in dict.fromkeys(o.kind for o in found.outsets):
        lines += heading(label(kind))
        lines += bullets((_outset(o) for o in found.outsets if o.kind == kind), 0)
    return "\n".join(lines)


def _outset(outset: Outset) -> str:
    names = ", ".join(f"{label(c)} {percent_of(p)}" for c, p in list(outset.causes.items())[:_NAMED])
    given = f"complaint {outset.complaint}" if outset.complaint else "nothing known"
    return f"{given}: none of the causes {percent_of(outset.none)}, {outset.expected:.1f} at work on average; {names}"


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Columns under their heads: the first to the left, the others to the right."""
    cells = [tuple(head), *map(tuple, rows)]
    wide = [max(len(row[n]) for row in cells) for n in range(len(head))]
    return ["  ".join([row[0].ljust(wide[0]), *(c.rjust(w) for c, w in zip(row[1:], wide[1:], strict=True))]).rstrip()
            for row in cells]


def percent_of(share: float | None) -> str:
    return "-" if share is None else f"{100 * share:.0f} %"


def _odds(log_odds: float) -> str:
    odds = math.exp(log_odds)
    return f"{odds:.1f}" if odds < 10 else f"{odds:.0f}"
