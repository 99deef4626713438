"""Each lint rule: a knowledge it fires on, and the sound one it leaves alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import msgspec
import pytest

from diag.knowledgebase import Knowledge, check, load
from diag.knowledgebase.checks import RULES
from diag.knowledgebase.checks.numbers import base_rates, marginals
from diag.knowledgebase.checks.references import CONTRACT_CAUSES
from diag.knowledgebase.model import RequirementRule
from diag.knowledgebase.phrases import Sayings
from tests.tiny import knowledge

K = knowledge()
Change = Callable[[Knowledge], Knowledge]
# The tiny knowledge is too small for these; their sound knowledge is made below.
OF_THE_WHOLE = {"missing_contract_cause", "sum_of_base_rates", "no_cause_band"}


def changed(table: str, record_id: str, **fields: Any) -> Knowledge:
    """The tiny knowledge with some fields of one record replaced."""
    records = dict(getattr(K, table))
    records[record_id] = msgspec.structs.replace(records[record_id], **fields)
    return replace(K, **{table: records})


def option(question: str, **fields: Any) -> Knowledge:
    """The tiny knowledge with the first option of a question changed."""
    first, *rest = K.questions[question].options
    return changed("questions", question, options=(msgspec.structs.replace(first, **fields), *rest))


def saying(sign: str, phrase: str) -> Knowledge:
    """The tiny knowledge with one more way of naming a sign."""
    return replace(K, sayings=lambda: {**K.sayings(), sign: Sayings(say=(phrase,))})


def words(**fields: Any) -> Knowledge:
    return replace(K, words=msgspec.structs.replace(K.words, **fields))


def cause(cause_id: str, part: str, **fields: Any) -> Knowledge:
    """The tiny knowledge with the first entry of one list of a cause changed."""
    first, *rest = getattr(K.causes[cause_id], part)
    return changed("causes", cause_id, **{part: (msgspec.structs.replace(first, **fields), *rest)})


def crowded() -> Knowledge:
    effect = msgspec.structs.replace(K.causes["overheating"].produces[0], condition="water_in_grease")
    more = {f"cause_{n}": msgspec.structs.replace(K.causes["overheating"], id=f"cause_{n}", produces=(effect,))
            for n in range(5)}
    return replace(K, causes={**K.causes, **more})


def recalled_must() -> Knowledge:
    demand = RequirementRule(property="ep", relation="is", value="yes", strength="must", because="load",
                             source=("memory",), confidence="from-memory")
    record = K.causes["over_greasing"]
    return changed("causes", record.id, remedy=msgspec.structs.replace(record.remedy, requires=(demand,)))


FIRES: list[tuple[str, Knowledge, str, str]] = [
    ("dangling_id", cause("over_greasing", "produces", condition="runs_hott"), "causes.over_greasing.produces[0]",
     "no such id in conditions: runs_hott"),
    ("dangling_id", cause("over_greasing", "leads_to", cause="nothing"), "causes.over_greasing.leads_to[0]",
     "no such id in causes: nothing"),
    ("dangling_id", cause("over_greasing", "look_alikes", cause="twin"), "causes.over_greasing.look_alikes[0]",
     "no such id in causes: twin"),
    ("dangling_id", cause("over_greasing", "needs", fact="is_monday"), "causes.over_greasing.needs[0]",
     "no such id in circumstances: is_monday"),
    ("dangling_id", changed("questions", "how_hot", cautions=("mind_it",)), "questions.how_hot",
     "no such id in cautions: mind_it"),
    ("dangling_id", changed("readings", "water", gives=(
        msgspec.structs.replace(K.readings["water"].gives[0], sign="wet_look"),)), "readings.water.gives[0]",
     "no such id in signs: wet_look"),
    ("dangling_source", changed("cautions", "hot_surfaces", source=("hearsay",)), "cautions.hot_surfaces",
     "no such id in sources: hearsay"),
    ("dangling_source", changed("cautions", "hot_surfaces", source=()), "cautions.hot_surfaces",
     "no source; name one, or practice or memory"),
    ("dangling_source_of_table", replace(K, standard=lambda _: {"rows": [{"source": ["hearsay"]}]}),
     "standards/numbers.yaml", "no such id in sources: hearsay"),
    ("unknown_word", cause("over_greasing", "produces", chance="often"), "causes.over_greasing.produces[0].chance",
     "often is no chance word; legal: usual, rare, or a sourced number"),
    ("link_cycle", changed("causes", "overheating", leads_to=(
        msgspec.structs.replace(K.causes["over_greasing"].leads_to[0], cause="over_greasing"),)), "causes",
     "leads_to runs in a circle: over_greasing - overheating - over_greasing"),
    ("missing_contract_cause", K, "causes", "no record for fatigue"),
    ("word_range", words(report={"plain": 0.97, "half": 0.5}), "words.report.plain", "0.97 is over 0.95: slips happen"),
    ("word_range", words(false_report={"hardly": 0.01, "often_mistaken": 0.2}), "words.false_report.hardly",
     "0.01 is under 0.02: slips happen"),
    ("word_range", words(chance={"usual": 1.0, "rare": 0.05}), "words.chance.usual",
     "1.0 is no chance between 0 and 1"),
    ("word_range", words(soft_odds=1.0), "words.soft_odds", "1.0 is no odds over 1"),
    ("word_range", words(trust=0.0), "words.trust", "0.0 is no power over 0 and up to 1"),
    ("number_without_source", cause("over_greasing", "produces", chance="0.33", source=("practice",)),
     "causes.over_greasing.produces[0].chance", "the number 0.33 names no publication; use a level word"),
    ("verified_without_source", cause("over_greasing", "produces", source=("practice",)),
     "causes.over_greasing.produces[0]", "is called verified but names no publication"),
    ("recalled_must", recalled_must(), "causes.over_greasing.remedy.requires[0]",
     "is recalled from memory: should at the most"),
    ("sum_of_base_rates", K, "causes", "the chances of all causes at a rolling bearing sum to 0.35, not 1.3-1.7"),
    ("no_cause_band", K, "causes", "the chance of no cause at a rolling bearing is 0.70, not 0.1 to 0.35"),
    ("idle_condition", changed("causes", "water_ingress", produces=K.causes["overheating"].produces),
     "conditions.water_in_grease", "no cause produces it"),
    ("idle_condition", changed("questions", "smoke", options=()), "conditions.metal_overheated",
     "no sign speaks of it"),
    ("idle_sign", changed("causes", "water_ingress", produces=K.causes["overheating"].produces),
     "questions.inside.milky", "no cause produces water_in_grease where the sign is asked"),
    ("idle_sign", replace(option("how_hot", if_true="0.25"), words=K.words), "questions.how_hot.hotter_than_usual",
     "is reported as often without its condition as with it"),
    ("asked_in_vain", option("course", kinds=("rolling_bearing", "slideway")), "questions.course.still_climbing",
     "moves nothing at a slideway: leave it out there"),
    ("idle_question", changed("causes", "water_ingress", produces=K.causes["overheating"].produces),
     "questions.inside", "no answer to it moves any cause"),
    ("crowded_condition", crowded(), "conditions.water_in_grease",
     "6 causes; mark it broad, or split it (at most 5)"),
    ("two_layers", changed("circumstances", "wet", text="free water"), "circumstances.wet", "is a sign as well"),
    ("two_layers", changed("circumstances", "wet", path="lab.water", has="", above=1.0), "circumstances.wet",
     "lab.water gives a sign as well"),
    ("two_layers", changed("circumstances", "wet", path="complaint"), "circumstances.wet",
     "complaint gives a sign as well"),
    ("say_twice", saying("milky", "Runs hot"), "sayings.hotter_than_usual",
     "“runs hot” is said of hotter_than_usual and milky"),
    ("dangling_saying", saying("singing", "sings"), "sayings.singing", "is no sign"),
    ("misnamed_degrees", changed("cautions", "hot_surfaces", text="20 °C over its usual"), "cautions.hot_surfaces.text",
     "“20 °C over”: write K for a difference of temperatures, °C for a temperature"),
    ("no_confirmation", changed("causes", "overheating", confirm=()), "causes.overheating.confirm",
     "names no test that would confirm it"),
    ("no_confirmation", changed("causes", "overheating", wrong_if=" "), "causes.overheating.wrong_if",
     "doesn't say when it is wrong"),
]


@pytest.mark.parametrize(("rule", "faulty", "place", "text"), FIRES)
def test_a_rule_fires_and_says_where(rule: str, faulty: Knowledge, place: str, text: str) -> None:
    assert (place, text) in [(issue.place, issue.text) for issue in RULES[rule].issues(faulty)]


@pytest.mark.parametrize("rule", sorted(set(RULES) - OF_THE_WHOLE))
def test_a_rule_leaves_the_sound_knowledge_alone(rule: str) -> None:
    assert list(RULES[rule].issues(K)) == []


def test_rules_of_the_whole_leave_a_full_knowledge_alone() -> None:
    one = msgspec.structs.replace(K.causes["water_ingress"], base_rate={"rolling_bearing": "regular"}, leads_to=())
    full = replace(K, causes={c: msgspec.structs.replace(one, id=c) for c in CONTRACT_CAUSES})
    assert sum(base_rates(full, "rolling_bearing").values()) == pytest.approx(27 * 0.05)
    for rule in OF_THE_WHOLE:
        assert list(RULES[rule].issues(full)) == []


def test_every_rule_has_a_case_that_fires() -> None:
    assert {rule for rule, *_ in FIRES} == set(RULES)


def test_marginals_follow_the_links() -> None:
    found = marginals(K, "rolling_bearing")
    assert found["over_greasing"] == 0.12
    assert found["overheating"] == pytest.approx(1 - (1 - 0.05) * (1 - 0.12 * 0.05))


def test_the_width_is_measured_by_the_network_given() -> None:
    assert "graph_width" in {i.rule for i in check(K, width=lambda kind: 15)}
    assert "graph_width" not in {i.rule for i in check(K, width=lambda kind: 14)}


def test_a_function_that_is_not_there_is_named() -> None:
    asks = msgspec.structs.replace(K.circumstances["wet"], function="rains", path="", has="")
    faulty = replace(K, circumstances={**K.circumstances, "wet": asks})
    assert "no such function: rains" in {i.text for i in check(faulty, functions={"pours"})}
    assert "unknown_function" not in {i.rule for i in check(faulty, functions={"rains"})}


def test_errors_come_first_and_a_dangling_id_keeps_later_rules_quiet() -> None:
    found = check(cause("over_greasing", "produces", condition="runs_hott"))
    assert [i.rule for i in found] == ["dangling_id"]
    assert [i.severity for i in check(crowded())] == sorted(i.severity for i in check(crowded()))


def test_the_carried_knowledge_has_no_error() -> None:
    from diag.circumstances import FUNCTIONS
    from diag.inference.network import compiled

    k = load()
    found = check(k, width=lambda kind: compiled(k, kind).width, functions=FUNCTIONS)
    assert [str(issue) for issue in found if issue.severity == "error"] == []
