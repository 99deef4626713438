"""Numbers as people write them, and for people to read: decimal comma, thousands, fractions, a minus in words."""

from __future__ import annotations

import math
import re
import unicodedata

from diag.errors import InputError

__all__ = ["fold", "leading_number", "quoted", "shown"]

_LONGEST = 80  # characters of a quantity
_ODD_CHARACTERS = str.maketrans({
    "−": "-", "–": "-", "—": "-", "⁄": "/", "’": "'", "′": "'", "″": '"', "”": '"', "“": '"', "×": "x",
    "·": "*", "⋅": "*", "∙": "*", "μ": "u", "Δ": "",
})
_VULGAR = re.compile("([½¼¾⅐-⅞])")
_LEAD = re.compile(r"^(?:about|approx\.?|approximately|around|roughly|ca\.?|circa|~|≈)\s*", re.IGNORECASE)
_SIGN = re.compile(r"^(?P<minus>minus\s+|-\s*)|^(?:plus\s+|\+\s*)", re.IGNORECASE)
_FRACTION = re.compile(
    r"(?:(?P<whole>[0-9]{1,4})(?:\s+|\s*-\s*|\s+and\s+))?(?P<top>[0-9]{1,4})/(?P<bottom>[0-9]{1,4})(?![0-9])"
)
_DECIMAL = re.compile(
    r"(?:[0-9]{1,3}(?:[ '][0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)"
    r"(?:[eE][+-]?[0-9]{1,3}(?![0-9]))?"
)
_RANGE = re.compile(r"^\s*(?:-|to|\.\.+|or|…)\s*[0-9]")


def quoted(text: str) -> str:
    """The text between quotation marks, cut to a length that fits a line of words."""
    short = " ".join(text.split())
    return f"'{short[:40]}…'" if len(short) > 41 else f"'{short}'"


def shown(value: float, digits: int = 3) -> str:
    """A number [-] rounded to so many digits, never with an exponent: 1673.4 → 1,670.

    >>> shown(1673.4), shown(184.2, 2), shown(0.00242), shown(2.5e-7)
    ('1,670', '180', '0.00242', '0.00000025')
    """
    rounded = float(f"{value:.{digits}g}")
    if abs(rounded) >= 10**digits:
        return f"{rounded:,.0f}"
    plain = f"{rounded:.{digits}g}"
    if "e-" not in plain:
        return plain
    return f"{rounded:.{digits - 1 - math.floor(math.log10(abs(rounded)))}f}".rstrip("0")


def fold(text: str) -> str:
    """Text with one spelling of signs, powers, quotation marks and blanks: `½″` becomes `1/2"`."""
    spaced = _VULGAR.sub(r" \1", text).translate(_ODD_CHARACTERS)
    plain = unicodedata.normalize("NFKC", spaced).translate(_ODD_CHARACTERS)  # NFKC makes some of them
    return " ".join(plain.split())


def leading_number(text: str) -> tuple[float, str]:
    """Number [-] at the start of folded text, and what follows it.

    Errors: InputError when there is none, for a range, for a comparison, and for `1,450`, which may be
    1450 or 1.45.
    """
    if len(text) > _LONGEST:
        raise InputError(f"{quoted(text)} is too long for a number with a unit")
    rest = _LEAD.sub("", text)
    sign = _SIGN.match(rest)
    unsigned = rest[sign.end():] if sign else rest
    value, tail = _unsigned(unsigned, text)
    if _RANGE.match(tail):
        raise InputError(f"{quoted(text)} is a range; give one value")
    return (-value if sign and sign.group("minus") else value), tail.strip()


def _unsigned(text: str, whole_text: str) -> tuple[float, str]:
    fraction = _FRACTION.match(text)
    if fraction:
        return _fraction(fraction, whole_text), text[fraction.end():]
    decimal = _DECIMAL.match(text)
    if not decimal:
        hint = "; give the value without < or >" if text.startswith(("<", ">", "≤", "≥")) else ""
        raise InputError(f"{quoted(whole_text)} does not begin with a number{hint}")
    return _decimal(decimal.group(), whole_text), text[decimal.end():]


def _fraction(match: re.Match[str], whole_text: str) -> float:
    bottom = int(match["bottom"])
    if bottom == 0:
        raise InputError(f"{quoted(whole_text)} divides by zero")
    return int(match["whole"] or 0) + int(match["top"]) / bottom


def _decimal(token: str, whole_text: str) -> float:
    mantissa, _, exponent = token.replace(" ", "").replace("'", "").lower().partition("e")
    value = float(_point(mantissa, whole_text) + (f"e{exponent}" if exponent else ""))
    if not math.isfinite(value):
        raise InputError(f"{quoted(whole_text)} is too large")
    return value


def _point(digits: str, whole_text: str) -> str:
    """The digits with a decimal point and no marks between thousands."""
    marks = [c for c in digits if c in ".,"]
    if len(marks) < 2 and digits.count(",") == 0:
        return digits
    if len(marks) == 1:
        return _one_comma(digits, whole_text)
    last = marks[-1] if len(set(marks)) == 2 else ""
    whole, _, part = digits.rpartition(last) if last else (digits, "", "")
    groups = re.split("[.,]", whole)
    if len(set(marks[:-1])) > 1 or not 1 <= len(groups[0]) <= 3 or any(len(g) != 3 for g in groups[1:]):
        raise InputError(f"{quoted(whole_text)} has stray commas or points; write it like 1450.5")
    return "".join(groups) + (f".{part}" if part else "")


def _one_comma(digits: str, whole_text: str) -> str:
    before, _, after = digits.partition(",")
    if len(after) == 3 and 1 <= len(before) <= 3 and before.strip("0"):
        raise InputError(f"{quoted(whole_text)} can be read two ways ({before}{after} or {before}.{after})")
    return f"{before or '0'}.{after}"
