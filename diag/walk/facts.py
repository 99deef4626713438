"""The facts of a point that the walk asks for, each with the case it matters in.

Words, units and bounds are those of the case structures; here stand only the wording and the order.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace
from typing import Any

from diag.case.model import Case

__all__ = ["COMPLAINT", "HOT", "KIND", "PLAN", "SINCE_LAST", "TELLING", "USUAL", "Fact", "legal_words", "value_at"]

When = Callable[[Case], bool]


def _always(_: Case) -> bool:
    return True


def _runs(case: Case) -> bool:
    return case.complaint not in ("failed", "planning")


def _trouble(case: Case) -> bool:
    return case.complaint != "planning"


def _rolling(case: Case) -> bool:
    return case.point.kind == "rolling_bearing"


def _pin(case: Case) -> bool:
    return case.point.kind == "pin_bushing"


def _slide(case: Case) -> bool:
    return case.point.kind == "slideway"


def _fed(case: Case) -> bool:
    return case.point.bearing.sealing != "sealed" and case.point.feed != "sealed_for_life"


def _turns(case: Case) -> bool:
    return _rolling(case) or (_pin(case) and case.point.swing.angle is None)


@dataclass(frozen=True, slots=True)
class Fact:
    """One key of the case: how it is asked, why, and when."""

    path: str
    text: str
    why: str
    example: str = ""
    when: When = _always
    labels: dict[str, str] = field(default_factory=dict)  # closed word → wording, where the word isn't enough
    decides: tuple[str, ...] = ()  # circumstances that it can decide by itself

    @property
    def id(self) -> str:
        return f"fact:{self.path}"


KIND = Fact(
    "point.kind",
    "What is it that the grease is in?",
    "Rolling bearings, pins and slides fail in different ways and need different grease.",
    labels={
        "rolling_bearing": "a rolling bearing (balls or rollers)",
        "pin_bushing": "a pin, bush or plain bearing",
        "slideway": "a slide, way or guide",
    },
)
COMPLAINT = Fact(
    "complaint",
    "What brings you here?",
    "It decides which questions come first.",
    labels={
        "hot": "it runs hot",
        "noisy": "it is noisy or shakes",
        "leaking": "it leaks or throws grease",
        "stiff": "it is stiff",
        "loose": "it is loose or worn",
        "failed": "it has failed; the part is on the bench",
        "planning": "nothing is wrong: I am planning a grease or a change",
    },
)
HOT = Fact(
    "point.running_temperature",
    "How hot is it now, on the housing close to the bearing?",
    "Heat decides first whether it may keep turning. A hand can't tell: use a thermometer.",
    "85 degC or 185 F",
    when=_runs,
)
USUAL = Fact(
    "point.usual_temperature",
    "How hot is it when all is well?",
    "The point's own usual heat is the best yardstick; the grease is sized by it, not by a fault's heat.",
    "62 degC or 145 F",
    when=lambda case: case.point.running_temperature is not None,
)
_GREASED = {"regreasing", "changeover", "bearing_change", "overhaul"}


def _greasing_tells(case: Case) -> bool:
    """Of a hot point it decides whether to wait and whether grease may go in at all."""
    return case.complaint == "hot" or bool(_GREASED & set(case.history.since))


SINCE_LAST = Fact(
    "regreasing.since_last",
    "How long ago was it last greased?",
    "Heat soon after greasing is read differently from heat after months.",
    "3 h, 2 days, 6 weeks",
    when=lambda case: _fed(case) and _runs(case) and _greasing_tells(case),
)
# Asked where knowing it is worth the asking (`inference.policy`).
TELLING = (
    Fact(
        "history.onset",
        "How did it begin?",
        "A sudden start and a slow one have different causes.",
        when=_trouble,
        labels={
            "sudden": "all at once",
            "hours": "within hours",
            "days": "over days",
            "weeks": "over weeks or longer",
            "since_start": "it was so from the first day",
        },
        decides=("greased_within_a_day", "onset_sudden", "trouble_since_start"),
    ),
    Fact(
        "history.since",
        "Which of these came shortly before?",
        "Most trouble starts with something that was changed.",
        when=_trouble,
        labels={
            "regreasing": "it was greased",
            "changeover": "another grease was put in",
            "bearing_change": "bearing or pin was changed",
            "overhaul": "the machine was overhauled",
            "wash_down": "it was washed down",
            "long_stop": "it stood still for long",
            "welding_or_drive_work": "welding, or work on motor or drive",
            "process_change": "load, speed or process was changed",
        },
        decides=(
            "changeover_recent",
            "since_bearing_change",
            "since_long_stop",
            "since_process_change",
            "since_regreasing",
            "since_wash_down",
            "since_welding_or_drive_work",
        ),
    ),
    Fact(
        "earlier_grease.thickener",
        "Which kind of grease was in there before the change?",
        "Some greases ruin each other where they meet. The data sheet or drum names the thickener.",
        when=lambda case: "changeover" in case.history.since,
        decides=("greases_incompatible",),
    ),
    Fact(
        "grease.thickener",
        "Which kind of grease is in there now?",
        "The thickener decides heat limit, water resistance and what may meet it. See drum or data sheet.",
        decides=("greases_incompatible", "shear_prone_grease", "water_soluble_grease"),
    ),
    replace(SINCE_LAST, when=_fed, decides=("greased_within_a_day",)),
    Fact(
        "point.swing.angle",
        "How far does it swing, end to end?",
        "A pin that swings a little wears in another way than one that turns.",
        "40 deg",
        when=_pin,
        decides=("short_stroke",),
    ),
    Fact(
        "point.load.level",
        "How is it loaded?",
        "Load decides film, EP and moly.",
        labels={
            "light": "lightly",
            "normal": "normally for its size",
            "heavy": "heavily",
            "shock": "with shocks",
        },
        decides=("heavy_load", "light_load", "shock_load"),
    ),
    Fact(
        "point.exposure",
        "What is it exposed to?",
        "Water, dirt, heat and current each have their own signs and cures.",
        labels={
            "wash_down": "wash-down",
            "electric_current": "electric current (welding, inverter, no earth brush)",
            "radiant_heat": "heat from outside",
        },
        decides=(
            "chemical_exposure",
            "current_exposure",
            "dusty_exposure",
            "radiant_heat_exposure",
            "vibration_exposure",
            "wash_down_exposure",
            "wet_exposure",
        ),
    ),
    Fact(
        "grease.nlgi",
        "How stiff is the grease, its NLGI grade?",
        "2 is the usual grade.",
        decides=("soft_grade", "stiff_grade"),
    ),
    Fact(
        "point.feed",
        "How does grease get to it?",
        "Lines and lubricators fail in their own ways; a sealed bearing gets no fresh grease.",
        decides=("automatic_feed", "sealed_for_life"),
    ),
    Fact(
        "point.bearing.sealing",
        "Is the bearing open, shielded or sealed?",
        "A sealed bearing can't be greased or purged, a shielded one only slowly.",
        when=_rolling,
        decides=("sealed_for_life", "shielded_bearing"),
    ),
    Fact(
        "point.drain",
        "Where the old grease comes out: is there a drain, and is it open?",
        "Grease that can't leave is churned and heats up.",
        when=lambda case: _rolling(case) and _fed(case),
        labels={
            "open": "there is a drain and it is open",
            "closed": "there is a drain, closed or blocked",
            "none": "there is none",
        },
        decides=("drain_closed_or_none",),
    ),
    Fact(
        "point.drive",
        "How is it driven?",
        "Belts pull, inverters pass current.",
        when=_rolling,
        decides=("belt_drive", "current_possible", "inverter_drive"),
    ),
)
# What grease, dose and interval are computed from.
_FOR_THE_GREASE = (
    "point.bearing.sealing", "grease.thickener", "grease.nlgi", "point.load.level", "point.exposure",
    "point.swing.angle",
)  # fmt: skip
PLAN = (
    replace(USUAL, when=_always),
    *(fact for fact in TELLING if fact.path in _FOR_THE_GREASE),
    Fact(
        "point.speed",
        "How fast does it turn?",
        "Speed decides oil thickness, dose and interval.",
        "1450 rpm",
        when=_turns,
    ),
    Fact(
        "point.swing.rate",
        "How many full swings a minute?",
        "It gives the sliding speed.",
        "6 1/min",
        when=lambda case: _pin(case) and case.point.swing.angle is not None,
    ),
    Fact(
        "point.slide.speed",
        "How fast does it slide?",
        "It decides how stiff and tacky the grease may be.",
        "0.2 m/s",
        when=_slide,
    ),
    Fact(
        "point.bearing.type",
        "Which kind of bearing is it?",
        "Ball and roller bearings take other doses and oil.",
        when=_rolling,
    ),
    Fact(
        "point.bearing.bore",
        "Bore of the bearing?",
        "The size gives speed factor and dose.",
        "60 mm or 2.36 in",
        when=_rolling,
    ),
    Fact(
        "point.bearing.outside",
        "Outside diameter?",
        "The size gives speed factor and dose.",
        "110 mm",
        when=_rolling,
    ),
    Fact(
        "point.bearing.width",
        "Width?",
        "Outside diameter times width gives the dose.",
        "22 mm",
        when=_rolling,
    ),
    Fact(
        "point.pin.diameter",
        "Diameter of the pin?",
        "It gives pressure, sliding speed and dose.",
        "50 mm",
        when=_pin,
    ),
    Fact("point.pin.length", "Length of the bush?", "It gives pressure and dose.", "60 mm", when=_pin),
    Fact(
        "point.slide.length",
        "Length of the sliding face?",
        "It gives pressure and dose.",
        "400 mm",
        when=_slide,
    ),
    Fact("point.slide.width", "Width of the sliding face?", "It gives pressure and dose.", "80 mm", when=_slide),
    Fact("point.shaft", "How does the shaft lie?", "On a vertical shaft the grease sinks.", when=_rolling),
    Fact(
        "point.surroundings.coldest",
        "How cold does it get around it?",
        "The grease must let it start in the cold.",
        "-10 degC or 14 F",
    ),
    Fact(
        "point.surroundings.hottest",
        "How hot does it get around it?",
        "It bounds the heat the point can shed.",
        "40 degC",
        when=lambda case: case.point.usual_temperature is None,
    ),
    Fact(
        "grease.viscosity_40",
        "Oil viscosity at 40 °C of the grease in there?",
        "It is what carries the load; see the data sheet.",
        "150 cSt or VG 150",
    ),
    Fact(
        "regreasing.amount",
        "How much grease at one greasing?",
        "It shows whether the dose fits the size.",
        "20 g or 0.7 oz",
        when=_fed,
    ),
    Fact(
        "regreasing.every",
        "How often?",
        "It shows whether the interval fits speed and heat.",
        "500 h, 4 weeks",
        when=_fed,
    ),
    Fact(
        "point.manual.thickener",
        "Does the machine's manual name a thickener?",
        "The manual comes first; where it differs, both are shown.",
    ),
    Fact(
        "point.manual.viscosity_40",
        "Does it name an oil viscosity at 40 °C?",
        "The manual comes first; where it differs, both are shown.",
        "VG 220",
        when=lambda case: case.point.manual.thickener is not None,
    ),
    Fact(
        "point.safety_critical",
        "Does life hang on it (aircraft, hoist, passengers, pressure, nuclear, oxygen)?",
        "There this program diagnoses only; the approved programme decides the grease.",
    ),
)


def legal_words(path: str) -> tuple[str, tuple[str, ...]]:
    """How the case reads a key (`word`, `words`, `flag`, `quantity`, `text`) and its legal words."""
    owner: Any = Case
    *parents, last = path.split(".")
    for name in parents:
        owner = _metadata(owner, name)["class"]
    known = _metadata(owner, last)
    return known["as"], ("yes", "no") if known["as"] == "flag" else known.get("legal", ())


def _metadata(owner: Any, name: str) -> Any:
    return next(f.metadata for f in fields(owner) if f.name == name)


def value_at(case: Case, path: str) -> Any:
    """The case's value at a dotted key path."""
    value: Any = case
    for name in path.split("."):
        value = getattr(value, name)
    return value
