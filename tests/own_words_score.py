"""How well free text is read: `python -m tests.own_words_score` prints precision and recall of each set; with names
of sets behind it, what is read otherwise than meant there, too.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from diag import units
from diag.knowledgebase import Knowledge, load
from diag.words import Reading, read

HERE = Path(__file__).resolve().parent
FOLDER = HERE / "own_words"
OF_ONE_HAND = ("first", "second", "third", "fourth", "held_out", "other_voice")  # by the hand that wrote phrases
VOICES = tuple(sorted(p.stem for p in FOLDER.glob("voice_*.yaml")))  # by others, who knew neither phrases nor reader
FRESH = ("voice_m", "voice_n")  # what makes a yes was set on all the others
POSITIVE, NEGATIVE = ("yes", "probably"), ("probably_not", "no")


@dataclass(frozen=True)
class Score:
    """Counts over a set of texts; a sign read that is neither wanted nor allowed is wrong."""

    read: int
    right: int
    wanted: int
    met: int

    @property
    def precision(self) -> float:
        return self.right / self.read if self.read else 1.0

    @property
    def recall(self) -> float:
        return self.met / self.wanted if self.wanted else 1.0


def sentences(part: str) -> list[dict[str, Any]]:
    name = f"{part}.yaml" if part in VOICES else "sentences.yaml"
    found: Any = yaml.safe_load((FOLDER / name).read_text("utf-8"))
    return list(found if part in VOICES else found[part])


def reading(entry: Mapping[str, Any], knowledge: Knowledge) -> Reading:
    return read(entry["text"], entry.get("kind", "rolling_bearing"), knowledge)


def score(entries: Iterable[Mapping[str, Any]], knowledge: Knowledge, degrees: tuple[str, ...] = ("yes",),
          meant: tuple[str, ...] = ()) -> Score:
    """Of the signs read with one of `degrees` the share that is wanted with one of them, or of `meant` (or allowed);
    and the share of those wanted with one of `degrees` that was read so."""
    n = right = wanted = met = 0
    for entry in entries:
        got = {s.sign for s in reading(entry, knowledge).signs if s.degree in degrees}
        want = {sign for sign, degree in entry["signs"].items() if degree in degrees}
        right_ones = {sign for sign, degree in entry["signs"].items() if degree in (meant or degrees)}
        n, right = n + len(got), right + len(got & (right_ones | set(entry.get("also", ()))))
        wanted, met = wanted + len(want), met + len(want & got)
    return Score(n, right, wanted, met)


def score_quantities(entries: Iterable[Mapping[str, Any]], knowledge: Knowledge) -> Score:
    n = right = wanted = 0
    for entry in entries:
        got = {(q.path, q.value) for q in reading(entry, knowledge).quantities}
        want = {(path, value(path, text, knowledge)) for path, text in entry.get("quantities", {}).items()}
        n, right, wanted = n + len(got), right + len(got & want), wanted + len(want)
    return Score(n, right, wanted, right)


def value(path: str, text: str, knowledge: Knowledge) -> float:
    rule = next(r for r in knowledge.phrases.quantities if r.path == path)
    return units.parse(text, rule.dimension)


def published(knowledge: Knowledge) -> list[dict[str, Any]]:
    """The observed facts of the published cases as texts, with the signs encoded by hand before any reader was."""
    folder = HERE / "published_cases"
    found = []
    for name, facts in yaml.safe_load((folder / "observed.yaml").read_text("utf-8")).items():
        case = yaml.safe_load((folder / f"{name}.yaml").read_text("utf-8"))
        found.append({"text": ". ".join(facts), "kind": case["point"]["kind"], "signs": case["seen"], "name": name})
    return found


def lines(knowledge: Knowledge) -> list[str]:
    found = []
    earlier = [e for part in VOICES if part not in FRESH for e in sentences(part)]
    groups = (*((part, sentences(part)) for part in (*OF_ONE_HAND, *VOICES)), ("earlier voices", earlier),
              ("fresh voices", [e for part in FRESH for e in sentences(part)]))
    for label, entries in groups:
        found += [f"{label:15s}{line}" for line in (*_of_signs(entries, knowledge), _line(
            "quantities", score_quantities(entries, knowledge)))]
    return found + [f"{'published':15s}{line}" for line in _of_signs(published(knowledge), knowledge)]


def _of_signs(entries: list[dict[str, Any]], knowledge: Knowledge) -> Iterator[str]:
    yield _line("yes", score(entries, knowledge))
    yield _line("yes, meant so at all", score(entries, knowledge, meant=POSITIVE))
    yield _line("yes or probably", score(entries, knowledge, POSITIVE))
    yield _line("no or probably not", score(entries, knowledge, NEGATIVE))


def _line(what: str, s: Score) -> str:
    return (f"{what:22s} precision {s.precision:.2f} ({s.right} of {s.read}), "
            f"recall {s.recall:.2f} ({s.met} of {s.wanted})")


def differences(entries: Iterable[Mapping[str, Any]], knowledge: Knowledge) -> list[str]:
    found = []
    for entry in entries:
        made = reading(entry, knowledge)
        got, want = {s.sign: s.degree for s in made.signs}, entry["signs"]
        extra = {s: d for s, d in got.items() if s not in want and s not in entry.get("also", ())}
        other = {s: (got.get(s), d) for s, d in want.items() if got.get(s) != d}
        numbers = {q.path: q.text for q in made.quantities}
        if extra or other or set(numbers) != set(entry.get("quantities", {})):
            found.append(f"{entry['text'][:110]}\n    extra {extra}\n    wanted (got, want) {other}\n    {numbers}")
    return found


if __name__ == "__main__":
    carried = load()
    if sys.argv[1:]:
        print("\n".join(line for part in sys.argv[1:] for line in differences(sentences(part), carried)))
    print("\n".join(lines(carried)))
