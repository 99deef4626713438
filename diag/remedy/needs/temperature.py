"""The temperature window, the dropping point and cold flow.

Sized at the usual temperature; a fault temperature never asks for a thicker or hotter grease.
"""

from __future__ import annotations

from collections.abc import Iterator

from diag.findings import Requirement
from diag.remedy.needs.duty import Duty, number, require, source_text

__all__ = ["needs"]


def needs(duty: Duty) -> Iterator[Requirement]:
    """Lowest and highest temperature, dropping point, flow pressure, oxidation stability."""
    yield from _cold(duty)
    yield from _hot(duty)


def _cold(duty: Duty) -> Iterator[Requirement]:
    coldest = duty.case.point.surroundings.coldest
    if coldest is None:
        return
    yield require("lowest_temperature", "max", float(coldest), "must",
                  f"it has to start at {coldest:.0f} °C", "the point's surroundings", "degC")
    if coldest < number(duty, "cold_start_below"):
        yield require("flow_pressure", "max", number(duty, "flow_pressure_most"), "should",
                      f"it must still flow through fitting and line at {coldest:.0f} °C (DIN 51805 at that "
                      "temperature)", source_text(duty, "flow_pressure_most"), "mbar")


def _hot(duty: Duty) -> Iterator[Requirement]:
    if duty.usual is None:
        return
    margin, drop = number(duty, "highest_temperature_margin"), number(duty, "dropping_point_margin")
    surroundings = duty.case.point.surroundings.hottest
    hottest, words = max((duty.usual, duty.usual_words), (surroundings or duty.usual, "hottest surroundings"))
    yield require("highest_temperature", "min", round(hottest + margin), "must",
                  f"{hottest:.0f} °C ({words}) and {margin:.0f} K in hand; a rating far beyond "
                  "this buys nothing", source_text(duty, "highest_temperature_margin"), "degC")
    yield require("dropping_point", "min", round(hottest + drop), "should",
                  f"at least {drop:.0f} K over {hottest:.0f} °C; it is a melting mark, not a working limit",
                  source_text(duty, "dropping_point_margin"), "degC")
    if hottest > number(duty, "hot_duty_over"):
        yield require("oxidation_stability", "is", "good", "should",
                      f"at {hottest:.0f} °C the grease ages fast: ask for the oxidation or grease-life test",
                      source_text(duty, "hot_duty_over"))
