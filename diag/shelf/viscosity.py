"""Base-oil viscosities on a label: classes, mm²/s and Saybolt seconds, each at its temperature."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from diag import units
from diag.errors import InputError
from diag.remedy.requirement import StatedValue
from diag.shelf.lexicon import Measure
from diag.shelf.numbers import NUMBER, spellings
from diag.shelf.reading import Reading
from diag.shelf.statements import blank
from diag.tribology.viscosity_grades import grades
from diag.tribology.viscosity_index import index_from

__all__ = ["Viscosities", "viscosities"]

_UNIT = r"cst|centistokes?|mm\^?2\s?/\s?s|sus|ssu"
_CLASS = re.compile(r"(?<![A-Za-z])(?:ISO[\s-]?)?VG[\s-]?(?P<vg>\d+(?:[.,]\d+)?)"
                    r"|(?<![A-Za-z])ISO[\s-]?(?P<iso>\d{1,4})(?![\d-])", re.IGNORECASE)
_SCALE = r"(?:°|deg(?:rees?|\.)?|grad)?\s?(?P<{name}>[CF])(?![a-z])"
_CELSIUS = r"(?:(?:°|deg(?:rees?|\.)?|grad)?\s?C(?![a-z]))?"
_TOKEN = re.compile(
    rf"(?P<value>{NUMBER})(?:\s?(?:-|to|bis)\s?(?P<second>\d+(?:[.,]\d+)?))?\s?(?P<unit>{_UNIT})(?![a-z])"
    rf"|(?P<link>@|\bat\b|\bbei\b|\(|/)?\s?(?<![\d.,])(?P<at>40|100|37[.,]8|98[.,]9|99|104|210|212)\s?"
    rf"{_SCALE.format(name='scale')}"
    # `KV40: 220`, `Vis 100 = 19`: the temperature stands with the name, and is in °C wherever it does.
    rf"|(?<![a-z])(?:k?v|visc?(?:osity)?)\.?\s?@?\s?(?P<named>40|100)(?![\w°]|[.,]\d|\s?(?:{_UNIT}|°|[-/]))"
    rf"|(?<![a-z0-9])(?P<header>{_UNIT})(?![a-z])|(?P<bare>{NUMBER})", re.IGNORECASE)
_PAIR = re.compile(
    rf"(?:(?<![a-z])(?P<name>k?v|visc?(?:osity)?|viskosität)\.?\s?(?:@|at|bei)?\s?)?"
    rf"(?<![\d.,])40\s?{_CELSIUS}\s?/\s?(?:k?v\s?)?100\s?{_CELSIUS}"
    rf"[\s,:=(\[]{{0,3}}(?P<header>{_UNIT})?[\s:=)\]]{{0,3}}(?P<cold>{NUMBER})"
    rf"\s?/\s?(?P<hot>\d+(?:[.,]\d+)?)(?:\s?(?P<unit>{_UNIT})(?![a-z]))?", re.IGNORECASE)
_ONLY_AT = rf"\W*(?:at|bei)?\W*(?:40|100)\s?{_SCALE.format(name='scale')}\W*{NUMBER}\W*"
_BETWEEN = re.compile(rf"[\s:=),]*(?:{_UNIT})?[\s:=)]*", re.IGNORECASE)
_NAMED_BARE = re.compile(
    rf"(?<![a-z])(?:kv|visc?(?:osity)?)\.?\s?@?\s?(?:40|100)(?![\w.,°/-])\s?[:=]?\s?{NUMBER}(?!\s?[°%])", re.IGNORECASE)
_HOT_FROM = 70.0  # between the two temperatures that viscosities are given at, 40 and 100 °C


@dataclass(slots=True)
class Viscosities:
    """What a statement says of viscosity, the statement without it, and words whose temperature lacks."""

    rest: str
    readings: list[Reading] = field(default_factory=list)
    without_temperature: str = ""
    without_unit: str = ""
    unit: str = ""  # last named, for a statement after it that has none


def viscosities(statement: str, measures: Mapping[str, Measure], carried: str = "") -> Viscosities:
    """Every viscosity of a statement; one without unit only where no other unit fits. `carried`: of the one before."""
    found = Viscosities(statement)
    _classes(found)
    _pair(found, measures)
    named = re.search(rf"(?<![a-z])(?P<unit>{_UNIT})(?![a-z])", found.rest, re.IGNORECASE)
    if named or (carried and re.fullmatch(_ONLY_AT, found.rest, re.IGNORECASE)):
        found.unit = named["unit"] if named else carried
        _tokens(found, measures["viscosity"], carried)
    elif bare := _NAMED_BARE.search(found.rest):
        found.without_unit = bare.group()
    return found


def _pair(found: Viscosities, measures: Mapping[str, Measure]) -> None:
    """`40/100 °C: 220/19 mm²/s`; without a unit where it is named and an oil of mm²/s has such a pair."""
    pair = _PAIR.search(found.rest)
    if pair is None:
        return
    unit = pair["unit"] or pair["header"] or _only_unit(pair, measures)
    if unit:
        for number, at in ((pair["cold"], "40"), (pair["hot"], "100")):
            _add(found, _Amount(number, "", unit, pair.group()), at, "C", measures["viscosity"])
        found.rest = blank(found.rest, *pair.span())
    elif pair["name"]:
        found.without_unit = pair.group()


def _only_unit(pair: re.Match[str], measures: Mapping[str, Measure]) -> str:
    """mm²/s where a pair that is called viscosity can be an oil in it and in no other unit, else nothing."""
    fitting = [unit for unit in ("cSt", "SUS") if _is_an_oil(pair, unit, measures)]
    return "cSt" if pair["name"] and fitting == ["cSt"] else ""


def _is_an_oil(pair: re.Match[str], unit: str, measures: Mapping[str, Measure]) -> bool:
    """Whether the two figures have a viscosity index that an oil can have."""
    cold, hot = (_value(pair[name], unit, f"{at} degC", at == "100", measures["viscosity"])
                 for name, at in (("cold", "40"), ("hot", "100")))
    if cold is None or hot is None or cold <= hot:
        return False
    low, high = measures["viscosity_index"].plausible
    return low <= float(index_from(cold, hot)) <= high


def _classes(found: Viscosities) -> None:
    """`ISO VG 220`, `VG 220`, and `ISO 220` where the number is a class."""
    for match in _CLASS.finditer(found.rest):
        number = match["vg"] or match["iso"]
        if match["vg"] or float(number) in {float(grade.vg) for grade in grades()}:
            value = units.parse(f"VG {number}", "viscosity")
            found.readings.append(Reading("viscosity_40", value, match.group()))
            found.rest = blank(found.rest, *match.span())


@dataclass(frozen=True, slots=True)
class _Amount:
    first: str
    second: str
    unit: str
    words: str


def _tokens(found: Viscosities, measure: Measure, carried: str) -> None:
    """Each amount with the temperature right before it (`at 40 °C: 220 cSt`), else with the one linked behind it
    (`220 cSt @ 40 °C`), else with the last one before.
    """
    text = found.rest
    tokens = list(_TOKEN.finditer(text))
    header, before, taken = carried, None, set()
    for place, token in enumerate(tokens):
        if place in taken:
            continue
        if token["header"]:
            header = token["header"]
        elif token["at"] or token["named"]:
            before = token
        elif token["value"] or (before and (header := header or _unit_beside(before, tokens, place, text))):
            after = None if _right_before(before, token, text) else _linked(tokens, place)
            temperature = after or before
            taken |= {place + 1} if after else set()
            _amount(found, token, temperature, header, text, measure)


def _right_before(before: re.Match[str] | None, amount: re.Match[str], text: str) -> bool:
    """Nothing but signs and blanks between a temperature and its amount: `bei 40 °C: 220 mm²/s, bei 100 °C 18`."""
    return before is not None and _BETWEEN.fullmatch(text, before.end(), amount.start()) is not None


def _unit_beside(before: re.Match[str], tokens: list[re.Match[str]], place: int, text: str) -> str:
    """For an amount right behind its own temperature, the unit of the one before or after it, which has its own too:
    `@40C 220, @100C 18.5 cSt`, `KV40: 220 mm²/s KV100: 18.5`.
    """
    if not _right_before(before, tokens[place], text):
        return ""
    beside = [pair for pair in (tokens[max(0, place - 2): place], tokens[place + 1: place + 3][::-1]) if len(pair) == 2]
    return next((amount["unit"] for amount, temperature in beside
                 if amount["unit"] and (temperature["at"] or temperature["named"])), "")


def _linked(tokens: list[re.Match[str]], place: int) -> re.Match[str] | None:
    following = tokens[place + 1] if place + 1 < len(tokens) else None
    return following if following is not None and following["at"] and following["link"] else None


def _amount(found: Viscosities, token: re.Match[str], temperature: re.Match[str] | None, header: str, text: str,
            measure: Measure) -> None:
    amount = _Amount(token["value"] or token["bare"], token["second"] or "", token["unit"] or header, token.group())
    if temperature is None:
        found.without_temperature = token.group().strip()
    else:
        at, scale = (temperature["at"], temperature["scale"]) if temperature["at"] else (temperature["named"], "C")
        start, end = min(token.start(), temperature.start()), max(token.end(), temperature.end())
        words = _Amount(amount.first, amount.second, amount.unit, text[start:end].strip(" ("))
        _add(found, words, at, scale, measure)
        found.rest = blank(found.rest, *temperature.span())
    found.rest = blank(found.rest, *token.span())


def _add(found: Viscosities, amount: _Amount, at: str, scale: str, measure: Measure) -> None:
    hot = units.parse(f"{at} deg{scale.upper()}", "temperature") > _HOT_FROM
    values = [v for text in (amount.first, amount.second) if text
              and (v := _value(text, amount.unit, f"{at} deg{scale.upper()}", hot, measure)) is not None]
    if values:
        value: StatedValue = values[0] if len(values) == 1 else tuple(values)
        found.readings.append(Reading("viscosity_100" if hot else "viscosity_40", value, amount.words))


def _value(number: str, unit: str, temperature: str, hot: bool, measure: Measure) -> float | None:
    """In mm²/s; a comma before three digits is read the believable way."""
    values = []
    for text in spellings(number):
        try:
            values.append(units.parse(f"{text} {unit} at {temperature}", "viscosity", 100.0 if hot else 40.0))
        except InputError:
            continue
    low, high = measure.plausible
    believable = [v for v in values if low <= v <= high]
    return believable[0] if len(believable) == 1 else None
