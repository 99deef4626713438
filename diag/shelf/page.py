"""The shelf on 80 columns: which grease to take from it, what to ask, what to leave unheard."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diag.case.model import Case
from diag.findings import Compatibility, Findings
from diag.knowledgebase import Knowledge
from diag.remedy.conflicts import collisions
from diag.remedy.needs.duty import Duty
from diag.report import terminal
from diag.report.figures import System, value_words
from diag.report.layout import bullets, heading, paragraph
from diag.report.parts.changeover import verdict_words
from diag.report.parts.grease import property_name
from diag.report.worded import worded
from diag.shelf.judge import in_service_serves, usual_of
from diag.shelf.model import Result, ShelfSheet
from diag.wordtext import joined

__all__ = ["page"]


def page(shelf: Sequence[ShelfSheet], case: Case, found: Findings, knowledge: Knowledge, system: System) -> str:
    """The whole page, the best sheet first."""
    shelf, found = worded((shelf, found), system)
    lines = [terminal.title(case), "", *paragraph(_headline(shelf))]
    lines += bullets(_first(case, found, knowledge))
    if not any(sheet.meets for sheet in shelf):
        lines += _why_none(shelf, case, found, knowledge, system)
    for place, sheet in enumerate(shelf, 1):
        lines += heading(f"{place}. {sheet.sheet}") + _sheet(sheet, system, not _restricted(case, found))
    return "\n".join(lines)


def _headline(shelf: Sequence[ShelfSheet]) -> str:
    fits = [s.sheet for s in shelf if s.meets]
    open_ones = [s.sheet for s in shelf if not s.meets and not _failing(s)]
    said = [f"{_listed(fits)} {_verb(fits, 'meets', 'meet')} every must of this point." if fits else
            "No grease here fits as it is stated."]
    if open_ones:
        said.append(f"{_listed(open_ones)} {_verb(open_ones, 'falls', 'fall')} short of nothing stated, but the "
                    "supplier has to answer first.")
    return " ".join([*said, "Best first: fit minus the cost of changing over."])


def _listed(names: Sequence[str]) -> str:
    return joined(names) if len(names) <= 4 else f"{joined(names[:3])} and {len(names) - 3} more"


def _verb(names: Sequence[str], one: str, many: str) -> str:
    return one if len(names) == 1 else many


def _failing(sheet: ShelfSheet) -> list[Result]:
    return [r for r in sheet.results if r.verdict == "falls_short" and r.strength == "must"]


def _first(case: Case, found: Findings, knowledge: Knowledge) -> Iterator[str]:
    """What stands before any choice of grease."""
    if _restricted(case, found):
        yield "This duty has an approved programme, and that decides: the list compares, it chooses nothing."
    if found.urgency.level == "stop_now":
        yield "First stop the machine (see diag review); the grease comes after that."
    if found.changeover.repair_first or found.not_the_grease:
        yield "First mend what is wrong with the machine: no grease from the shelf cures it."
    if in_service_serves(case, found, knowledge):
        yield "The grease in service meets every must: it stays."


def _restricted(case: Case, found: Findings) -> bool:
    """Duty under an approved programme: no switch from here."""
    held = any(c.id == "restricted_duty" and c.holds for c in found.circumstances)
    return held or case.point.safety_critical is True


def _why_none(shelf: Sequence[ShelfSheet], case: Case, found: Findings, knowledge: Knowledge,
              system: System) -> list[str]:
    """The musts that fail and on which sheets, those that pull apart here, and those that collide anywhere."""
    lines = ["", "What they fail on:", *bullets(_failures(shelf, system)), *bullets(_pulling_apart(shelf, system))]
    computed, circumstances = {c.id: c for c in found.computed}, {c.id: c for c in found.circumstances}
    duty = Duty(case=case, computed=computed, circumstances=circumstances, knowledge=knowledge,
                usual=usual_of(case, found), usual_words="usual")
    collide = worded(collisions(duty, found.spec.requirements), system)
    return lines + (["What no grease can do:", *bullets(collide)] if collide else [])


def _musts(shelf: Sequence[ShelfSheet]) -> list[int]:
    """Places of the musts; every sheet has its results in the order of the specification."""
    return [place for place, result in enumerate(shelf[0].results) if result.strength == "must"]


def _failures(shelf: Sequence[ShelfSheet], system: System) -> Iterator[str]:
    for place in _musts(shelf):
        short = [s.sheet for s in shelf if s.results[place].verdict == "falls_short"]
        silent = [s.sheet for s in shelf if s.results[place].verdict == "not_stated"]
        said = [f"short on {_listed(short)}"] if short else []
        said += [f"not stated on {_listed(silent)}"] if silent else []
        if said:
            wanted = shelf[0].results[place]
            yield f"{property_name(wanted.property, system)} ({wanted.wanted}): {'; '.join(said)}"


def _pulling_apart(shelf: Sequence[ShelfSheet], system: System) -> Iterator[str]:
    """Two musts that are met here, but never by one sheet."""
    met = {place: {s.sheet for s in shelf if s.results[place].verdict == "meets"} for place in _musts(shelf)}
    for one in met:
        for other in met:
            if one < other and met[one] and met[other] and not met[one] & met[other]:
                names = [property_name(shelf[0].results[place].property, system) for place in (one, other)]
                first, second = sorted(met[one]), sorted(met[other])
                yield (f"{names[0]} and {names[1]} pull apart on this shelf: {_listed(first)} "
                       f"{_verb(first, 'meets', 'meet')} the first, {_listed(second)} the second")


def _sheet(sheet: ShelfSheet, system: System, may_switch: bool) -> list[str]:
    lines = paragraph(_verdict(sheet))
    short = [f"{property_name(r.property, system)}: {r.stated}; wanted: {r.wanted} ({r.strength})"
             for r in sheet.results if r.verdict == "falls_short"]
    # A grease that falls short is not worth a question.
    asks = [] if _failing(sheet) else [r.ask for r in sheet.results if r.ask]
    failing = {r.property for r in sheet.results if r.verdict != "meets"}
    met = [property_name(r.property, system) for r in sheet.results if r.property not in failing]
    lines += ["Falls short:", *bullets(short)] if short else []
    lines += ["Not stated; ask the supplier:", *bullets(dict.fromkeys(asks))] if asks else []
    lines += paragraph(f"Meets: {joined(list(dict.fromkeys(met)))}.") if met else []
    lines += paragraph(_changing(sheet)) if may_switch else []
    lines += ["Leave unheard:", *bullets(f"'{c.words}': {c.why}" for c in sheet.claims)] if sheet.claims else []
    read = [f"{property_name(u.property, system)}: {value_words(u.value, u.unit, system)}, from '{u.words}'"
            for u in sheet.understood]
    return lines + (["Understood:", *bullets(read)] if read else ["Nothing on it was understood as a property."])


def _verdict(sheet: ShelfSheet) -> str:
    failing = len(_failing(sheet))
    if sheet.meets:
        return "Meets every must."
    if not failing:
        return "Not proven: nothing stated speaks against it, but a must is not stated."
    return f"Does not fit: short on {failing} must{'s' if failing > 1 else ''}."


def _changing(sheet: ShelfSheet) -> str:
    change = sheet.changing
    if change.strip:
        return f"Changing to it: strip and clean, never purge: {change.strip}."
    return f"Changing to it: {verdict_words(Compatibility(verdict=change.compatibility, tables=()))}"
