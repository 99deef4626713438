"""The knowledge loads whole, or says file, line, path, what was found and what was expected."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml

from diag.errors import InputError, KnowledgeError
from diag.knowledgebase import data_folder, load, standard
from diag.knowledgebase.yamlfast import parse
from tests.tiny import BASE, knowledge

# Folder of the broken file → every fault it must give, word for word.
BROKEN = {
    "unknown_key": ["cautions.yaml:3: cautions[0].befor: unknown key befor; did you mean before?"],
    "wrong_type": ["remedies.yaml:3: remedies[1].work_h: found 'a while'; expected a number"],
    "duplicate_key": ["causes/normal_transient.yaml:4: the key name stands twice, first in line 2"],
    "duplicate_id": ["circumstances.yaml: wet: the id wet is taken already"],
    "file_name": ["causes/overheating.yaml: id: found overheated; expected overheating, the name of the file"],
    "syntax": ["cautions.yaml:2: did not find expected ',' or ']'"],
    "missing_key": ["readings.yaml:8: readings[0].gives[0]: the key yes_at is missing; expected a number"],
    "wrong_word": ["causes/overheating.yaml:3: role: found 'consequence'; expected one of root, mechanism, damage"],
    "stray_file": ["notes.yaml: no part of the knowledge has this file name"],
    "sign_twice": ["looks/more.yaml: again: the id hotter_than_usual is taken already, in looks/all.yaml"],
    "wrong_list_name": ["cautions.yaml: expected the one key cautions, found warnings"],
    "two_faults": ["causes/overheating.yaml:4: group: found ['heat']; expected text",
                   "causes/overheating.yaml:8: produces[0].chance: found 0.8; expected text"],
}


def broken(name: str, into: Path) -> Path:
    """The sound knowledge with the broken file of `name` laid over it."""
    shutil.copytree(BASE, into, dirs_exist_ok=True)
    shutil.copytree(BASE.parent / name, into, dirs_exist_ok=True)
    return into


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_named_with_line_and_remedy(name: str, tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError) as caught:
        load(broken(name, tmp_path))
    assert sorted(map(str, caught.value.faults)) == BROKEN[name]


def test_every_broken_folder_is_tried() -> None:
    folders = {p.name for p in BASE.parent.iterdir() if p.is_dir()}
    assert folders == {*BROKEN, "base", "not_a_record"}


def test_a_file_of_another_shape_names_all_it_lacks(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError) as caught:
        load(broken("not_a_record", tmp_path))
    texts = list(map(str, caught.value.faults))
    assert any(text.startswith("limits.yaml:1: words: unknown key words") for text in texts)
    assert "limits.yaml:1: the key seal is missing; expected a table of a Limit" in texts


def test_faults_of_all_files_come_together(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    for name in ("unknown_key", "wrong_type", "stray_file"):
        shutil.copytree(BASE.parent / name, tmp_path, dirs_exist_ok=True)
    with pytest.raises(KnowledgeError) as caught:
        load(tmp_path)
    assert len(caught.value.faults) == 3
    assert str(caught.value).endswith("(+2 more)")


def test_a_missing_file_and_an_empty_folder_are_said(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match="no knowledge files in this folder"):
        load(tmp_path / "nowhere")
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    (tmp_path / "words.yaml").unlink()
    with pytest.raises(KnowledgeError, match=r"^words\.yaml: the file is missing$"):
        load(tmp_path)


def test_records_are_reached_by_id() -> None:
    k = knowledge()
    assert k.signs["milky"].condition == "water_in_grease"
    assert k.question_of["milky"] == "inside"
    assert k.signs_of["runs_hot"] == ("hotter_than_usual", "hotter_than_sister")
    assert k.level("chance", "usual") == 0.8
    assert k.level("chance", "0.33") == 0.33
    assert k.cite(("handbook", "practice"), "verified") == "a textbook house: A handbook; common practice (verified)"


def test_the_fingerprint_follows_the_contents(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path / "one")
    shutil.copytree(BASE, tmp_path / "two")
    (tmp_path / "two" / "standards" / "numbers.yaml").write_text("answer: 43\n")
    one, two = load(tmp_path / "one").fingerprint, load(tmp_path / "two").fingerprint
    assert one == knowledge().fingerprint
    assert one != two
    assert len(one) == 16


def test_standards_are_read_by_name_and_a_wrong_name_lists_the_right_ones() -> None:
    k = knowledge()
    assert (k.standards, k.standard("numbers")) == (("numbers",), {"answer": 42})
    with pytest.raises(KnowledgeError, match=r"standards/digits\.yaml: no such table; there are: numbers"):
        k.standard("digits")
    assert standard("iso_281")["title"]


def test_site_experience_changes_only_the_factors() -> None:
    k = knowledge()
    more = k.with_base_rates({"over_greasing": 2.0})
    assert (more.base_rate_factors, k.base_rate_factors) == ({"over_greasing": 2.0}, {})
    assert more.fingerprint == k.fingerprint
    assert more.signs == k.signs


@pytest.mark.parametrize(("factors", "message"), [
    ({"over_grasing": 2.0}, "over_grasing: no such cause"), ({"over_greasing": 0.0}, "0.0 is no positive factor"),
    ({"over_greasing": float("nan")}, "nan is no positive factor")])
def test_site_experience_must_be_positive_factors_of_known_causes(factors: dict[str, float], message: str) -> None:
    with pytest.raises(InputError, match=message):
        knowledge().with_base_rates(factors)


def test_a_retired_cause_can_be_read_but_takes_no_part(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    path = tmp_path / "causes" / "water_ingress.yaml"
    path.write_text(path.read_text() + "status: retired\n")
    k = load(tmp_path)
    assert ("water_ingress" in k.causes, "water_ingress" in k.retired) == (False, True)


def test_the_carried_knowledge_loads_once_a_process() -> None:
    assert load() is load()
    assert data_folder().name == "knowledge"
    assert len(load().causes) >= 18


def test_plain_words_stay_words_and_numbers_become_numbers() -> None:
    text = "{a: yes, b: 1:30, c: '000', d: 007, e: 12, f: -2.5, g: true, h: null, i: 1e3, j: 2024-05-01, k: ''}"
    assert parse(text) == {"a": "yes", "b": "1:30", "c": "000", "d": "007", "e": 12, "f": -2.5, "g": True, "h": None,
                           "i": 1000.0, "j": "2024-05-01", "k": ""}


@pytest.mark.parametrize(("text", "problem"), [
    ("a: !!python/object:os.system x", "has no place here"), ("{[a]: b}", "a key must be a word"),
    ("a: 1\nb: 2\na: 3", "the key a stands twice, first in line 1"), ("a: [", "did not find expected node content")])
def test_what_is_no_plain_data_is_refused(text: str, problem: str) -> None:
    with pytest.raises(yaml.YAMLError, match=problem):
        parse(text)


def test_sayings_are_read_late_and_their_faults_named_then(tmp_path: Path) -> None:
    folder = tmp_path / "knowledge"
    shutil.copytree(BASE, folder)
    (folder / "sayings" / "more.yaml").write_text("hotter_than_usual: {say: [glows]}\n")
    (folder / "sayings" / "other.yaml").write_text("# grease\nmilky: {says: [like milk]}\n")
    carried = load(folder)
    with pytest.raises(KnowledgeError) as caught:
        carried.sayings()
    assert sorted(map(str, caught.value.faults)) == [
        "sayings/more.yaml: hotter_than_usual: the id hotter_than_usual is taken already",
        "sayings/other.yaml:2: milky.says: unknown key says; did you mean say?",
    ]
