"""From the verdict to answers with origin `trend`, and into a case file without overriding anyone."""

from __future__ import annotations

from dataclasses import replace

import msgspec

from diag.answers import Answer, weight_of
from diag.case.model import Case, Degree, Point, Regreasing
from diag.knowledgebase import Knowledge
from diag.trend.result import Trend
from diag.trend.verdict import Rules
from diag.wordtext import label

__all__ = ["Written", "answers", "into_case", "rules_of", "supersede"]

_POSITIVE: tuple[Degree, ...] = ("yes", "probably")
_RISE = "temperature_rise"
_WEAKER: dict[Degree, Degree] = {"yes": "probably", "no": "probably_not"}


def rules_of(knowledge: Knowledge) -> Rules:
    """The thresholds of the verdict."""
    numbers = {name: float(entry["value"]) for name, entry in knowledge.standard("trend_signs")["thresholds"].items()}
    return Rules(back_by_h=knowledge.limits.transient.greased_within_h, **numbers)


def answers(trend: Trend, knowledge: Knowledge) -> tuple[Answer, ...]:
    """The answers that the log gives. An event found, not known, makes each of them one step less sure."""
    table = knowledge.standard("trend_signs")
    unsure = trend.event is not None and not trend.event.known
    found: dict[str, Answer] = {}
    for word in (trend.verdict, *(f"follows_{name}" for name in trend.follows)):
        for sign, degree in table["verdicts"][word]["signs"].items():
            held = _WEAKER.get(degree, degree) if unsure else degree
            found[sign] = Answer(sign, weight_of(held, knowledge), held, "trend", f"log {trend.file}: {trend.words}")
    return tuple(found.values())


def into_case(case: Case, trend: Trend, knowledge: Knowledge) -> tuple[Case, tuple[str, ...]]:
    """The case with what the log adds, and in words what was added and what was left as the person had it."""
    seen, signs = _signs(case, trend, knowledge)
    point, levels = _temperatures(case, trend)
    measured, rise = _rise(case, trend)
    regreasing, since = _since(case, trend)
    dimensions = {**case.reading_dimensions, _RISE: "temperature_difference"}
    merged = replace(case, seen=seen, point=point, measured=measured, regreasing=regreasing,
                     reading_dimensions=dimensions)
    return merged, (*signs, *levels, *rise, *since)


class Written(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a log put into a case file, kept beside it, so that a later log may put better in its place.

    `values`: key path → number, in the unit of the case model.
    """

    schema: int
    seen: dict[str, Degree]
    values: dict[str, float]


def supersede(case: Case, earlier: Written, trend: Trend, knowledge: Knowledge
              ) -> tuple[Case, tuple[str, ...], Written]:
    """`into_case` in place of what an earlier log put in, and what is now of a log.

    A sign of an earlier log that means stop stays until a log answers it otherwise.
    """
    own = _without(case, earlier)
    merged, words = into_case(own, trend, knowledge)
    stops = {sign: degree for sign, degree in earlier.seen.items()
             if case.seen.get(sign) == degree and degree in _POSITIVE and sign not in merged.seen
             and knowledge.signs[sign].urgency == "stop_now"}
    merged = replace(merged, seen={**merged.seen, **stops})
    stay = (f"seen.{sign}: {label(degree)} of an earlier log stays" for sign, degree in stops.items())
    return merged, (*words, *stay), _written(own, merged)


def _written(before: Case, after: Case) -> Written:
    new = {sign: degree for sign, degree in after.seen.items() if before.seen.get(sign) != degree}
    old, now = _values(before), _values(after)
    return Written(1, new, {key: value for key, value in now.items() if old.get(key) != value})


def _without(case: Case, earlier: Written) -> Case:
    """The case as the person has it: less what an earlier log put in and nobody changed since."""
    stands = {key: value for key, value in _values(case).items() if earlier.values.get(key) != value}
    seen = {sign: degree for sign, degree in case.seen.items() if earlier.seen.get(sign) != degree}
    measured = {key: value for key, value in case.measured.items() if key != _RISE or f"measured.{_RISE}" in stands}
    point = replace(case.point, running_temperature=stands.get("point.running_temperature"),
                    usual_temperature=stands.get("point.usual_temperature"))
    return replace(case, seen=seen, measured=measured, point=point,
                   regreasing=replace(case.regreasing, since_last=stands.get("regreasing.since_last")))


def _values(case: Case) -> dict[str, float]:
    """The numbers that a log can tell, by their path, where the case has them."""
    found = {"point.running_temperature": case.point.running_temperature,
             "point.usual_temperature": case.point.usual_temperature,
             f"measured.{_RISE}": case.measured.get(_RISE), "regreasing.since_last": case.regreasing.since_last}
    return {key: value for key, value in found.items() if value is not None}


def _signs(case: Case, trend: Trend, knowledge: Knowledge) -> tuple[dict[str, Degree], list[str]]:
    seen, words = dict(case.seen), []
    for answer in answers(trend, knowledge):
        standing = _standing(answer, case, knowledge)
        degree = label(answer.degree)
        if standing:
            words.append(f"seen.{answer.sign}: the log says {degree}; left, since {standing}")
        else:
            seen[answer.sign] = answer.degree
            words.append(f"seen.{answer.sign}: {degree}")
    return seen, words


def _rise(case: Case, trend: Trend) -> tuple[dict[str, float], list[str]]:
    if trend.rise_now is None or trend.verdict == "started" or not _rise_is_news(case):
        return case.measured, []
    rise = round(trend.rise_now, 1)
    return {**case.measured, _RISE: rise}, [f"measured.temperature_rise: {rise:.1f} K"]


def _since(case: Case, trend: Trend) -> tuple[Regreasing, list[str]]:
    """Hours since the greasing, from an event that the person named."""
    known = trend.event is not None and trend.event.known
    if not known or trend.hours_after is None or case.regreasing.since_last is not None:
        return case.regreasing, []
    hours = round(trend.hours_after, 1)
    return replace(case.regreasing, since_last=hours), [f"regreasing.since_last: {hours:.1f} h"]


def _standing(answer: Answer, case: Case, knowledge: Knowledge) -> str:
    """What the person said already that this answer would override; empty when nothing.

    Another choice at the same question stands too, save against a sign that means stop: that one isn't held back.
    """
    sign = answer.sign
    if case.seen.get(sign, "unknown") != "unknown":
        return f"you said {label(case.seen[sign])}"
    if answer.positive and knowledge.signs[sign].urgency == "stop_now":
        return ""
    question = knowledge.questions[knowledge.question_of[sign]]
    chosen = [o.sign for o in question.options if case.seen.get(o.sign) in ("yes", "probably")]
    if question.choose == "one" and chosen:
        return f"you said {chosen[0]}"
    return ""


def _temperatures(case: Case, trend: Trend) -> tuple[Point, list[str]]:
    """Running and usual temperature where the person gave none. Usual only when something rose from it."""
    point, words = case.point, []
    if point.running_temperature is None:
        point = replace(point, running_temperature=round(trend.now, 1))
        words.append(f"point.running_temperature: {trend.now:.1f} °C")
    if point.usual_temperature is None and trend.event is not None and trend.verdict != "started":
        point = replace(point, usual_temperature=round(trend.baseline, 1))
        words.append(f"point.usual_temperature: {trend.baseline:.1f} °C")
    return point, words


def _rise_is_news(case: Case) -> bool:
    """The person neither read a rise nor implied one by a temperature of their own."""
    point = case.point
    return _RISE not in case.measured and point.usual_temperature is point.running_temperature is None
