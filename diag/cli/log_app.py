"""`diag log ...`: arguments only."""

# Annotations are no texts here: typer would evaluate each of them on every start, also for --help.

from enum import StrEnum
from typing import Annotated

import typer

from diag.cli.options import AsJson, CaseFile, Units, UnitSystem

__all__ = ["LogPlace", "RecordId", "log_app"]


class By(StrEnum):
    """How a cause is known. Only the first two count as confirmed."""

    inspection = "inspection"
    laboratory = "laboratory"
    unconfirmed = "unconfirmed"


class YesNo(StrEnum):
    yes = "yes"
    no = "no"


LogPlace = Annotated[
    str, typer.Option("--log", metavar="PATH|URL", help="The log; else DIAG_LOG, else one in your data folder.")
]
RecordId = Annotated[str, typer.Argument(metavar="ID", help="Id of the case in the log.")]
Notes = Annotated[list[str], typer.Option("--note", metavar="TEXT", help="A note, without names of people.")]
Work = Annotated[list[str], typer.Option("--work", metavar="TEXT", help="Work that was done.")]

log_app = typer.Typer(rich_markup_mode=None, help="Keep cases: what was found, done, confirmed, and what is due.")


@log_app.callback(invoke_without_command=True)
def top(context: typer.Context) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@log_app.command()
def add(case: CaseFile, note: Notes = [], work: Work = [], log: LogPlace = "") -> None:  # noqa: B006  typer copies
    """Review a case and keep it with its findings."""
    from diag.cli import log_commands

    log_commands.add(case, note, work, log)


@log_app.command("list")
def list_(
    machine: Annotated[str, typer.Option("--machine", metavar="TEXT", help="Only machines named so.")] = "",
    point: Annotated[str, typer.Option("--point", metavar="TEXT", help="Only points named so.")] = "",
    only_open: Annotated[bool, typer.Option("--open", help="Only cases not closed.")] = False,
    as_json: AsJson = False,
    log: LogPlace = "",
) -> None:
    """List cases, oldest first."""
    from diag.cli import log_commands

    log_commands.list_(machine, point, only_open, as_json, log)


@log_app.command()
def show(record: RecordId, as_json: AsJson = False, log: LogPlace = "") -> None:
    """Show one case with all that came after, and what the log says of it."""
    from diag.cli import log_commands

    log_commands.show(record, as_json, log)


@log_app.command()
def search(
    words: Annotated[str, typer.Argument(metavar="TEXT", help="Words that must all occur.")],
    as_json: AsJson = False,
    log: LogPlace = "",
) -> None:
    """Search cases, notes, work and confirmed causes."""
    from diag.cli import log_commands

    log_commands.search(words, as_json, log)


@log_app.command()
def note(
    record: RecordId,
    note: Notes = [],  # noqa: B006
    work: Work = [],  # noqa: B006
    action: Annotated[str, typer.Option("--action", metavar="TEXT", help="Something still to do.")] = "",
    due: Annotated[str, typer.Option("--due", metavar="YYYY-MM-DD", help="When to look at the action again.")] = "",
    log: LogPlace = "",
) -> None:
    """Add notes, work done or an action to a case."""
    from diag.cli import log_commands

    log_commands.note(record, note, work, action, due, log)


@log_app.command()
def confirm(
    record: RecordId,
    cause: Annotated[list[str], typer.Option("--cause", metavar="ID", help="Cause found; may be repeated.")] = [],  # noqa: B006
    by: Annotated[By | None, typer.Option("--by", help="How that is known.")] = None,
    held: Annotated[YesNo | None, typer.Option("--held", help="Did what was done hold?")] = None,
    log: LogPlace = "",
) -> None:
    """Close a case: what it was, how that is known, whether the cure held."""
    from diag.cli import log_commands

    log_commands.confirm(record, cause, by.value if by else None, None if held is None else held is YesNo.yes, log)


@log_app.command()
def reopen(
    record: RecordId,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="Why.")] = "",
    log: LogPlace = "",
) -> None:
    """Open a closed case again; its history stays."""
    from diag.cli import log_commands

    log_commands.reopen(record, note, log)


@log_app.command()
def due(as_json: AsJson = False, log: LogPlace = "") -> None:
    """List open actions, the first due first."""
    from diag.cli import log_commands

    log_commands.due(as_json, log)


@log_app.command()
def done(
    action: Annotated[str, typer.Argument(metavar="ACTION", help="Key of the action, as `due` shows it.")],
    log: LogPlace = "",
) -> None:
    """Tick an action off."""
    from diag.cli import log_commands

    log_commands.done(action, log)


@log_app.command()
def export(
    out: Annotated[str, typer.Argument(metavar="OUT", help="File of JSON lines.")],
    log: LogPlace = "",
) -> None:
    """Write the whole log as JSON lines."""
    from diag.cli import log_commands

    log_commands.export(out, log)


@log_app.command("import")
def import_(
    name: Annotated[str, typer.Argument(metavar="FILE", help="An export; - reads standard input.")],
    log: LogPlace = "",
) -> None:
    """Bring in an export: all of it or nothing; what is here already stays."""
    from diag.cli import log_commands

    log_commands.import_(name, log)


@log_app.command()
def experience(
    site: Annotated[str, typer.Option("--site", metavar="TEXT", help="Only cases of this site.")] = "",
    as_json: AsJson = False,
    log: LogPlace = "",
) -> None:
    """Show what confirmed cases teach: base rates before and after."""
    from diag.cli import inquiry_commands

    inquiry_commands.experience(site, as_json, log)


@log_app.command()
def similar(
    case: Annotated[str, typer.Argument(metavar="CASE", help="Case file, - for standard input, or an id of the log.")],
    most: Annotated[int, typer.Option("--most", min=1, help="How many cases to show.")] = 5,
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
    log: LogPlace = "",
) -> None:
    """Find the cases most like this one: what was done, whether it held."""
    from diag.cli import inquiry_commands

    inquiry_commands.similar(case, most, as_json, units.value, log)


@log_app.command()
def inquiry(
    record: RecordId,
    answers: Annotated[str, typer.Option("--answers", metavar="FILE", help="Take the answers of a YAML file.")] = "",
    out: Annotated[str, typer.Option("--out", metavar="FILE", help="Write it as .md or .html.")] = "",
    units: Units = UnitSystem.metric,
    log: LogPlace = "",
) -> None:
    """Be led through the review after a failure: chain of causes, why it could happen, what is done, whom to tell."""
    from diag.cli import inquiry_commands

    inquiry_commands.inquiry(record, answers, out, units.value, log)
