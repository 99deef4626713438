"""Circumstances of the film: by a usual temperature that is known, or, apart and for less, by an estimated one."""

from __future__ import annotations

from diag.circumstances.base import Found, Scene, circumstance

__all__: list[str] = []

# ISO 281:2007, 9.3.3: below 1 the surfaces touch, below 0.4 mostly; over 6 the oil only drags (judgement).
THIN, VERY_THIN, THICK = 1.0, 0.4, 6.0


@circumstance("viscosity_ratio_low")
def viscosity_ratio_low(scene: Scene) -> Found:
    return _known(scene, THIN, below=True)


@circumstance("viscosity_ratio_very_low")
def viscosity_ratio_very_low(scene: Scene) -> Found:
    return _known(scene, VERY_THIN, below=True)


@circumstance("viscosity_ratio_high")
def viscosity_ratio_high(scene: Scene) -> Found:
    return _known(scene, THICK, below=False)


@circumstance("viscosity_ratio_low_by_estimate")
def viscosity_ratio_low_by_estimate(scene: Scene) -> Found:
    """The whole drawn band under 1; no when the whole band is over it; else not known."""
    item = scene.computed.get("viscosity_ratio_usual")
    if item is None or item.low is None or item.high is None or not _estimated(scene):
        return Found(None, working="the usual temperature is not an estimate, or too little is known")
    holds = True if item.high < THIN else False if item.low >= THIN else None
    return Found(holds, item.value, item.unit, item.working)


def _known(scene: Scene, limit: float, below: bool) -> Found:
    """The ratio against a limit, where the usual temperature doesn't rest on the heat balance."""
    item, ratio = scene.computed.get("viscosity_ratio_usual"), scene.number("viscosity_ratio_usual")
    if item is None or ratio is None or _estimated(scene):
        return Found(None, working="no viscosity ratio at a usual temperature that is known")
    return Found(ratio < limit if below else ratio > limit, ratio, item.unit, item.working)


def _estimated(scene: Scene) -> bool:
    """The usual temperature is that of the heat balance: good to about half of the rise."""
    return scene.case.point.usual_temperature is None and "expected_temperature" in scene.computed
