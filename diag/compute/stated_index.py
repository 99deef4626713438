"""A viscosity index that is stated beside both viscosities: do the three fit together?"""

from __future__ import annotations

from collections.abc import Iterator

from diag.case.model import Case
from diag.errors import InputError
from diag.numbertext import shown

__all__ = ["contradicted", "index_against", "words"]

# Rounding of "220" and "19" alone moves the index by 5, a nominal grade by about 10 (judgement).
REACH = 15.0


def index_against(v40: float, v100: float, index: float) -> float | None:
    """The index that the viscosities [mm²/s] have by ASTM D2270, where the stated one is off by more than `REACH`.

    None where they agree, and where no index is defined.
    """
    from diag.tribology.viscosity_index import index_from

    try:
        found = float(index_from(v40, v100))
    except InputError:
        return None
    return found if abs(found - index) > REACH else None


def words(v40: float, v100: float, index: float) -> str:
    """The contradiction in a clause; empty where there is none."""
    found = index_against(v40, v100, index)
    if found is None:
        return ""
    return (f"{shown(v40)} mm²/s at 40 °C and {shown(v100)} at 100 °C give a viscosity index of {found:.0f} "
            f"by ASTM D2270, not {index:g}")


def contradicted(case: Case) -> Iterator[str]:
    """A sentence for each grease of the case whose stated index doesn't belong to its two viscosities."""
    for name, grease in (("The grease", case.grease), ("The earlier grease", case.earlier_grease)):
        v40, v100, index = grease.viscosity_40, grease.viscosity_100, grease.viscosity_index
        if v40 is not None and v100 is not None and index is not None and (why := words(v40, v100, index)):
            yield f"{name}: {why}. The two viscosities are taken, the index isn't; see the data sheet."
