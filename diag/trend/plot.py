"""The curve as a picture that also reads in black and white: line styles and grey, no colour carries meaning."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from diag import units
from diag.errors import Fault, InputError
from diag.report.figures import System
from diag.trend.analyse import Worked

__all__ = ["draw"]

_SIZE = (9.0, 5.0)  # inch
_DPI = 130


def draw(worked: Worked, path: Path, system: System) -> None:
    """Write the picture; the ending names the kind (png, svg, pdf). Errors: InputError when it can't be written."""
    import matplotlib as mpl

    mpl.use("Agg")  # no window, also on a machine with a screen
    from matplotlib.figure import Figure

    figure = Figure(figsize=_SIZE, dpi=_DPI, layout="constrained")
    _curves(figure.add_subplot(), worked, system)
    try:
        figure.savefig(path)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or f"{error}".split(" (")[0]
        raise InputError(Fault(f"the plot can't be written: {reason}; .png, .svg or .pdf works", str(path))) from None


def _curves(axes: Any, worked: Worked, system: System) -> None:
    log, trend = worked.log, worked.trend

    def shown(values: Any) -> Any:
        return values * 1.8 + 32 if system == "us" else values

    axes.plot(log.hours, shown(log.temperature), ".", color="0.6", markersize=3, label="readings")
    axes.plot(worked.fitted.hours, shown(worked.fit.curve), "-", color="black", linewidth=1.6, label="fitted course")
    if "surroundings" in log.inputs:
        axes.plot(log.hours, shown(log.inputs["surroundings"]), ":", color="0.3", linewidth=1.5, label="surroundings")
    axes.axhline(shown(trend.baseline), linestyle="--", color="0.35", linewidth=1, label="usual level")
    if trend.event is not None:
        name = "event, as given" if trend.event.known else "event, found in the log"
        axes.axvline(trend.event.at_h, linestyle="-.", color="black", linewidth=1, label=name)
    _shade(axes, worked)
    _dress(axes, worked, system)


def _shade(axes: Any, worked: Worked) -> None:
    """Stretches without trustworthy readings, hatched."""
    name = "missing or left out"
    for found in worked.trend.troubles:
        if found.hours > 0:
            axes.axvspan(found.at_h, found.at_h + found.hours, facecolor="0.93", hatch="///", edgecolor="0.7",
                         linewidth=0, label=name)
            name = "_"  # once in the legend


def _dress(axes: Any, worked: Worked, system: System) -> None:
    trend = worked.trend
    _, unit = units.convert(0.0, "temperature", system)
    since = f" after {trend.start}" if trend.start else " after the first reading"
    axes.set_xlabel(f"hours{since}")
    axes.set_ylabel(f"temperature, {unit}")
    axes.set_title(f"{trend.file}: {trend.verdict.replace('_', ' ')}", loc="left")
    axes.grid(True, color="0.9", linewidth=0.6)
    axes.margins(x=0.01)
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.13), ncols=3, frameon=False, fontsize=9)
