"""The case: what is known of a point, its grease, its history and what was seen.

Every value is optional; `None` means unknown. Quantities are plain floats in the unit named beside the
field: °C, mm, rpm, mm²/s, N, g, h, MPa, m/s. The field metadata drives the reader and the writer, so that
a key, its unit and its legal words stand in one place only.
"""

# ruff: noqa: RUF009  the field helpers below return dataclass fields, not shared defaults

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

__all__ = [
    "DEGREES", "Bearing", "Case", "Costs", "Degree", "FeedLine", "Grease", "History", "Identity",
    "Load", "Manual", "Pin", "Point", "Regreasing", "Seal", "Slide", "Surroundings", "Swing",
]

Degree = Literal["yes", "probably", "unknown", "probably_not", "no"]
DEGREES: tuple[Degree, ...] = ("yes", "probably", "unknown", "probably_not", "no")
Kind = Literal["rolling_bearing", "pin_bushing", "slideway"]

KINDS = ("rolling_bearing", "pin_bushing", "slideway")
THICKENERS = ("lithium", "lithium_complex", "calcium", "calcium_anhydrous", "calcium_complex",
              "calcium_sulfonate", "aluminium", "aluminium_complex", "sodium", "barium_complex", "clay",
              "polyurea", "polyurea_conventional", "silica", "ptfe", "other")
BASE_OILS = ("mineral", "naphthenic", "pao", "ester", "pag", "silicone", "pfpe", "vegetable", "other")
ADDITIVES = ("ep", "moly", "graphite", "ptfe", "tackifier", "rust_inhibitor", "antioxidant", "anti_wear",
             "zinc", "copper")
NLGI_GRADES = ("000", "00", "0", "1", "2", "3", "4", "5", "6")
BEARING_TYPES = ("deep_groove_ball", "angular_contact_ball", "self_aligning_ball", "cylindrical_roller",
                 "spherical_roller", "tapered_roller", "needle_roller", "thrust_ball", "thrust_roller")
EXPOSURES = ("dust", "splash", "wash_down", "submerged", "steam", "radiant_heat", "chemicals", "vibration",
             "outdoors", "electric_current", "food_contact", "oxygen", "explosive_atmosphere",
             "drinking_water")


def text() -> Any:
    """Free text, kept as typed."""
    return field(default=None, metadata={"as": "text"})


def quantity(dimension: str, *, over: float | None = None, least: float | None = None,
             most: float | None = None, at: float = 40.0) -> Any:
    """A number with a unit of `dimension`; `over` is an open lower bound, `least`/`most` closed ones.

    `at` [°C] is the temperature at which a viscosity is wanted.
    """
    return field(default=None, metadata={"as": "quantity", "dimension": dimension, "over": over,
                                         "least": least, "most": most, "at": at})


def temperature() -> Any:
    """A temperature [°C] that a lubricated point can have; beyond it a digit or the unit is wrong."""
    return quantity("temperature", most=600)


def money() -> Any:
    """A sum in the currency of the case; beyond a million millions a digit or the currency is wrong."""
    return quantity("number", least=0, most=1e12)


def word(*legal: str, synonyms: str = "") -> Any:
    """One word of a closed set; `synonyms` names its group in knowledge/synonyms.yaml."""
    return field(default=None, metadata={"as": "word", "legal": legal, "synonyms": synonyms})


def kind_word() -> Any:
    """The kind of point: empty only in a case that is still being asked for; the reader demands it."""
    return field(default="", metadata={"as": "word", "legal": KINDS, "synonyms": "kind"})


def words(*legal: str, synonyms: str = "") -> Any:
    """A list of words of a closed set; () when nothing is stated."""
    return field(default=(), metadata={"as": "words", "legal": legal, "synonyms": synonyms})


def flag() -> Any:
    """yes or no."""
    return field(default=None, metadata={"as": "flag"})


