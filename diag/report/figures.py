"""Numbers of the findings in the units a person wants to read."""

from __future__ import annotations

from diag import units
from diag.wordtext import joined, label

__all__ = ["System", "duration", "figure", "value_words"]

System = units.System

# The findings carry fixed metric units; the unit names the dimension.
_DIMENSIONS = {
    "°C": "temperature",
    "K": "temperature_difference",
    "mm": "length",
    "degC": "temperature",
    "mm²/s": "viscosity",
    "mm2/s": "viscosity",
    "rpm": "speed",
    "1/min": "rate",
    "m/s": "linear_speed",
    "N": "force",
    "g": "mass",
    "h": "time",
    "MPa": "pressure",
    "MPa m/s": "pressure_velocity",
    "W": "power",
    "%": "percent",
    "mm/s": "velocity",
    "V": "voltage",
    "dB": "level",
}


def figure(value: float, unit: str, system: System) -> str:
    """`value` [`unit`, one of the findings' fixed units] as text in the wanted system."""
    dimension = _DIMENSIONS.get(unit)
    if dimension is None:
        number = f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"
        return f"{number} {unit}".rstrip()
    return units.show(value, dimension, system)


def duration(hours: float) -> str:
    """A time [h] as one says it: minutes under 1 h, hours under two days, then days."""
    if hours < 1:
        return f"{60 * hours:.0f} minutes"
    if hours < 1.5:
        return "an hour"
    if hours < 48:
        return f"{hours:.0f} hours"
    return f"{hours / 24:.0f} days"


def value_words(value: object, unit: str, system: System) -> str:
    """A requirement's value in words: number, range or list of closed words."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return figure(float(value), unit, system)
    if isinstance(value, list | tuple):
        return joined([value_words(part, unit, system) for part in value], "or")
    return label(str(value)) if value is not None else ""
