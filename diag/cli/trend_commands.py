"""`diag trend`: what a temperature log tells, and into the case file with it."""

from __future__ import annotations

from pathlib import Path

import msgspec

from diag import answers, knowledgebase, standardinput, urgency
from diag.case import read_case, replace_file, save
from diag.case.model import Case
from diag.cli.output import put
from diag.errors import Fault, InputError
from diag.extras import needs
from diag.findings import Urgency
from diag.knowledgebase import Knowledge
from diag.report import json
from diag.report.figures import System
from diag.standardinput import STDIN
from diag.trend.signs import Written, supersede
from diag.trend.signs import answers as answers_of
from diag.trend.table import LARGEST

__all__ = ["trend"]


def trend(log: str, event: str, into: str, plot: str, column: str, as_json: bool, units: System) -> None:
    """Read, analyse, print; then the plot and the case file. Raises InputError."""
    needs("reading logs", "tables")
    from diag.trend.analyse import work
    from diag.trend.log import read_log
    from diag.trend.page import page
    from diag.trend.plot import draw

    knowledge = knowledgebase.load()
    case = read_case(into, knowledge) if into else Case()
    raw, name = _bytes(log)
    worked = work(read_log(raw, name, event, column), knowledge)
    found = answers_of(worked.trend, knowledge)
    earlier = _earlier(Path(into)) if into else Written(1, {}, {})
    merged, told, added = supersede(case, earlier, worked.trend, knowledge)
    if plot:
        draw(worked, Path(plot), units)
    if into:
        _keep(Path(into), merged, added)
    told = told if into else ()
    level = _urgency(merged, found, knowledge)
    if as_json:
        facts = msgspec.structs.asdict(worked.trend)
        put(json.text({**facts, "answers": found, "urgency": level, "written": told}))
    else:
        put(page(worked.trend, found, level, merged, knowledge, units, told))


def _keep(path: Path, case: Case, added: Written) -> None:
    """Save the case; beside it what stood there, comments and all, and what the log put in.

    The copy has no ending of a case file, so that a batch of the folder doesn't read each case twice.
    """
    try:
        replace_file(path.with_name(f"{path.name}.before-trend"), path.read_bytes())
        replace_file(_sidecar(path), msgspec.json.format(msgspec.json.encode(added), indent=1) + b"\n")
    except OSError as error:
        raise InputError(Fault(f"no copy can be kept beside it ({error.strerror})", str(path))) from None
    save(path, case)


def _sidecar(path: Path) -> Path:
    """`fan.yaml` → `fan.trend.json`"""
    return path.with_suffix(".trend.json")


def _earlier(path: Path) -> Written:
    """What an earlier log put into this case file; nothing where there was none. Raises InputError."""
    beside = _sidecar(path)
    try:
        return msgspec.json.decode(beside.read_bytes(), type=Written)
    except FileNotFoundError:
        return Written(1, {}, {})
    except (OSError, msgspec.MsgspecError) as error:
        what = f"can't be read ({error}); it keeps what an earlier log put into {path.name}, delete it to count that "
        raise InputError(Fault(f"{what}as your own", str(beside))) from None


def _bytes(name: str) -> tuple[bytes, str]:
    if name == "-":
        return standardinput.stream().read(LARGEST + 1), STDIN
    path = Path(name)
    if path.is_dir():
        raise InputError(Fault("is a folder; name the log file", name))
    try:
        with path.open("rb") as stream:
            return stream.read(LARGEST + 1), path.name
    except FileNotFoundError:
        raise InputError(Fault("there is no such file", name)) from None
    except OSError as error:
        raise InputError(Fault(f"can't be read ({error.strerror})", name)) from None


def _urgency(case: Case, found: tuple[answers.Answer, ...], knowledge: Knowledge) -> Urgency:
    """By the rules that judge every case, on what the case and the log say."""
    held = answers.collect(case, knowledge, found)
    return urgency.judge(case, held, {}, {}, knowledge)
