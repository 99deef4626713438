"""May it keep turning? By rules alone: never by the odds of a cause and never by cost.

Each rule is one small function that may raise an alarm; the gravest alarm stands. So one more urgent sign can
never calm the answer down, and an unknown can't change it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from diag.answers import Answers
from diag.case.model import Case
from diag.circumstances import greased_lately
from diag.compute.temperature import LASTING_HEAT
from diag.findings import CircumstanceFound, Computed, StopIf, Urgency, UrgencyLevel
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.rules import Limit, UrgentLevel
from diag.limits import over, upper_limits

__all__ = ["CLIMBING", "HOT", "RULES", "SETTLED", "Alarm", "Scene", "judge"]

LEVELS: tuple[UrgencyLevel, ...] = ("run_on", "watch", "stop_soon", "stop_now")
# Conditions of the knowledge that these rules ask for.
HOT, CLIMBING, SETTLED = "runs_hot", "rise_goes_on", "rise_levels_and_falls"


@dataclass(frozen=True, slots=True)
class Alarm:
    """How grave and why; a `general` reason is only worth words where no other speaks."""

    level: UrgencyLevel
    why: str
    general: bool = False


@dataclass(frozen=True)
class Scene:
    """What the rules look at; temperatures in °C, changes in K."""

    case: Case
    answers: Answers
    circumstances: Mapping[str, CircumstanceFound]
    computed: Mapping[str, Computed]
    knowledge: Knowledge

    @cached_property
    def temperature(self) -> float | None:
        return self.case.point.running_temperature

    @cached_property
    def change(self) -> float | None:
        """Rise over its own usual temperature: measured, else running less usual."""
        if "temperature_rise" in self.case.measured:
            return self.case.measured["temperature_rise"]
        usual = self.case.point.usual_temperature
        return None if self.temperature is None or usual is None else self.temperature - usual

    @cached_property
    def limits(self) -> tuple[Limit, ...]:
        """What must not get hotter: ring, seal and grease, as far as they are known, lowest first."""
        return upper_limits(self.case, self.knowledge)

    @cached_property
    def hot(self) -> bool:
        """Said, seen or measured to be hotter than it should be."""
        limits = self.knowledge.limits
        return (
            self.case.complaint == "hot"
            or self.answered(HOT)
            or over(self.change, limits.baseline_watch)
            or over(self.temperature, limits.housing_watch)
        )

    def answered(self, condition: str) -> bool:
        """A sign of this condition is answered yes or probably."""
        return any(self.answers.positive(sign) for sign in self.knowledge.signs_of.get(condition, ()))


Rule = Callable[[Scene], Iterator[Alarm]]
RULES: list[Rule] = []


def rule(find: Rule) -> Rule:
    """Enters a rule into the registry."""
    RULES.append(find)
    return find


def judge(case: Case, answers: Answers, circumstances: Mapping[str, CircumstanceFound],
          computed: Mapping[str, Computed], knowledge: Knowledge) -> Urgency:
    """The gravest alarm, all reasons of that weight, when to stop and when to look again."""
    scene = Scene(case, answers, circumstances, computed, knowledge)
    alarms = [alarm for find in RULES for alarm in find(scene)]
    level: UrgencyLevel = max((alarm.level for alarm in alarms), key=LEVELS.index, default="run_on")
    telling = [alarm for alarm in alarms if not alarm.general] or alarms
    graver_first = sorted(telling, key=lambda alarm: -LEVELS.index(alarm.level))
    why = dict.fromkeys(alarm.why for alarm in graver_first) or {"nothing here says that it must stop": None}
    again = _look_again(scene, level)
    return Urgency(level=level, why=tuple(why), stop_if=_stop_limits(scene), look_again_h=again)


@rule
def urgent_signs(scene: Scene) -> Iterator[Alarm]:
    """Smoke, grinding, a moved shaft, heat still climbing hours after greasing, and what else is marked urgent."""
    for sign, option in scene.knowledge.signs.items():
        if option.urgency and scene.answers.positive(sign):
            yield Alarm(option.urgency, ": ".join(filter(None, (option.text, option.why_urgent))))


@rule
def over_limit(scene: Scene) -> Iterator[Alarm]:
    """Over the lowest of grease, seal and ring limit."""
    if scene.limits and over(scene.temperature, scene.limits[0]):
        lowest = scene.limits[0]
        yield Alarm("stop_now", f"{scene.temperature:.0f} °C is over {lowest.value:.0f} °C, the limit of the "
                                f"{lowest.text}")


@rule
def far_from_baseline(scene: Scene) -> Iterator[Alarm]:
    """Hotter than its own usual temperature."""
    limits = scene.knowledge.limits
    if over(scene.change, limits.baseline_stop):
        yield Alarm("stop_now", f"{scene.change:.0f} K over its own usual temperature; stop over "
                                f"{limits.baseline_stop.value:.0f} K")
    elif over(scene.change, limits.baseline_watch):
        yield Alarm("watch", f"{scene.change:.0f} K over its own usual temperature")


@rule
def hotter_than_it_should_be(scene: Scene) -> Iterator[Alarm]:
    """Said or seen to run hot."""
    if scene.answered(HOT):
        yield Alarm("watch", "it runs hotter than it should", general=True)


@rule
def hot_in_explosive_surroundings(scene: Scene) -> Iterator[Alarm]:
    """A hot bearing lights dust or gas."""
    if scene.hot and "explosive_atmosphere" in scene.case.point.exposure:
        yield Alarm("stop_now", "a hot bearing in explosive dust or gas can light it")


@rule
def hot_housing(scene: Scene) -> Iterator[Alarm]:
    """Hot by general practice, which speaks of points without outside heat; its own baseline goes before."""
    limits = scene.knowledge.limits
    usual_for_it = scene.change is not None and not over(scene.change, limits.baseline_watch)
    if usual_for_it or LASTING_HEAT & set(scene.case.point.exposure):
        return
    if over(scene.temperature, limits.housing_soon):
        yield Alarm("stop_soon", f"{scene.temperature:.0f} °C is over {limits.housing_soon.value:.0f} °C "
                                 f"({limits.housing_soon.text})")
    elif over(scene.temperature, limits.housing_watch):
        yield Alarm("watch", f"{scene.temperature:.0f} °C is over {limits.housing_watch.value:.0f} °C "
                             f"({limits.housing_watch.text})")


@rule
def loud_or_shaking(scene: Scene) -> Iterator[Alarm]:
    """Ultrasound over its baseline, vibration over the zone borders."""
    limits, measured = scene.knowledge.limits, scene.case.measured
    for reading, table in (("ultrasound_rise", limits.ultrasound), ("vibration_velocity", limits.vibration)):
        passed = [level for level in table if over(measured.get(reading), table[level])]
        if passed:
            level: UrgentLevel = max(passed, key=LEVELS.index)
            yield Alarm(level, f"{measured[reading]:g} {table[level].unit} is over {table[level].value:g} "
                               f"({table[level].text})")


@rule
def complaint(scene: Scene) -> Iterator[Alarm]:
    """Who comes with a complaint watches the point; what has failed isn't started again."""
    what = scene.case.complaint
    if what == "failed":
        yield Alarm("stop_now", "it has failed: leave it standing until the part is replaced")
    elif what is not None and what != "planning":
        yield Alarm("watch", f"it is {what}: watch it until the cause is found", general=True)


