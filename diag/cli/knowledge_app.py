"""`diag knowledge ...`: arguments only."""

# Annotations are no texts here: typer would evaluate each of them on every start, also for --help.

from enum import StrEnum
from typing import Annotated

import typer

from diag.cli.options import AsJson

__all__ = ["knowledge_app"]

knowledge_app = typer.Typer(rich_markup_mode=None, help="Look into the knowledge, and check it.")


@knowledge_app.callback(invoke_without_command=True)
def top(context: typer.Context) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@knowledge_app.command()
def check(as_json: AsJson = False) -> None:
    """Run every lint rule over the knowledge."""
    from diag.cli import knowledge_commands

    knowledge_commands.check(as_json)


@knowledge_app.command()
def signs(as_json: AsJson = False) -> None:
    """All signs under the question that asks for them."""
    from diag.cli import knowledge_commands

    knowledge_commands.signs(as_json)


@knowledge_app.command()
def causes(as_json: AsJson = False) -> None:
    """All causes."""
    from diag.cli import knowledge_commands

    knowledge_commands.causes(as_json)


@knowledge_app.command()
def show(
    record: Annotated[str, typer.Argument(metavar="ID", help="Id of a cause, question, sign, source ...")],
    as_json: AsJson = False,
) -> None:
    """One record of the knowledge with its sources."""
    from diag.cli import knowledge_commands

    knowledge_commands.show(record, as_json)


class PointKind(StrEnum):
    """Kinds of point."""

    rolling_bearing = "rolling_bearing"
    pin_bushing = "pin_bushing"
    slideway = "slideway"


Seed = Annotated[int, typer.Option("--seed", min=0, help="The same seed gives the same numbers.")]


@knowledge_app.command()
def simulate(
    cases: Annotated[int, typer.Option("--cases", min=1, help="Points to draw; some 0.2 s each.")] = 2000,
    seed: Seed = 0,
    kind: Annotated[PointKind | None, typer.Option("--kind", help="One kind of point; else all three.")] = None,
    own: Annotated[bool, typer.Option("--own", help="Draw from the knowledge itself: proves the code only.")] = False,
    as_json: AsJson = False,
) -> None:
    """Score the guided walk on invented points in worlds that differ from the knowledge."""
    from diag.cli import assessment_commands

    assessment_commands.trial(cases, seed, kind.value if kind else None, own, as_json)


@knowledge_app.command()
def sensitivity(
    folder: Annotated[
        list[str] | None, typer.Option("--cases", metavar="FOLDER", help="A folder of further case files; repeatable.")
    ] = None,
    drawn: Annotated[int, typer.Option("--drawn", min=0, help="Cases to draw beside them.")] = 60,
    seed: Seed = 0,
    as_json: AsJson = False,
) -> None:
    """Move every level word by one step and tell what changes."""
    from diag.cli import assessment_commands

    assessment_commands.sense(folder or [], drawn, seed, as_json)


@knowledge_app.command()
def separability(as_json: AsJson = False) -> None:
    """Which causes can be told apart, at which stage, and what settles the others."""
    from diag.cli import assessment_commands

    assessment_commands.separability(as_json)


@knowledge_app.command()
def rates(as_json: AsJson = False) -> None:
    """Base rates beside the published shares, and by complaint."""
    from diag.cli import assessment_commands

    assessment_commands.rates(as_json)
