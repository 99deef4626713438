"""May two greases meet in one bearing? Every chart with its own verdict, the worst by default.

Charts copy one another, ignore oil and additives, and contradict each other; there is no field test. Only a
laboratory test of the two products (ASTM D6185) settles it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product

from diag.case.model import Grease
from diag.findings import Compatibility, TableVerdict, Verdict
from diag.knowledgebase import Knowledge
from diag.knowledgebase.greases import CompatibilityTable
from diag.wordtext import label

__all__ = ["explain", "judge", "must_strip", "oil_of"]

_RANK: dict[Verdict, int] = {"same": 0, "compatible": 1, "borderline": 2, "incompatible": 3}
_LETTERS: dict[str, Verdict] = {"C": "compatible", "X": "compatible", "B": "borderline", "I": "incompatible",
                                "U": "unknown"}
# Clay and polyurea mixtures collapse or set in most charts, and cake does not purge: never across by purging.
_NEVER_PURGED = frozenset({"clay"}), frozenset({"polyurea", "polyurea_conventional"})
# These thickeners come with oils of their own; without the oil stated nothing is known of it.
_OIL_OF_THICKENER = {"ptfe": "pfpe"}
_OIL_OPEN = ("silica",)


def judge(old: Grease, new: Grease, knowledge: Knowledge) -> Compatibility:
    """What each published chart says of the pair, what the oils say, and the worst of it.

    `unknown` when either thickener isn't known or no chart lists the pair: treat it as incompatible.
    `same` only for the same thickener in the same oil; a family that need not suit itself is borderline.
    """
    tables = tuple(_chart_verdicts(old, new, knowledge))
    own = tuple(_with_itself(old, new, knowledge))
    return Compatibility(verdict=_overall(old, new, tables, own), tables=tables + own)


def must_strip(old: Grease, new: Grease, knowledge: Knowledge) -> str | None:
    """Why purging can't serve between the two and the old grease has to come out; None when it can serve."""
    oils = oil_of(old), oil_of(new)
    for oil in oils:
        if oil is not None and oils[0] != oils[1] and knowledge.base_oils[oil].mixes_with_no_other:
            name = knowledge.base_oils[oil].name
            return f"{name} mixes with no other oil: every trace has to come off first"
    thickeners = old.thickener, new.thickener
    if any(a in _NEVER_PURGED[0] and b in _NEVER_PURGED[1] for a, b in (thickeners, thickeners[::-1])):
        return "clay and polyurea are never changed by purging: the mixture can collapse or set hard"
    verdict = judge(old, new, knowledge).verdict
    if verdict == "unknown":
        return f"{_who_is_unknown(old, new)}: it counts as incompatible"
    if verdict == "incompatible":
        return f"{_name(old)} and {_name(new)} are incompatible by the worst chart"
    return None


def explain(old: Grease, new: Grease, found: Compatibility, knowledge: Knowledge) -> tuple[str, ...]:
    """The verdict in sentences: the worst case, who disagrees, what is assumed, and how to settle it."""
    return (f"{_name(old)} and {_name(new)}: {found.verdict}", *_reasons(old, new, found, knowledge),
            *_disagreement(found, knowledge), *_assumed(old, new), *_settle(found, knowledge))


def oil_of(grease: Grease) -> str | None:
    """The base oil, where it is stated or the thickener leaves no other; None when not known."""
    if grease.base_oil is not None and grease.base_oil != "other":
        return grease.base_oil
    return _OIL_OF_THICKENER.get(grease.thickener or "") if grease.base_oil is None else None


def _known(grease: Grease) -> bool:
    """A grease is known by its thickener; `other` names none, and some thickeners need their oil stated."""
    if grease.thickener is None or grease.thickener == "other" or grease.base_oil == "other":
        return False
    return not (grease.thickener in _OIL_OPEN and grease.base_oil is None)


def _oil_taken(grease: Grease) -> str | None:
    """The oil, or the usual one of a known thickener: without another word it is mineral oil."""
    return oil_of(grease) or ("mineral" if _known(grease) else None)


def _overall(old: Grease, new: Grease, tables: tuple[TableVerdict, ...],
             own: tuple[TableVerdict, ...]) -> Verdict:
    """The worst that was said; of unknown greases, and of a pair no chart lists, nothing is concluded."""
    spoken = [t.verdict for t in tables + own if t.verdict != "unknown"]
    worst = max(spoken, key=lambda v: _RANK[v], default=None)
    if worst == "incompatible":
        return worst
    if not (_known(old) and _known(new)):
        return "unknown"
    if old.thickener == new.thickener:
        if worst == "borderline":
            return worst
        return "same" if oil_of(old) == oil_of(new) else "compatible"
    listed = any(t.verdict != "unknown" and not t.table.startswith("base_oils") for t in tables)
    return worst if worst is not None and listed else "unknown"


def _chart_verdicts(old: Grease, new: Grease, knowledge: Knowledge) -> Iterator[TableVerdict]:
    pairs = {"thickener": (old.thickener, new.thickener), "base_oil": (_oil_taken(old), _oil_taken(new))}
    for chart in knowledge.compatibility.values():
        verdict, words = _look_up(chart, *pairs[chart.of])
        words = _taken(old, new, pairs["base_oil"]) + words if chart.of == "base_oil" else words
        yield TableVerdict(table=chart.id, verdict=verdict, confidence=chart.confidence,
                           words=f"{_cite(chart)}: {words}")


