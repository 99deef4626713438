"""The guided walk: the state machine by itself, and `diag ask` through a pseudo-terminal and a pipe."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path

import pexpect
import pytest

from diag import units
from diag.case import from_data, read_case
from diag.case.model import Case
from diag.cli import demo, savefile
from diag.errors import InputError
from diag.inference.questions import can_stop
from diag.knowledgebase import Knowledge
from diag.review import review
from diag.walk import Step, Walk, answer, back, next_step, pass_over, urgency_now
from diag.walk.facts import HOT, KIND, PLAN, TELLING, USUAL, legal_words, value_at

DIAG = str(Path(sys.executable).parent / "diag")
PROMPT = "\n> "


def walked(knowledge: Knowledge, *answers: str) -> Walk:
    """A walk after these answers."""
    walk = Walk()
    for text in answers:
        walk = answer(walk, next_step(walk, knowledge), text, knowledge)
    return walk


def steps_of(walk: Walk, knowledge: Knowledge, text: str = "?") -> Iterator[tuple[Walk, Step]]:
    """Answers every step with `text` until the walk is done."""
    for _ in range(200):
        step = next_step(walk, knowledge)
        yield walk, step
        if step.kind == "done":
            return
        walk = answer(walk, step, text, knowledge)
    raise AssertionError("the walk doesn't end")


# The state machine


def test_every_fact_is_a_key_of_the_case() -> None:
    for fact in (KIND, HOT, USUAL, *TELLING, *PLAN):
        reads, words = legal_words(fact.path)
        assert reads in ("quantity", "word", "words", "flag")
        assert set(fact.labels) <= set(words)
        assert value_at(Walk().case, fact.path) in (None, (), "")


def test_it_begins_with_the_kind_then_the_complaint_then_urgency(knowledge: Knowledge) -> None:
    walk = Walk()
    ids = []
    for text in ("1", "1", "84 degC", "0"):
        step = next_step(walk, knowledge)
        ids.append(step.id)
        walk = answer(walk, step, text, knowledge)
    assert ids[:3] == ["fact:point.kind", "fact:complaint", "fact:point.running_temperature"]
    urgent = knowledge.questions[ids[3].removeprefix("look:")]
    assert urgent.stage == "running"
    assert any(o.urgency == "stop_now" for o in urgent.options)


def begun(knowledge: Knowledge, complaint: str, kind: str = "rolling_bearing", **seen: str) -> Walk:
    """A walk of which kind, complaint, heat and some signs are told."""
    point = {"kind": kind, "running_temperature": "84 degC"}
    return Walk(from_data({"point": point, "complaint": complaint, "seen": seen}, "case", knowledge))


@pytest.mark.parametrize("kind", ["rolling_bearing", "pin_bushing", "slideway"])
def test_a_hot_point_is_asked_for_its_last_greasing_right_after_what_can_stop_it(knowledge: Knowledge, kind: str
                                                                                 ) -> None:
    ids = [step.id for _, step in steps_of(begun(knowledge, "hot", kind), knowledge)]
    at = ids.index("fact:regreasing.since_last")
    looks = [knowledge.questions[i.removeprefix("look:")] for i in ids[:at] if i.startswith("look:")]
    assert all(can_stop(question, "hot") for question in looks)
    assert [i for i in ids[:at] if i.startswith("fact:")] == ["fact:point.usual_temperature"]
    assert ids.count("fact:regreasing.since_last") == 1


def test_a_point_that_takes_no_grease_or_is_only_noisy_is_not_asked_so(knowledge: Knowledge) -> None:
    noisy = [step.id for _, step in steps_of(begun(knowledge, "noisy"), knowledge)]
    assert "fact:regreasing.since_last" not in noisy[:5]
    sealed = begun(knowledge, "hot")
    point = replace(sealed.case.point, feed="sealed_for_life")
    ids = [step.id for _, step in steps_of(replace(sealed, case=replace(sealed.case, point=point)), knowledge)]
    assert "fact:regreasing.since_last" not in ids


def test_who_said_no_smoke_is_not_asked_at_once_for_the_rest_of_that_look(knowledge: Knowledge) -> None:
    smoke = "look:smoke_or_melt"
    assert smoke in [step.id for _, step in steps_of(begun(knowledge, "hot"), knowledge)][:3]
    told = [step for _, step in steps_of(begun(knowledge, "hot", smoke_or_burnt_smell="no"), knowledge)]
    early = [step.id for step in told[:5]]
    assert smoke not in early
    late = [step for step in told if step.id == smoke]  # the rest still tells something, in its turn
    assert [choice.key for choice in late[0].choices] == ["melted_grease_runs_out", "paint_blistered"]
    assert late[0].text.endswith("(Only what wasn't told yet.)")


def test_a_look_that_can_still_mean_stop_is_asked_though_partly_told(knowledge: Knowledge) -> None:
    ids = [step.id for _, step in steps_of(begun(knowledge, "hot", climbing_after_hours="no"), knowledge)]
    assert "look:course_of_heat" in ids[:3]


def test_where_one_answer_only_can_hold_and_was_given_the_look_is_done(knowledge: Knowledge) -> None:
    for sign in ("rise_levelled_and_falls", "crept_up_over_weeks"):
        ids = [step.id for _, step in steps_of(begun(knowledge, "hot", **{sign: "yes"}), knowledge)]
        assert "look:course_of_heat" not in ids


def test_unticked_is_unknown_and_none_of_these_is_no(knowledge: Knowledge) -> None:
    walk = walked(knowledge, "1", "1", "84 degC")
    step = next_step(walk, knowledge)
    ticked = answer(walk, step, "1", knowledge)
    assert ticked.case.seen == {step.choices[0].key: "yes"}
    none = answer(walk, step, "0", knowledge)
    assert set(none.case.seen) == {choice.key for choice in step.choices}
    assert set(none.case.seen.values()) == {"no"}
    assert answer(walk, step, "?", knowledge).case == walk.case


def test_degrees_of_a_tick(knowledge: Knowledge) -> None:
    walk = walked(knowledge, "1", "1", "84 degC")
    step = next_step(walk, knowledge)
    first, second, third = (choice.key for choice in step.choices[:3])
    seen = answer(walk, step, "1? -2 -3?", knowledge).case.seen
    assert seen == {first: "probably", second: "no", third: "probably_not"}


def test_a_word_typed_out_counts_like_its_number(knowledge: Knowledge) -> None:
    assert walked(knowledge, "pin_bushing", "noisy").case == walked(knowledge, "2", "2").case


@pytest.mark.parametrize(
    ("answers", "bad", "words"),
    [
        ((), "9", "not on the list"),
        ((), "", "give one number"),
        (("1", "1"), "84", "degC"),
        (("1", "1"), "84 rpm", "temperature"),
        (("1", "1", "84 degC"), "99", "not on the list"),
        (("1", "1", "84 degC"), "perhaps", "not on the list"),
    ],
)
def test_a_wrong_answer_says_what_would_be_right(
    knowledge: Knowledge, answers: tuple[str, ...], bad: str, words: str
) -> None:
    walk = walked(knowledge, *answers)
    with pytest.raises(InputError) as fault:
        answer(walk, next_step(walk, knowledge), bad, knowledge)
    assert words in str(fault.value)


def test_only_one_answer_where_only_one_can_hold(knowledge: Knowledge) -> None:
    single = next(q for q in knowledge.questions.values() if q.choose == "one" and len(q.options) > 1)
    choices = tuple(Step("x", "look", "").choices)
    assert choices == ()
    walk = walked(knowledge, "1", "1")
    step = next(s for _, s in steps_of(walk, knowledge) if s.id == f"look:{single.id}" or s.single)
    with pytest.raises(InputError, match="only one of these"):
        answer(walk, step, "1 2", knowledge)


def test_a_contradiction_is_refused_at_once_so_that_the_file_stays_readable(knowledge: Knowledge) -> None:
    walk = walked(knowledge, "1", "7")
    bore = Step("fact:point.bearing.bore", "free", "")
    walk = answer(walk, bore, "60 mm", knowledge)
    with pytest.raises(InputError):
        answer(walk, Step("fact:point.bearing.outside", "free", ""), "50 mm", knowledge)


def test_back_is_the_exact_inverse_of_every_step(knowledge: Knowledge) -> None:
    before = Walk()
    for walk, step in steps_of(before, knowledge, "1"):
        if step.kind in ("one", "look", "gate"):
            after = answer(walk, step, "1", knowledge)
            assert back(after, knowledge) == walk
        if len(walk.trail) > 6 or step.kind == "free":
            break
    assert back(Walk(), knowledge) == Walk()


def test_unknown_everywhere_ends_and_changes_nothing(knowledge: Knowledge) -> None:
    start = walked(knowledge, "1", "1")
    visited = list(steps_of(start, knowledge))
    assert visited[-1][0].case == start.case
    assert visited[-1][1].settled
    ids = [step.id for _, step in visited]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("kind", ["1", "2", "3"])
def test_every_kind_and_a_failed_part_and_a_plan_come_to_an_end(knowledge: Knowledge, kind: str) -> None:
    for complaint in ("6", "7"):
        steps = [step for _, step in steps_of(walked(knowledge, kind, complaint), knowledge)]
        assert steps[-1].kind == "done"
        assert not any(step.id == "fact:point.running_temperature" for step in steps)


def test_a_gate_answered_no_leaves_out_its_stage_and_the_later_ones(knowledge: Knowledge) -> None:
    walk = walked(knowledge, "1", "2")
    stages = {"running"}
    for _ in range(200):
        step = next_step(walk, knowledge)
        if step.kind == "done":
            break
        if step.kind == "look":
            stages.add(knowledge.questions[step.id.removeprefix("look:")].stage)
        walk = answer(walk, step, "2" if step.kind == "gate" else "?", knowledge)
    assert stages <= {"running"}
    assert step.kind == "done"


def test_smoke_is_urgent_as_soon_as_it_is_said(knowledge: Knowledge) -> None:
    walk = walked(knowledge, "1", "1", "84 degC")
    step = next(s for _, s in steps_of(walk, knowledge) if "smoke_or_burnt_smell" in [c.key for c in s.choices])
    number = [c.key for c in step.choices].index("smoke_or_burnt_smell") + 1
    assert urgency_now(walk.case, knowledge).level != "stop_now"
    assert urgency_now(answer(walk, step, str(number), knowledge).case, knowledge).level == "stop_now"


def test_what_was_passed_over_is_remembered_across_save_and_load(knowledge: Knowledge, tmp_path: Path) -> None:
    path = tmp_path / "w.yaml"
    walk = pass_over(walked(knowledge, "1", "1"), next_step(walked(knowledge, "1", "1"), knowledge))
    savefile.save(path, walk)
    again = savefile.load(path, knowledge)
    assert again == walk
    assert next_step(again, knowledge) == next_step(walk, knowledge)


def test_a_hand_written_case_is_kept_beside_before_it_is_changed(knowledge: Knowledge, tmp_path: Path) -> None:
    path = tmp_path / "w.yaml"
    path.write_text("# my remark\npoint: {kind: rolling_bearing}\n")
    savefile.save(path, savefile.load(path, knowledge))
    assert (tmp_path / "w.before-ask.yaml").read_text().startswith("# my remark")
    savefile.save(path, savefile.load(path, knowledge))
    assert (tmp_path / "w.before-ask.yaml").read_text().startswith("# my remark")


def test_a_spoilt_trail_says_what_to_do(knowledge: Knowledge, tmp_path: Path) -> None:
    path = tmp_path / "w.yaml"
    savefile.save(path, walked(knowledge, "1"))
    savefile.sidecar(path).write_text("{")
    with pytest.raises(InputError, match="delete it"):
        savefile.load(path, knowledge)


def told_by(case: Case, step: Step) -> str:
    """What somebody who knows this case would type."""
    path = step.id.removeprefix("fact:")
    if step.kind == "gate":
        return "yes"
    if step.kind == "look":
        marks = {"yes": "{}", "probably": "{}?", "probably_not": "-{}?", "no": "-{}"}
        known = enumerate((case.seen.get(choice.key, "unknown") for choice in step.choices), 1)
        return " ".join(marks[degree].format(number) for number, degree in known if degree in marks) or "?"
    value = value_at(case, path)
    if value in (None, (), ""):
        return "?"
    if step.kind == "free":
        return units.write(value, dimension(path))
    return " ".join(value) if isinstance(value, tuple) else {True: "yes", False: "no"}.get(value, value)


def dimension(path: str) -> str:
    owner = Case
    *parents, last = path.split(".")
    for name in parents:
        owner = next(f.metadata["class"] for f in fields(owner) if f.name == name)
    return str(next(f.metadata["dimension"] for f in fields(owner) if f.name == last))


@pytest.mark.parametrize("name", ["dryer_fan_hot_after_greasing", "exhaust_fan_washboard", "pan_mill_grit"])
def test_the_walk_leads_to_the_same_cause_as_the_case_file(knowledge: Knowledge, name: str) -> None:
    case = read_case(demo.cases()[name], knowledge)
    walk = Walk()
    for _ in range(120):
        step = next_step(walk, knowledge)
        if step.kind == "done":
            break
        walk = answer(walk, step, told_by(case, step), knowledge)
    assert step.kind == "done"
    written, led = review(case, knowledge), review(walk.case, knowledge)
    assert led.causes[0].id == written.causes[0].id
    assert led.urgency.level == written.urgency.level


# Through a pseudo-terminal and a pipe


def terminal(tmp_path: Path, *arguments: str) -> pexpect.spawn:
    return pexpect.spawn(
        DIAG,
        ["ask", *arguments],
        cwd=str(tmp_path),
        encoding="utf-8",
        timeout=30,
        dimensions=(60, 100),
        echo=False,
    )


def put(child: pexpect.spawn, text: str) -> str:
    """Types a line at the prompt and gives what stands before the next prompt or the end."""
    child.sendline(text)
    child.expect(["\n> ", pexpect.EOF])
    return str(child.before).replace("\r\n", "\n")


def test_a_whole_walk_through_a_terminal_ends_with_the_page(tmp_path: Path) -> None:
    child = terminal(tmp_path, "fan.yaml")
    child.expect(PROMPT)
    assert "Each answer is saved in fan.yaml" in child.before
    assert "What brings you here" in put(child, "1")
    shown = put(child, "1")
    assert "It decides" not in shown
    assert "thermometer" in put(child, "why")
    assert "so far" in put(child, "help")
    assert "degC" in put(child, "84")
    shown = put(child, "84 degC")
    assert "%" not in shown
    so_far = put(child, "so far")
    assert "MAY IT KEEP TURNING?" in so_far
    assert "WHAT IT LIKELY IS" in so_far
    told = ""
    while "Kept in fan.yaml" not in told:
        told += put(child, "?")
    assert told.count("Settled.") == 1
    assert told.index("Settled.") < told.index("WHAT IT LIKELY IS")
    child.close()
    assert child.exitstatus == 0


def test_a_kill_loses_nothing_and_the_same_command_goes_on(tmp_path: Path, knowledge: Knowledge) -> None:
    child = terminal(tmp_path, "fan.yaml")
    child.expect(PROMPT)
    for text in ("1", "1", "84 degC"):
        shown = put(child, text)
    question = shown.split("Question 4 (not settled yet)\n")[1].splitlines()[-2]
    put(child, "skip")
    child.kill(signal.SIGKILL)
    child.wait()
    assert read_case(tmp_path / "fan.yaml", knowledge).point.running_temperature == 84
    again = terminal(tmp_path, "fan.yaml")
    again.expect(PROMPT)
    assert "Going on with fan.yaml" in again.before
    assert "4 questions were put before" in again.before
    assert question not in again.before
    assert question in put(again, "back")
    assert "All is saved in fan.yaml" in put(again, "quit")
    again.close()
    assert again.exitstatus == 0


@pytest.mark.parametrize("leave", ["eof", "interrupt"])
def test_end_of_input_and_ctrl_c_leave_with_all_saved(tmp_path: Path, knowledge: Knowledge, leave: str) -> None:
    child = terminal(tmp_path, "fan.yaml")
    child.expect(PROMPT)
    put(child, "2")
    child.sendeof() if leave == "eof" else child.sendintr()
    child.expect("All is saved in fan.yaml")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    assert read_case(tmp_path / "fan.yaml", knowledge).point.kind == "pin_bushing"


def test_through_a_pipe_with_a_file_named_by_time(tmp_path: Path) -> None:
    done = subprocess.run(
        [DIAG, "ask"], input="1\n2\nback\n1\n70 degC\n", capture_output=True, text=True, check=False,
        cwd=tmp_path, timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    (case,) = tmp_path.glob("case-*.yaml")
    assert f"Each answer is saved in {case.name}" in done.stdout
    assert "complaint: hot" in case.read_text()
    trail = json.loads(case.with_suffix(".ask.json").read_text())
    assert [given["step"] for given in trail["trail"]] == [
        "fact:point.kind", "fact:complaint", "fact:point.running_temperature",
    ]  # fmt: skip


def test_nothing_answered_saves_nothing(tmp_path: Path) -> None:
    done = subprocess.run(
        [DIAG, "ask"], input="quit\n", capture_output=True, text=True, check=False, cwd=tmp_path, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_missing_is_said_before_the_first_question(tmp_path: Path) -> None:
    done = subprocess.run(
        [DIAG, "ask", "no/where.yaml"],
        input="",
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        timeout=60,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "no such folder" in done.stderr