def part(cls: type) -> Any:
    """A nested mapping; an empty part when absent."""
    return field(default_factory=cls, metadata={"as": "part", "class": cls})


def table(what: str) -> Any:
    """A mapping with ids of the knowledge as keys: `degrees` or `readings`."""
    return field(default_factory=dict, metadata={"as": what})


def aside(empty: type) -> Any:
    """What the reader notes beside the case: no key of the file, and no part of two cases being equal."""
    return field(default_factory=empty, compare=False, repr=False, metadata={"as": "aside"})


@dataclass(frozen=True, slots=True)
class Identity:
    id: str | None = text()
    site: str | None = text()
    machine: str | None = text()
    point: str | None = text()
    at: str | None = text()


@dataclass(frozen=True, slots=True)
class Bearing:
    type: str | None = word(*BEARING_TYPES, synonyms="bearing_type")
    bore: float | None = quantity("length", over=0)
    outside: float | None = quantity("length", over=0)
    width: float | None = quantity("length", over=0)
    dynamic_rating: float | None = quantity("force", over=0)
    static_rating: float | None = quantity("force", over=0)
    fatigue_load_limit: float | None = quantity("force", over=0)
    sealing: str | None = word("open", "shielded", "sealed")
    clearance: str | None = text()
    fit: str | None = text()
    cage: str | None = word("steel", "brass", "polymer")
    turning_ring: str | None = word("inner", "outer")


@dataclass(frozen=True, slots=True)
class Pin:
    diameter: float | None = quantity("length", over=0)
    length: float | None = quantity("length", over=0)
    pin_material: str | None = text()
    bush_material: str | None = text()


@dataclass(frozen=True, slots=True)
class Slide:
    length: float | None = quantity("length", over=0)
    width: float | None = quantity("length", over=0)
    speed: float | None = quantity("linear_speed", least=0)
    pressure: float | None = quantity("pressure", least=0)


@dataclass(frozen=True, slots=True)
class Seal:
    type: str | None = text()
    material: str | None = word("nbr", "hnbr", "fkm", "epdm", "acm", "silicone", "ptfe", "polyurethane",
                                "natural_rubber", "cr", "felt", "metal", "other", synonyms="seal_material")


@dataclass(frozen=True, slots=True)
class Swing:
    angle: float | None = quantity("angle", over=0, most=360)  # degrees, total from end to end
    rate: float | None = quantity("rate", least=0)  # full cycles per minute


@dataclass(frozen=True, slots=True)
class Load:
    force: float | None = quantity("force", least=0)
    level: str | None = word("light", "normal", "heavy", "shock")


@dataclass(frozen=True, slots=True)
class Surroundings:
    coldest: float | None = temperature()
    hottest: float | None = temperature()


@dataclass(frozen=True, slots=True)
class FeedLine:
    length: float | None = quantity("length", over=0)
    bore: float | None = quantity("length", over=0)


@dataclass(frozen=True, slots=True)
class ManualRegreasing:
    amount: float | None = quantity("mass", over=0)
    every: float | None = quantity("time", over=0)


@dataclass(frozen=True, slots=True)
class Manual:
    thickener: str | None = word(*THICKENERS, synonyms="thickener")
    nlgi: str | None = word(*NLGI_GRADES, synonyms="nlgi")
    viscosity_40: float | None = quantity("viscosity", over=0)
    lowest_temperature: float | None = temperature()
    highest_temperature: float | None = temperature()
    additives: tuple[str, ...] = words(*ADDITIVES, synonyms="additive")
    regreasing: ManualRegreasing = part(ManualRegreasing)
    code: str | None = text()


