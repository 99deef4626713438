"""`diag batch`: many cases to JSON lines or a flat table, what was wrong beside them, and what they have in common."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Literal

from diag import knowledgebase
from diag.batch import rows
from diag.batch.columns import columns
from diag.batch.files import not_an_input, written
from diag.batch.run import reviewed
from diag.batch.sources import Item, items
from diag.batch.tally import Tally
from diag.cli.experience import site_by_site
from diag.cli.output import put, put_part
from diag.errors import Fault, InputError
from diag.extras import needs
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.wordtext import label

__all__ = ["batch", "template"]

Format = Literal["jsonl", "csv"]
_FAULTS_SHOWN = 20  # on standard error, when no file for them is named
_CAUSES_SHOWN = 5


def template() -> None:
    """`diag batch --template`: the header of a table of cases."""
    put(rows.line(columns(knowledgebase.load())))


def batch(names: list[str], out: str, bad: str, summary: str, pareto: str, form: Format | None, text: bool,
          experience: bool) -> None:
    """Review all, good ones out, bad ones aside, counts last. Raises InputError.

    `experience`: with what the log teaches of the site of each case.
    """
    needs("many cases at once", "tables")
    if not names:
        raise InputError("no cases named; give CSV, JSON lines, YAML files or folders, or --template")
    outputs = {"--out": out, "--bad": bad, "--summary": summary, "--pareto": pareto}
    not_an_input({option: name for option, name in outputs.items() if name}, names)
    knowledge = knowledgebase.load()
    form = form or ("csv" if Path(out).suffix.casefold() == ".csv" else "jsonl")
    found = reviewed(_with_bar(items(names, knowledge)), knowledge, text,
                     of_site=site_by_site(knowledge) if experience else None)
    with ExitStack() as files:
        write = files.enter_context(written(out)).write if out else put_part
        fault = _Faults(files.enter_context(written(bad)).write if bad else None)
        tally = _go(found, knowledge, form, write, fault)
    _wrap_up(tally, summary, pareto)
    _tell(tally, fault.items, out, bad)


def _go(source: Iterable[tuple[Item, Findings | None]], knowledge: Knowledge, form: Format,
        write: Callable[[str], object], fault: _Faults) -> Tally:
    tally = Tally()
    if form == "csv":
        write(rows.line(rows.head(knowledge)))
    for item, found in source:
        if item.case is None or found is None:
            fault(item)
            continue
        tally.count(item.case, found)
        write(rows.json_line(found) if form == "jsonl" else
              rows.line(rows.flat(item, item.case, found, knowledge)))
    return tally


class _Faults:
    """Where bad rows go: the side file, or the first of them to standard error. `items`: how many there were."""

    def __init__(self, write: Callable[[str], object] | None) -> None:
        self.items = 0
        self._write = write
        if write:
            write(rows.line(rows.BAD))

    def __call__(self, item: Item) -> None:
        self.items += 1
        if self._write:
            for row in rows.bad_rows(item):
                self._write(rows.line(row))
        elif self.items <= _FAULTS_SHOWN:
            _say(str(InputError(*item.faults)))
        elif self.items == _FAULTS_SHOWN + 1:
            _say("further bad rows are counted only; --bad FILE lists them all")


def _with_bar(source: Iterator[Item]) -> Iterable[Item]:
    """The cases, counted on standard error where a person is there to see it."""
    if not sys.stderr.isatty():
        return source
    from tqdm import tqdm

    bar: Iterable[Item] = tqdm(source, unit=" cases", desc="read")
    return bar


def _wrap_up(tally: Tally, summary: str, pareto: str) -> None:
    if summary:
        with written(summary) as stream:
            tally.write(stream)
    if pareto:
        from diag.batch.pareto import draw

        if not tally.total:
            raise InputError(Fault("there is nothing to draw: no case could be read", "--pareto"))
        draw(tally.causes(), Path(pareto))


def _tell(tally: Tally, bad: int, out: str, aside: str) -> None:
    """The counts: printed where the findings went to a file, else beside them on standard error."""
    where = f", listed in {aside}" if bad and aside else ""
    lines = [f"{tally.total} cases reviewed, {bad} bad {'row' if bad == 1 else 'rows'} left out{where}."]
    if out and tally.total:
        leading = ", ".join(f"{label(c)} {n}" for c, n in tally.causes()[:_CAUSES_SHOWN])
        lines += [f"To stop now or soon: {tally.stopped}. Leading cause: {leading}."]
    if out:
        put("\n".join(lines))
    else:
        _say("\n".join(lines))


def _say(text: str) -> None:
    print(text, file=sys.stderr)
