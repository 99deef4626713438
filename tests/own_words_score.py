"""How well free text is read: `python -m tests.own_words_score` prints precision and recall of each set."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from diag import units
from diag.knowledgebase import Knowledge, load
from diag.words import Reading, read

HERE = Path(__file__).resolve().parent
TUNED = ("first", "second", "third", "fourth")  # sets of sentences that the reader was tuned on
HELD_OUT = ("held_out", "other_voice")  # never tuned on
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
    found: dict[str, list[dict[str, Any]]] = yaml.safe_load((HERE / "own_words" / "sentences.yaml").read_text("utf-8"))
    return found[part]


def reading(entry: Mapping[str, Any], knowledge: Knowledge) -> Reading:
    return read(entry["text"], entry.get("kind", "rolling_bearing"), knowledge)


def score(entries: Iterable[Mapping[str, Any]], knowledge: Knowledge, degrees: tuple[str, ...] = ("yes",)) -> Score:
    """Of the signs read with one of `degrees` the share that is wanted with one of them (or allowed); and the
    share of those wanted that was read so."""
    n = right = wanted = met = 0
    for entry in entries:
        got = {s.sign for s in reading(entry, knowledge).signs if s.degree in degrees}
        want = {sign for sign, degree in entry["signs"].items() if degree in degrees}
        n, right = n + len(got), right + len(got & (want | set(entry.get("also", ()))))
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
    for label, entries in (*((part, sentences(part)) for part in (*TUNED, *HELD_OUT)),
                           ("published", published(knowledge))):
        for what, degrees in (("yes", ("yes",)), ("yes or probably", POSITIVE), ("no or probably not", NEGATIVE)):
            s = score(entries, knowledge, degrees)
            found.append(f"{label:12s}{what:20s} precision {s.precision:.2f} ({s.right} of {s.read}), "
                         f"recall {s.recall:.2f} ({s.met} of {s.wanted})")
        s = score_quantities(entries, knowledge)
        found.append(f"{label:12s}{'quantities':20s} precision {s.precision:.2f} ({s.right} of {s.read}), "
                     f"recall {s.recall:.2f} ({s.met} of {s.wanted})")
    return found


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
        print("\n".join(line for part in TUNED for line in differences(sentences(part), carried)))
    print("\n".join(lines(carried)))
