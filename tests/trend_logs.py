"""Simulated temperature logs of an invented dryer fan, whose truth is known: a first-order body by small steps.

    τ·dT/dt = base + heat(t) + surroundings(t) − mean + load effect − T
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd


@dataclass(frozen=True)
class World:
    """Times in h, temperatures in °C; `heat(u)` is the end temperature in K over the base, u hours after the event."""

    heat: Callable[[np.ndarray], np.ndarray] = lambda u: 0 * u
    tau: float = 1.2
    base: float = 55.0
    hours: float = 60.0
    event: float = 24.0
    step: float = 0.1
    noise: float = 0.3
    seed: int = 1
    weather: float = 0.0  # amplitude of the daily swing of the surroundings, K
    load: float = 0.0  # K per unit of the load signal
    resolution: float = 0.1
    start: str = "2024-03-25 06:00"
    drop: tuple[tuple[float, float], ...] = field(default=())


def simulate(world: World) -> pd.DataFrame:
    """Columns hours, temperature, surroundings, load."""
    fine = world.step / 10
    t = np.arange(0, world.hours + fine / 2, fine)
    rng = np.random.default_rng(world.seed)
    surroundings = 20 + world.weather * np.sin(2 * np.pi * t / 24)
    load = 60 + 20 * (np.floor((t + 0.55 * world.step) / 5) % 2)
    heat = np.where(t >= world.event, world.heat(np.maximum(t - world.event, 0)), 0.0)
    ends = world.base + heat + (surroundings - 20) + world.load * (load - 60)
    temperature = np.empty_like(t)
    temperature[0] = ends[0]
    keep = np.exp(-fine / world.tau)
    for k in range(1, len(t)):
        temperature[k] = keep * temperature[k - 1] + (1 - keep) * ends[k]
    rows = slice(None, None, 10)
    read = temperature[rows] + rng.normal(0, world.noise, len(t[rows]))
    read = np.round(read / world.resolution) * world.resolution
    frame = pd.DataFrame({"hours": t[rows], "temperature": read, "surroundings": surroundings[rows],
                          "load": load[rows]})
    for begin, end in world.drop:
        frame = frame[(frame["hours"] < begin) | (frame["hours"] >= end)]
    return frame.reset_index(drop=True)


def step(height: float) -> Callable[[np.ndarray], np.ndarray]:
    return lambda u: height + 0 * u


def pulse(height: float, fall: float) -> Callable[[np.ndarray], np.ndarray]:
    return lambda u: height * np.exp(-u / fall)


def ramp(per_hour: float) -> Callable[[np.ndarray], np.ndarray]:
    return lambda u: per_hour * u


def runaway(height: float, double_h: float) -> Callable[[np.ndarray], np.ndarray]:
    return lambda u: height * (2 ** (u / double_h) - 1)


def text(frame: pd.DataFrame, columns: tuple[str, ...] = ("temperature",), *, elapsed: bool = False,
         form: str = "%Y-%m-%d %H:%M:%S", start: str = "2024-03-25 06:00", separator: str = ",", comma: bool = False,
         fahrenheit: bool = False, digits: int = 2, headers: tuple[str, ...] = ("bearing temperature °C",),
         time_header: str = "") -> bytes:
    """The log as a CSV file."""
    stamps = pd.Timestamp(start) + pd.to_timedelta(frame["hours"], unit="h").dt.round("s")
    first = frame["hours"].map("{:.4f}".format) if elapsed else stamps.dt.strftime(form)
    cells = [first.tolist()]
    for name in columns:
        values = frame[name] * 1.8 + 32 if fahrenheit and name != "load" else frame[name]
        shown = [f"{v:.{digits}f}" for v in values]
        cells.append([v.replace(".", ",") for v in shown] if comma else shown)
    lines = [separator.join([time_header or ("hours" if elapsed else "time"), *headers])]
    lines += [separator.join(row) for row in zip(*cells, strict=True)]
    return ("\n".join(lines) + "\n").encode()
