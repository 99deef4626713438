"""Circumstances of the grease against the point, the manual and the grease before it."""

from __future__ import annotations

from collections.abc import Iterator

from diag.circumstances.base import Found, Scene, any_of, circumstance, listed
from diag.remedy.compatibility import judge

__all__: list[str] = []

APART = ("pag", "silicone", "pfpe")  # oils that mix with no other family
# Seal rubbers that an oil swells or dissolves (from memory; the oil's own record says it in words).
CLASHES = {
    "ester": ("nbr", "cr", "natural_rubber"), "pag": ("nbr", "polyurethane"),
    "mineral": ("epdm", "natural_rubber"), "naphthenic": ("epdm", "natural_rubber"),
    "pao": ("epdm", "natural_rubber"), "vegetable": ("epdm", "natural_rubber"), "silicone": ("silicone",),
}


@circumstance("greases_incompatible")
def greases_incompatible(scene: Scene) -> Found:
    """The joint verdict of the tables; borderline and unlisted pairs are not known."""
    old, new = scene.case.earlier_grease, scene.case.grease
    if old.thickener is None or new.thickener is None:
        return Found(None, working="one of the two thickeners is not known")
    verdict = judge(old, new, scene.knowledge).verdict
    holds = {"incompatible": True, "compatible": False, "same": False}.get(verdict)
    return Found(holds, verdict, "", f"{old.thickener} and {new.thickener}: {verdict} by the worst table")


@circumstance("grease_differs_from_manual")
def grease_differs_from_manual(scene: Scene) -> Found:
    """One property that differs is enough; two that agree are needed for a no."""
    known = dict(_against_manual(scene))
    differing = [name for name, differs in known.items() if differs]
    holds = True if differing else False if len(known) >= 2 else None
    words = f"differs in {', '.join(differing)}" if differing else f"agrees in {', '.join(known) or 'nothing known'}"
    return Found(holds, differing or None, "", words)


@circumstance("solids_or_tack_at_speed")
def solids_or_tack_at_speed(scene: Scene) -> Found:
    """Over the high end of the ceiling of an additive in the grease; under the low end of all it is a no."""
    speed_factor, additives = scene.number("speed_factor"), scene.case.grease.additives
    ceilings = {a.id: a.speed_factor_ceiling for a in scene.knowledge.additives.values() if a.speed_factor_ceiling}
    has = listed(additives, *ceilings)
    inside = [ceiling for name, ceiling in ceilings.items() if name in additives]
    over = speed_factor is not None and any(speed_factor > ceiling.high for ceiling in inside)
    slow = speed_factor is not None and all(speed_factor < c.low for c in inside or ceilings.values())
    holds = True if over else False if slow or has is False else None
    working = "speed factor is not known" if speed_factor is None else f"n·dm {speed_factor:.0f}"
    return Found(holds, speed_factor, "" if speed_factor is None else "mm/min", working)


@circumstance("seal_and_oil_clash")
def seal_and_oil_clash(scene: Scene) -> Found:
    oil, seal = scene.case.grease.base_oil, scene.case.point.seal.material
    if oil is None or seal is None:
        return Found(None, working="base oil or seal material is not known")
    return Found(seal in CLASHES.get(oil, ()), working=f"{oil} oil with {seal}")


@circumstance("oil_families_clash")
def oil_families_clash(scene: Scene) -> Found:
    old, new = scene.case.earlier_grease.base_oil, scene.case.grease.base_oil
    if old is None or new is None:
        return Found(None, working="one of the two base oils is not known")
    return Found(old != new and (old in APART or new in APART), working=f"{old} met {new}")


@circumstance("water_soluble_grease")
def water_soluble_grease(scene: Scene) -> Found:
    grease = scene.case.grease
    soda = None if grease.thickener is None else grease.thickener == "sodium"
    washes_out = None if grease.water_washout is None else grease.water_washout > 10
    either = any_of((soda, washes_out))
    # One of the two known and harmless is enough for a no.
    holds = False if either is None and False in (soda, washes_out) else either
    return Found(holds, grease.water_washout, "%" if grease.water_washout is not None else "",
                 f"thickener {grease.thickener or 'not known'}")


def _against_manual(scene: Scene) -> Iterator[tuple[str, bool]]:
    """Each property known of both, and whether it differs."""
    grease, manual = scene.case.grease, scene.case.point.manual
    if grease.thickener is not None and manual.thickener is not None:
        yield "thickener", grease.thickener != manual.thickener
    if grease.viscosity_40 is not None and manual.viscosity_40 is not None:
        yield "viscosity", _classes_apart(grease.viscosity_40, manual.viscosity_40) > 1
    if grease.nlgi is not None and manual.nlgi is not None:
        yield "consistency", grease.nlgi != manual.nlgi
    if grease.additives and manual.additives:
        yield "additives", not set(manual.additives) <= set(grease.additives)


def _classes_apart(one: float, other: float) -> int:
    """Steps of ISO 3448 between two oils."""
    from diag.tribology.viscosity_grades import grades, nearest

    order = [grade.vg for grade in grades()]
    return abs(order.index(nearest(one).vg) - order.index(nearest(other).vg))
