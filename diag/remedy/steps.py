"""Procedures: the steps of each changeover action, in order, with amounts where the data allow.

The texts stand in knowledge/standards/procedures.yaml. Each opens with the heading of its kind, so that cautions
find the step they stand before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from diag.findings import Action
from diag.inference.confirming import possible
from diag.knowledgebase import Knowledge
from diag.knowledgebase.decision import FieldCheck
from diag.knowledgebase.model import Confirmation
from diag.numbertext import shown
from diag.remedy import field_checks, watching
from diag.remedy.feeding_notes import dose_at_a_time
from diag.remedy.first_fill import housing_share
from diag.remedy.purging import passes, purge_amount
from diag.remedy.situation import Situation

__all__ = ["Step", "procedure", "tags_of"]

_FRESH_SAME = "the same grease, fresh from a clean pack"
OPENED: tuple[Action, ...] = ("strip_clean_same", "strip_clean_and_switch", "replace_part")
ANY_TIME = ("running", "stopped")
# What is left as it is, or is dosed with it, says what else to do by its own steps.
_WITH_BESIDES: tuple[Action, ...] = ("purge_same", "purge_and_switch", *OPENED)
_YEAR = 8760  # h


@dataclass(frozen=True, slots=True)
class Step:
    """One step: the kind of work and what is printed."""

    tag: str
    text: str


def tags_of(text: str, knowledge: Knowledge) -> tuple[str, ...]:
    """The caution tags of a printed step, by its heading; () for a text that is no step."""
    heading = text.split(":", 1)[0]
    kinds = knowledge.standard("procedures")["kinds"].values()
    return next((tuple(kind["cautions"]) for kind in kinds if kind["heading"] == heading), ())


def procedure(s: Situation, action: Action, repair_first: bool) -> tuple[Step, ...]:
    """Everything to do, first to last, for the action chosen."""
    if s.restricted:
        return tuple(_deferred(s, action))
    first = (*_checks(s), *_repair(s)) if repair_first else ()
    opened = action in OPENED
    main = tuple(_PROCEDURES[action](s))
    if action in _WITH_BESIDES and not repair_first and not s.planning:
        watch = next((i for i, step in enumerate(main) if step.tag == "watch"), len(main))
        main = (*main[:watch], *_besides(s), *main[watch:])
    return (*_stop(s), *first, *main, *_also(s, ("running",) if opened else ANY_TIME))


def _step(s: Situation, name: str, **words: str) -> Step:
    table = s.knowledge.standard("procedures")
    entry = table["steps"][name]
    return _headed(s, entry["kind"], entry["text"].format(**words))


def _headed(s: Situation, kind: str, text: str) -> Step:
    return Step(kind, f"{s.knowledge.standard('procedures')['kinds'][kind]['heading']}: {text}")


def _deferred(s: Situation, action: Action) -> Iterator[Step]:
    if s.urgency.level == "stop_now":
        yield _step(s, "stop_by_programme")
    yield _step(s, "defer")
    yield from _evidence(s)
    if action == "replace_part":
        yield _step(s, "fit_by_programme")


def _stop(s: Situation) -> Iterator[Step]:
    if s.urgency.level == "stop_now":
        yield _step(s, "stop_now", why="; ".join(s.urgency.why))


def _checks(s: Situation) -> Iterator[Step]:
    """What to check on the machine before any grease is bought, where its fault leads."""
    found = [check for check in field_checks.before(s) if _of_leader(s, check)]
    for check in found:
        yield _headed(s, "electrical" if check.electrical else "check", field_checks.worded(check, s))
    if not found and s.leader is not None:
        stages = ANY_TIME if field_checks.turning(s) else ("stopped",)
        yield from (_headed(s, "check", f"{c.test}; {c.criterion}") for c in _confirmations(s) if c.stage in stages)


def _confirmations(s: Situation, opened: bool = False) -> tuple[Confirmation, ...]:
    """Of the leading cause, those that can be had at this point."""
    if s.leader is None:
        return ()
    return possible(s.leader, s.case, s.circumstances, s.urgency.level != "stop_now", opened)


def _also(s: Situation, stages: Sequence[str]) -> Iterator[Step]:
    """Checks of the machine for what is likely but does not lead."""
    for check in field_checks.before(s):
        if check.stage in stages and not (s.not_the_grease and _of_leader(s, check)):
            yield _headed(s, "electrical" if check.electrical else "also", field_checks.worded(check, s))


def _of_leader(s: Situation, check: FieldCheck) -> bool:
    return s.leader is not None and s.leader.id in check.causes


def _besides(s: Situation) -> Iterator[Step]:
    """What the leading cause asks for beside the grease."""
    if s.leader is not None:
        yield from (_headed(s, "besides", text) for text in s.leader.remedy.other)


def _repair(s: Situation) -> Iterator[Step]:
    """What to mend first, from the record of the leading cause."""
    if s.leader is not None:
        yield from (_headed(s, "repair", text) for text in s.leader.remedy.other)


def _read_the_part(s: Situation) -> Iterator[Step]:
    """What only the standing, opened part shows."""
    yield from _also(s, ("stopped",))
    found = field_checks.inside(s)
    for check in found:
        yield _headed(s, "look", field_checks.worded(check, s))
    if s.not_the_grease and s.leader is not None and not any(_of_leader(s, check) for check in found):
        yield from (_headed(s, "look", f"{c.test}; {c.criterion}") for c in _confirmations(s, opened=True)
                    if c.stage in ("opened", "cleaned"))


def _keep(s: Situation) -> Iterator[Step]:
    yield _step(s, "leave")


def _wait(s: Situation) -> Iterator[Step]:
    if s.urgency.level == "stop_now" and not s.settling:
        yield _step(s, "find_at_rest")  # a point that must not turn isn't watched in service
        return
    if not s.settling:
        yield _step(s, "wait_plain")
    else:
        if s.lets_out and s.case.point.drain != "open":
            yield _step(s, "find_drain")
        yield _step(s, "wait")
    yield from _settle(s)
    if s.leads("over_greasing") and not s.sealed:
        yield _step(s, "new_interval", interval=_interval(s))


def _adjust(s: Situation) -> Iterator[Step]:
    if s.leads("over_greasing"):
        yield from _wait(s)
        return
    yield from _besides(s)
    yield from _prepare(s)
    if s.kind == "rolling_bearing":
        yield _step(s, "small_dose", dose=dose_at_a_time(s.case, s.regrease.amount_g, s.knowledge))
    else:
        yield _step(s, "dose_open_end")
    yield from _settle(s)
    yield _step(s, "new_interval", interval=_interval(s))


def _purge_same(s: Situation) -> Iterator[Step]:
    yield from _evidence(s)
    yield from _purge(s, _FRESH_SAME)


def _purge_switch(s: Situation) -> Iterator[Step]:
    yield from _evidence(s)
    yield _step(s, "supply")
    yield from _purge(s, _new_grease(s), fresh=True)
    yield _half_intervals(s)


def _strip_same(s: Situation) -> Iterator[Step]:
    yield from _strip(s, _FRESH_SAME)
    yield from _settle(s)


def _strip_switch(s: Situation) -> Iterator[Step]:
    yield _step(s, "supply")
    yield from _strip(s, _new_grease(s))
    yield from _settle(s, fresh=True)
    yield _half_intervals(s)


def _replace(s: Situation) -> Iterator[Step]:
    yield from _evidence(s)
    yield from _dismantle(s)
    yield from _read_the_part(s)
    yield _step(s, "clean_housing")
    yield _step(s, "fit_new", but=_other_part(s))
    if not s.sealed:
        yield _step(s, "fill", grease=_new_grease(s), amount=_first_fill(s))
    yield from _settle(s, fresh=True)


_PROCEDURES: dict[Action, Callable[[Situation], Iterator[Step]]] = {
    "keep": _keep, "wait_and_watch": _wait, "adjust_regreasing": _adjust, "purge_same": _purge_same,
    "purge_and_switch": _purge_switch, "strip_clean_same": _strip_same, "strip_clean_and_switch": _strip_switch,
    "replace_part": _replace,
}


def _evidence(s: Situation) -> Iterator[Step]:
    """What would be wiped away with the first rag."""
    yield _step(s, "photograph")
    if s.case.complaint == "failed":
        yield _step(s, "mark_part")
    yield _step(s, "sample")


def _prepare(s: Situation) -> Iterator[Step]:
    yield _step(s, "prepare")
    if s.kind == "rolling_bearing" and s.case.point.drain != "open":
        yield _step(s, "drain_or_strip")


def _purge(s: Situation, grease: str, fresh: bool = False) -> Iterator[Step]:
    yield from _prepare(s)
    yield _step(s, "push", grease=grease, amount=purge_amount(s), visits=_visits(s), heat=_heat_limit(s))
    yield _step(s, "strip_after_all")
    yield _step(s, "run" if s.kind == "rolling_bearing" else "run_open_end")
    yield from _settle(s, fresh)


def _strip(s: Situation, grease: str) -> Iterator[Step]:
    yield from _evidence(s)
    yield from _dismantle(s)
    yield from _read_the_part(s)
    yield _step(s, "clean_out")
    yield _step(s, "look_at_surfaces")
    yield _step(s, "fill", grease=grease, amount=_first_fill(s))


def _dismantle(s: Situation) -> Iterator[Step]:
    yield _step(s, "draw_pin" if s.kind == "pin_bushing" else "dismantle")


def _settle(s: Situation, fresh: bool = False) -> Iterator[Step]:
    stops = "; ".join(watching.stops(s, fresh))
    limits = f"; stop at once if {stops}" if stops else ""
    if s.kind == "rolling_bearing":
        yield _step(s, "settle", limits=limits + watching.levels_off(s))
    else:
        yield _step(s, "settle_plain", limits=limits)


def _visits(s: Situation) -> str:
    """An untested pair is pushed through bit by bit, so that what does not mix shows before all of it is in."""
    if passes(s)[1] > 2:
        return "spread over two or three visits, a shift or more apart"
    return "half now, half on the next shift"


def _heat_limit(s: Situation) -> str:
    """At which heat to stop pushing: the limit that urgency set, and the rise that it watches for."""
    rise = s.knowledge.limits.baseline_watch.value
    limits = [x.limit for x in s.urgency.stop_if if x.unit == "°C"]
    hot = f"at {min(limits):.0f} °C" if limits else "when it does not come down again"
    return f"pause when it climbs {rise:.0f} K, stop {hot}"


def _half_intervals(s: Situation) -> Step:
    """A change is watched: what is left of the old grease mixes in the first weeks."""
    whole = s.regrease.interval_h
    half = "" if whole is None else f" ({whole / 2:.0f} h{_yearly(whole / 2)})"
    return _step(s, "half_intervals", half=half)


def _interval(s: Situation) -> str:
    plan = s.regrease
    if s.case.point.feed in ("lubricator", "central_system") and plan.grams_per_1000_h is not None:
        return f"set the feed to {shown(plan.grams_per_1000_h * 24 / 1000, 2)} g for each day of 24 h running"
    if plan.amount_g is None or plan.interval_h is None:
        return "set amount and interval by the machine's manual"
    return f"{shown(plan.amount_g)} g every {plan.interval_h:.0f} h of running{_yearly(plan.interval_h)}"


def _yearly(hours: float) -> str:
    """Grease ages and takes up water by the calendar, too, however slow the point (common practice)."""
    return ", and look at it once a year all the same" if hours > _YEAR else ""


def _other_part(s: Situation) -> str:
    """What the new part has to differ in where heat or current spoilt the old one."""
    if s.leads("electrical_erosion"):
        return ", but insulated where that is how the current is kept off"
    if s.kind != "rolling_bearing" or not s.leads("overheating_external"):
        return ""
    usual = s.case.point.usual_temperature
    ring = watching.ring_limit(s)
    words = ", but the clearance one class larger where heat comes through the shaft"
    if usual is not None and ring is not None and usual > ring:
        words += (f", and rings (and cage) that stay true at {usual:.0f} °C: ordinary ones are good to about "
                  f"{ring:.0f} °C")
    return words


def _first_fill(s: Situation) -> str:
    if s.kind != "rolling_bearing":
        return "fill grooves and passages and pump until fresh grease shows at the ends"
    grams = "" if s.regrease.first_fill_g is None else f", about {s.regrease.first_fill_g:.0f} g in all"
    share = housing_share(s.case, s.computed, s.knowledge)
    return f"work it in between the elements by hand; housing beside it about {share:.0%} full" + grams


def _new_grease(s: Situation) -> str:
    words = ", ".join([*_only_thickener(s), *(code for code in s.spec.codes.values() if code)])
    return "a grease that meets the specification" + (f" ({words})" if words else "")


def _only_thickener(s: Situation) -> Iterator[str]:
    """The thickener, where no other meets the specification: no code tells it."""
    for r in s.musts:
        if r.property == "thickener" and r.relation == "in" and isinstance(r.value, tuple) and len(r.value) == 1:
            yield f"{str(r.value[0]).replace('_', ' ')} thickener"