@dataclass(frozen=True, slots=True)
class Point:
    kind: Kind = kind_word()
    bearing: Bearing = part(Bearing)
    pin: Pin = part(Pin)
    slide: Slide = part(Slide)
    seal: Seal = part(Seal)
    speed: float | None = quantity("speed", least=0, most=500_000)
    swing: Swing = part(Swing)
    load: Load = part(Load)
    running_temperature: float | None = temperature()
    usual_temperature: float | None = temperature()
    measured_at: str | None = word("ring", "housing", "grease")
    surroundings: Surroundings = part(Surroundings)
    shaft: str | None = word("horizontal", "inclined", "vertical")
    exposure: tuple[str, ...] = words(*EXPOSURES, synonyms="exposure")
    safety_critical: bool | None = flag()
    duty: tuple[str, ...] = words("continuous", "intermittent", "standby", "oscillating", "seasonal")
    drive: str | None = word("direct", "belt", "inverter")
    feed: str | None = word("hand_gun", "lubricator", "central_system", "hand_packed", "sealed_for_life",
                            synonyms="feed")
    feed_line: FeedLine = part(FeedLine)
    drain: str | None = word("open", "closed", "none")
    manual: Manual = part(Manual)


@dataclass(frozen=True, slots=True)
class Grease:
    thickener: str | None = word(*THICKENERS, synonyms="thickener")
    base_oil: str | None = word(*BASE_OILS, synonyms="base_oil")
    viscosity_40: float | None = quantity("viscosity", over=0)
    viscosity_100: float | None = quantity("viscosity", over=0, at=100.0)
    viscosity_index: float | None = quantity("number", least=-100, most=500)
    nlgi: str | None = word(*NLGI_GRADES, synonyms="nlgi")
    dropping_point: float | None = temperature()
    lowest_temperature: float | None = temperature()
    highest_temperature: float | None = temperature()
    speed_factor: float | None = quantity("number", over=0)
    additives: tuple[str, ...] = words(*ADDITIVES, synonyms="additive")
    water_washout: float | None = quantity("percent", least=0, most=100)
    four_ball_weld: float | None = quantity("force", over=0)
    colour: str | None = text()
    code: str | None = text()


@dataclass(frozen=True, slots=True)
class Regreasing:
    amount: float | None = quantity("mass", over=0)
    every: float | None = quantity("time", over=0)
    since_last: float | None = quantity("time", least=0)
    strokes: float | None = quantity("number", over=0)
    grams_per_stroke: float | None = quantity("mass", over=0)


@dataclass(frozen=True, slots=True)
class History:
    onset: str | None = word("sudden", "hours", "days", "weeks", "since_start")
    first_noticed: str | None = field(default=None, metadata={"as": "sign"})
    since: tuple[str, ...] = words("regreasing", "changeover", "bearing_change", "overhaul", "wash_down",
                                   "long_stop", "welding_or_drive_work", "process_change")
    running_hours: float | None = quantity("time", least=0)
    earlier_failures: float | None = quantity("number", least=0)
    sister_point: str | None = word("same", "better", "worse")


@dataclass(frozen=True, slots=True)
class Costs:
    currency: str | None = text()
    downtime_per_hour: float | None = money()
    labour_per_hour: float | None = money()
    bearing: float | None = money()
    grease_per_kg: float | None = money()
    repeat_failure: float | None = money()


@dataclass(frozen=True, slots=True)
class Case:
    case: Identity = part(Identity)
    title: str | None = text()
    complaint: str | None = word("hot", "noisy", "leaking", "stiff", "loose", "failed", "planning")
    point: Point = part(Point)
    grease: Grease = part(Grease)
    earlier_grease: Grease = part(Grease)
    regreasing: Regreasing = part(Regreasing)
    history: History = part(History)
    seen: dict[str, Degree] = table("degrees")
    said: str | None = text()
    measured: dict[str, float] = table("readings")
    lab: dict[str, float] = table("readings")
    costs: Costs = part(Costs)
    assumed: tuple[str, ...] = aside(tuple)  # what the reader assumed to get a value
    reading_dimensions: dict[str, str] = aside(dict)  # of the keys of `measured` and `lab`, for the writer
