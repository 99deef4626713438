"""`diag knowledge ...`: arguments only."""

from __future__ import annotations

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
