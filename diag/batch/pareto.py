"""A Pareto plot of leading causes, readable in black and white."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from pathlib import Path
from typing import Any

from diag.batch.tally import NONE_LEADS
from diag.errors import Fault, InputError
from diag.wordtext import label

__all__ = ["draw"]

_MOST_BARS = 12  # further causes are put together
_WIDE, _LEAST_HIGH, _BAR_HIGH = 9.0, 2.6, 0.36  # inch
_DPI = 130


def draw(causes: Sequence[tuple[str, int]], path: Path) -> None:
    """Write the picture; the ending names the kind (png, svg, pdf). Errors: InputError when it can't be written.

    `causes`: as `Tally.causes` gives them.
    """
    import matplotlib as mpl

    mpl.use("Agg")  # no window, also on a machine with a screen
    from matplotlib.figure import Figure

    bars = _bars(causes)
    figure = Figure(figsize=(_WIDE, _LEAST_HIGH + _BAR_HIGH * len(bars)), dpi=_DPI, layout="constrained")
    _plot(figure.add_subplot(), bars)
    try:
        figure.savefig(path)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or f"{error}".split(" (")[0]
        raise InputError(Fault(f"the plot can't be written: {reason}; .png, .svg or .pdf works", str(path))) from None


def _bars(causes: Sequence[tuple[str, int]]) -> list[tuple[str, int]]:
    """The causes in order, the rarest put together, the cases in which none leads last."""
    named = [(label(c), n) for c, n in causes if c != NONE_LEADS]
    none = [(c, n) for c, n in causes if c == NONE_LEADS]
    rest = named[_MOST_BARS:]
    others = [(f"{len(rest)} other causes", sum(n for _, n in rest))] if rest else []
    return [*named[:_MOST_BARS], *others, *none]


def _plot(axes: Any, bars: Sequence[tuple[str, int]]) -> None:
    names, counts = [name for name, _ in bars], [n for _, n in bars]
    total, places = sum(counts), range(len(bars))
    found = axes.barh(places, counts, color="0.75", edgecolor="black", linewidth=0.8)
    for bar, name in zip(found, names, strict=True):
        if name == NONE_LEADS:
            bar.set(facecolor="white", hatch="///")
    # The count stands beside the name: at the end of the bar the line would cross it.
    axes.set_yticks(places, [f"{name}  {n}" for name, n in bars])
    axes.invert_yaxis()
    axes.set_xlabel("cases in which the cause is the likeliest")
    axes.set_xlim(0, 1.12 * max(counts))
    axes.xaxis.get_major_locator().set_params(integer=True)
    _cumulative(axes.twiny(), [100 * n / total for n in accumulate(counts)], places)
    axes.set_title(f"Leading causes of {total} cases", loc="left")
    axes.spines[["right"]].set_visible(False)


def _cumulative(axes: Any, shares: Sequence[float], places: Sequence[int]) -> None:
    axes.plot(shares, places, "o-", color="black", markersize=4, linewidth=1.2)
    axes.set_xlim(0, 112)
    axes.set_xticks(range(0, 101, 20))
    axes.set_xlabel("line: cases so far, %")
    axes.spines[["right"]].set_visible(False)