def _taken(old: Grease, new: Grease, oils: tuple[str | None, str | None]) -> str:
    """Which oil was taken for mineral since it isn't stated."""
    if None in oils:
        return ""
    open_ = [which for which, g in (("old", old), ("new", new)) if oil_of(g) is None]
    if len(open_) == 2:
        return "neither oil is stated, so both are taken as mineral: "
    return f"the {open_[0]} oil is not stated, so it is taken as mineral: " if open_ else ""


def _look_up(chart: CompatibilityTable, old: str | None, new: str | None) -> tuple[Verdict, str]:
    """The worst of the chart's cells for the pair, in words."""
    what = "thickener" if chart.of == "thickener" else "base oil"
    if old is None or new is None:
        return "unknown", f"says nothing, since a {what} is not stated"
    if chart.of == "base_oil" and old == new and old in chart.words:
        return "compatible", f"{old} oil in both, compatible"
    missing = [word for word in dict.fromkeys((old, new)) if word not in chart.words]
    if missing:
        return "unknown", f"does not list {' or '.join(w.replace('_', ' ') for w in missing)}"
    rows = chart.words[old], chart.words[new]
    if old != new and set(rows[0]) == set(rows[1]):
        return _one_row(chart, old, new)
    cells = [chart.rows[a][b] for a, b in product(*rows)]
    legible = [_LETTERS[c] for c in cells if c != "U"]
    if not legible:
        return "unknown", "the cell can't be read in the copy seen"
    worst = max(legible, key=lambda v: _RANK[v])
    if chart.of == "base_oil":  # its rows hold several oils: the two asked about are named
        return worst, f"{old} and {new} {worst}"
    pair = " and ".join("/".join(chart.labels[r] for r in side) for side in rows)
    return worst, f"{pair} {worst}"


def _one_row(chart: CompatibilityTable, old: str, new: str) -> tuple[Verdict, str]:
    """Mineral oil and PAO share a row because they mix; two thickeners share one because it isn't precise."""
    if chart.of == "base_oil":
        return "compatible", f"{old} and {new} share a row: compatible"
    return "unknown", f"has one row for {old.replace('_', ' ')} and {new.replace('_', ' ')}"


def _cite(chart: CompatibilityTable) -> str:
    year = f", {chart.year}" if chart.year else ""
    recalled = " (recalled from memory: guidance)" if chart.confidence == "from-memory" else ""
    return f"{chart.title}, {chart.publisher}{year}{recalled}"


def _with_itself(old: Grease, new: Grease, knowledge: Knowledge) -> Iterator[TableVerdict]:
    """A family whose products need not go together: two of its greases are borderline until tested."""
    family = knowledge.thickeners.get(old.thickener or "")
    if family is not None and old.thickener == new.thickener and family.with_itself is not None:
        note = family.with_itself
        yield TableVerdict(table="trade_practice", verdict="borderline", confidence=note.confidence,
                           words=f"{family.name}: {note.text}")


def _reasons(old: Grease, new: Grease, found: Compatibility, knowledge: Knowledge) -> Iterator[str]:
    reason = must_strip(old, new, knowledge)
    if reason is not None:
        yield f"strip and clean, do not purge: {reason}"
    elif found.verdict == "borderline":
        yield ("borderline: push two to three free volumes through over several visits and watch it, or have the pair "
               "tested")
    if found.verdict == "compatible":
        yield "compatible in the charts; additives may clash even so, and mixing thins both greases"
    yield from (t.words for t in found.tables if t.table == "trade_practice")


def _disagreement(found: Compatibility, knowledge: Knowledge) -> Iterator[str]:
    if found.verdict == "same":
        return
    charts = [t for t in found.tables if t.verdict != "unknown" and t.table in knowledge.compatibility
              and knowledge.compatibility[t.table].of == "thickener"]
    verdicts = sorted({t.verdict for t in charts}, key=lambda v: _RANK[v])
    if len(verdicts) > 1:
        groups = "; ".join(
            f"{v} in {_list(knowledge.compatibility[t.table].publisher for t in charts if t.verdict == v)}"
            for v in verdicts)
        yield f"the charts disagree: {groups}. The worst counts"
    if charts and all(t.confidence == "from-memory" for t in charts):
        yield "only charts recalled from memory list this pair: take it as guidance"
    copies = {"nlgi_1982_paper", "bearing_maker_chart_a"}
    if copies <= {t.table for t in charts}:
        yield "chart A repeats the 1982 chart wherever both speak: count the two as one voice"


def _list(names: Iterable[str]) -> str:
    return ", ".join(names)


def _assumed(old: Grease, new: Grease) -> Iterator[str]:
    open_ = [which for which, g in (("old", old), ("new", new)) if _known(g) and oil_of(g) is None]
    if len(open_) == 2:
        yield "neither grease's oil is stated: both are taken as mineral oil; ask the suppliers"
    elif open_:
        yield f"the {open_[0]} grease's oil is not stated: it is taken as mineral oil; ask the supplier"


def _settle(found: Compatibility, knowledge: Knowledge) -> Iterator[str]:
    if found.verdict == "same":
        return
    method = knowledge.standard("d6185")
    mixtures = ", ".join(method["ratios"]["value"])
    tests = "; ".join(test["text"] for test in method["tests"].values())
    yield f"ASTM D6185 settles it, for these two products as made: mixtures {mixtures}; {tests}"
    yield from (f"samples: {sample['text']}" for sample in method["samples"])


def _who_is_unknown(old: Grease, new: Grease) -> str:
    if not _known(old):
        return "the old grease is not known"
    return "the new grease is not known" if not _known(new) else "no chart lists this pair"


def _name(grease: Grease) -> str:
    thickener = label(grease.thickener or "unknown grease")
    oil = oil_of(grease)
    return f"{thickener} in {oil} oil" if oil else thickener