@rule
def people_at_risk(scene: Scene) -> Iterator[Alarm]:
    """A point on which people's safety hangs isn't run on with a fault that grows."""
    ailing = scene.hot or scene.case.complaint in ("noisy", "loose", "stiff")
    if scene.case.point.safety_critical and ailing:
        yield Alarm("stop_soon", "people's safety hangs on this point: have it seen to before the next shift")


@rule
def rise_after_greasing(scene: Scene) -> Iterator[Alarm]:
    """A rise within a day of greasing, under the limit and not climbing, may be normal; still it is watched."""
    if scene.hot and _may_be_transient(scene):
        settled = "has levelled off" if scene.answered(SETTLED) else "should be steady in 3 to 4 h"
        yield Alarm("watch", f"greased within a day: a rise is normal, {settled} and falls within a day")


def _may_be_transient(scene: Scene) -> bool:
    lately = greased_lately(scene.case, scene.knowledge.limits.transient.greased_within_h)
    too_hot = bool(scene.limits) and over(scene.temperature, scene.limits[0])
    return bool(lately) and not too_hot and not scene.answered(CLIMBING)


def _stop_limits(scene: Scene) -> tuple[StopIf, ...]:
    """Readings at which whoever watches must stop it."""
    limits, transient = scene.knowledge.limits, scene.knowledge.limits.transient
    found = [_stop_if(scene, f"temperature of the point ({limit.text})", limit) for limit in scene.limits[:1]]
    found.append(_stop_if(scene, "rise over its own usual temperature", limits.baseline_stop))
    if greased_lately(scene.case, transient.greased_within_h):
        found.append(StopIf(reading="hours after greasing with the temperature still climbing",
                            limit=transient.climbing_stop_h, unit="h",
                            source=scene.knowledge.cite(transient.source, transient.confidence)))
    return tuple(found)


def _stop_if(scene: Scene, reading: str, limit: Limit) -> StopIf:
    source = scene.knowledge.cite(limit.source, limit.confidence)
    return StopIf(reading=reading, limit=limit.value, unit=limit.unit, source=source)


def _look_again(scene: Scene, level: UrgencyLevel) -> float | None:
    """Hours until the next look: sooner while a rise settles; None where it stands or runs on."""
    limits = scene.knowledge.limits
    if level == "watch" and greased_lately(scene.case, limits.transient.greased_within_h):
        return limits.transient.look_again_h
    return limits.look_again_h[level]
