"""Pictures to answer by: own drawings for what is hard to say in words.

Their names, texts and signs are knowledge (`pictures.yaml`); the drawings are code, each one function without
arguments, by the id of its record.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from diag.errors import Fault, InputError
from diag.pictures import greases, parts, pen, plain, raceways, seals, tracks

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["DRAWINGS", "for_sign", "svg"]

DRAWINGS: dict[str, Callable[[], pen.Drawing]] = {
    "track_normal": tracks.normal,
    "track_misaligned": tracks.misaligned,
    "track_preloaded": tracks.preloaded,
    "track_out_of_round": tracks.out_of_round,
    "track_thrust": tracks.thrust,
    "track_overloaded": tracks.overloaded,
    "raceway_marks_at_pitch": raceways.marks_at_pitch,
    "raceway_flutes": raceways.fluted,
    "raceway_smeared": raceways.smeared,
    "raceway_spall": raceways.spalled,
    "raceway_dents": raceways.dents,
    "raceway_rust": raceways.rusted,
    "raceway_frosted": raceways.frosted,
    "lens_marks_worn": raceways.marks_worn,
    "lens_marks_pressed": raceways.marks_pressed,
    "seat_fretting": parts.fretting,
    "seat_creep": parts.creep,
    "ring_heat_colours": parts.heat_colours,
    "cage_worn": parts.cage_worn,
    "shield_dished": parts.shield_dished,
    "grease_buttery": greases.buttery,
    "grease_soupy": greases.soupy,
    "grease_milky": greases.milky,
    "grease_caked": greases.caked,
    "grease_oil_and_dry_soap": greases.oil_and_dry_soap,
    "grease_glitter": greases.glittering,
    "grease_two_colours": greases.marbled,
    "grease_threads": greases.threads,
    "grease_channelled": greases.channelled,
    "grade_000": greases.grade_000,
    "grade_0": greases.grade_0,
    "grade_2": greases.grade_2,
    "grade_6": greases.grade_6,
    "bush_oval": plain.bush_oval,
    "bush_worn_one_end": plain.worn_one_end,
    "pin_galled": plain.galled,
    "way_dry_stroke": plain.dry_stroke,
    "seal_good": seals.good,
    "seal_cut": seals.cut,
    "seal_turned": seals.turned,
    "seal_swollen": seals.swollen,
    "seal_cracked": seals.cracked,
    "seal_groove": seals.groove,
}


@lru_cache(maxsize=len(DRAWINGS))
def svg(picture_id: str) -> str:
    """The picture as one <svg> element, to be put into a page as it is: it scales with its box.

    Name and text are those of the carried knowledge. Raises InputError for an id that has no drawing.
    """
    # Reading the knowledge takes some milliseconds, which nobody pays who only asks which picture a sign has.
    from diag.knowledgebase import load

    draw = DRAWINGS.get(picture_id)
    if draw is None:
        raise InputError(Fault(f"no such picture; there are: {', '.join(DRAWINGS)}", key=picture_id))
    record = load().pictures[picture_id]
    root = pen.shape(
        "svg",
        *_words(record.title, record.text),
        _panel(),
        *draw(),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {pen.WIDTH} {pen.HEIGHT}",
        role="img",
    )
    return ElementTree.tostring(root, encoding="unicode")


def for_sign(knowledge: Knowledge, sign: str) -> str | None:
    """Id of the picture that shows this sign; None when there is none."""
    return knowledge.picture_of.get(sign)


def _words(title: str, text: str) -> tuple[pen.Shape, pen.Shape]:
    """First in the element, as screen readers want them."""
    named, described = pen.shape("title"), pen.shape("desc")
    named.text, described.text = title, text
    return named, described


def _panel() -> pen.Shape:
    """The light ground under every drawing; its frame takes the page's own ink."""
    return pen.shape(
        "rect", x=0.5, y=0.5, width=pen.WIDTH - 1, height=pen.HEIGHT - 1, rx=4, fill=pen.PANEL, stroke="currentColor"
    )
