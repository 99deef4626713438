"""Invented brickworks cases for the tests of the case log, with their findings worked out once."""

from __future__ import annotations

from functools import cache

from diag import knowledgebase
from diag.case import read_text
from diag.case.model import Case
from diag.caselog.store import Store
from diag.findings import Findings
from diag.review import review

# Two greases met at a fan of the invented brickworks: the findings suspect a mix-up.
FAN = """\
# as the technician wrote it: 78 °C, "läuft warm"
case: {site: Rotloh brickworks (invented), machine: Kiln fan, point: drive side}
title: Soft grease creeps out since the yellow tube
complaint: leaking
point: {kind: rolling_bearing, running_temperature: 78 degC, feed: hand_gun}
grease: {thickener: clay, base_oil: mineral}
earlier_grease: {thickener: polyurea, base_oil: mineral}
history: {since: [changeover]}
seen: {soft_grease_creeps_out: "yes", two_colours: "yes", label_differs: "yes"}
"""


def fan(machine: str = "Kiln fan", point: str = "drive side", complaint: str = "leaking") -> str:
    """The case at another point."""
    text = FAN.replace("Kiln fan", machine).replace("drive side", point)
    return text.replace("complaint: leaking", f"complaint: {complaint}")


@cache
def judged(text: str = FAN) -> tuple[Case, Findings]:
    knowledge = knowledgebase.load()
    case = read_text(text, "fan.yaml", knowledge)
    return case, review(case, knowledge)


def add(store: Store, text: str = FAN, notes: tuple[str, ...] = (), work: tuple[str, ...] = ()) -> str:
    return store.add(text, *judged(text), notes, work)
