"""The commands and their arguments. What they do stands in `commands`, which is loaded once one is called."""

# Annotations are no texts here: typer would evaluate each of them on every start, also for --help.

from collections.abc import Sequence
from typing import Annotated

import typer

from diag import __version__
from diag.cli.knowledge_app import knowledge_app
from diag.cli.log_app import log_app
from diag.cli.options import AsJson, BatchFormat, CaseFile, NoExperience, NoText, Report, Units, UnitSystem, Working
from diag.errors import InputError

__all__ = ["app", "run"]

app = typer.Typer(
    name="diag",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="What is wrong with a greased bearing, pin or slide, may it turn on, which grease does it need?",
)
app.add_typer(knowledge_app, name="knowledge")
app.add_typer(log_app, name="log")

# Some versions of typer carry the parser under a name of their own; this is what it raises on wrong usage.
_USAGE: tuple[type[BaseException], ...] = tuple(c for c in typer.BadParameter.__mro__ if c.__name__ == "UsageError")


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command; wrong usage becomes an InputError. Gives the exit status."""
    command = typer.main.get_command(app)
    try:
        status = command.main(None if arguments is None else list(arguments), "diag", standalone_mode=False)
    except _USAGE as fault:
        raise InputError(_usage_words(fault)) from None
    return status if isinstance(status, int) else 0


def _usage_words(fault: BaseException) -> str:
    context = getattr(fault, "ctx", None)
    command = context.command_path if context is not None else "diag"
    words: str = fault.format_message() if hasattr(fault, "format_message") else str(fault)
    return f"{words.rstrip('.')} ({command} --help shows the usage)"


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"diag {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def top(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@app.command()
def ask(
    case: Annotated[str, typer.Argument(metavar="[CASE]", help="Case file to go on with or begin.")] = "",
    units: Units = UnitSystem.metric,
    no_experience: NoExperience = False,
) -> None:
    """Be led through the questions; saves as it goes and resumes."""
    from diag.cli.ask import ask as walk

    walk(case or None, units.value, not no_experience)


@app.command()
def review(
    case: CaseFile,
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
    working: Working = False,
    no_text: NoText = False,
    no_experience: NoExperience = False,
    report: Report = "",
    compare: Annotated[
        tuple[str, str] | None, typer.Option("--compare", metavar="A B", help="Two causes side by side instead.")
    ] = None,
    suppose: Annotated[
        list[str] | None, typer.Option("--suppose", metavar="SIGN=yes", help="What if; repeatable, not stored.")
    ] = None,
    second_opinion: Annotated[
        str, typer.Option("--second-opinion", metavar="MODEL", help="What a model of `diag learn` holds, beside it.")
    ] = "",
) -> None:
    """Review a case: urgency, causes, grease, what to do, regreasing."""
    if compare and report:
        raise InputError("--compare prints two causes side by side and makes no report; leave one of the two out")
    if compare:
        from diag.cli import supposing

        supposing.compare(case, compare, suppose or [], as_json, units.value, not no_text, not no_experience)
        return
    from diag.cli import commands

    commands.review(case, as_json, units.value, working, not no_text, suppose or [], not no_experience, report,
                    second_opinion)


@app.command()
def spec(
    case: CaseFile,
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
    card: Annotated[bool, typer.Option("--card", help="The demands alone, for the counter.")] = False,
    no_text: NoText = False,
    no_experience: NoExperience = False,
) -> None:
    """The grease the point needs, with reasons, or as a card."""
    from diag.cli import commands

    commands.spec(case, as_json, units.value, card, not no_text, not no_experience)


@app.command()
def shelf(
    case: CaseFile,
    sheets: Annotated[
        list[str], typer.Argument(metavar="SHEET...", help="Data sheets (YAML), tables (CSV), label texts.")
    ],
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
    no_experience: NoExperience = False,
    report: Report = "",
) -> None:
    """Which of these data sheets or labels meets it, and why not."""
    from diag.cli import shelf_commands

    shelf_commands.shelf(case, sheets, as_json, units.value, not no_experience, report)


@app.command()
def mix(
    old: Annotated[str, typer.Argument(metavar="OLD", help="THICKENER[/BASE_OIL], or a grease or case file.")],
    new: Annotated[str, typer.Argument(metavar="NEW", help="The grease that is to follow, told alike.")],
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
) -> None:
    """May these two greases meet in one bearing?"""
    from diag.cli import mixing

    mixing.mix(old, new, as_json, units.value)


@app.command()
def regrease(
    case: CaseFile,
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
    working: Working = False,
    no_text: NoText = False,
    no_experience: NoExperience = False,
) -> None:
    """How much grease, how often, and how to."""
    from diag.cli import commands

    commands.regrease(case, as_json, units.value, working, not no_text, not no_experience)


@app.command()
def tree(
    kind: Annotated[
        str, typer.Option("--kind", metavar="KIND", help="rolling_bearing, pin_bushing or slideway.")
    ] = "rolling_bearing",
    complaint: Annotated[
        str, typer.Option("--for", metavar="WORD", help="hot, noisy, leaking, stiff, loose or failed.")
    ] = "hot",
    depth: Annotated[int, typer.Option("--depth", metavar="N", help="Questions in a row at most.")] = 5,
    out: Annotated[str, typer.Option("--html", metavar="OUT", help="Write field cards for paper.")] = "",
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
) -> None:
    """The questions as a decision tree: field cards in text or HTML."""
    from diag.cli import tree_commands

    tree_commands.tree(kind, complaint, depth, out, as_json, units.value)


@app.command()
def trend(
    log: Annotated[str, typer.Argument(metavar="LOG.csv", help="Temperature log; - reads standard input.")],
    event: Annotated[str, typer.Option("--event", metavar="TIME", help="When it was greased.")] = "",
    into: Annotated[str, typer.Option("--into", metavar="CASE", help="Write what it tells into this case file.")] = "",
    plot: Annotated[str, typer.Option("--plot", metavar="OUT.png", help="Draw the course.")] = "",
    column: Annotated[str, typer.Option("--column", metavar="NAME", help="Temperature column, if several.")] = "",
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
) -> None:
    """Read a temperature log around a regreasing: does it settle, stay or climb on?"""
    from diag.cli import trend_commands

    trend_commands.trend(log, event, into, plot, column, as_json, units.value)


@app.command()
def batch(
    cases: Annotated[
        list[str], typer.Argument(metavar="[CASES]...", help="CSV, JSON lines, YAML files or folders; - reads lines.")
    ] = [],  # noqa: B006  typer copies
    template: Annotated[bool, typer.Option("--template", help="Print the header of a CSV of cases.")] = False,
    out: Annotated[str, typer.Option("--out", metavar="FILE", help="Findings into this file.")] = "",
    form: Annotated[
        BatchFormat | None, typer.Option("--format", help="One review a line, or a flat table; else by --out's ending.")
    ] = None,
    bad: Annotated[str, typer.Option("--bad", metavar="FILE", help="What is wrong, by row and column, as CSV.")] = "",
    summary: Annotated[
        str, typer.Option("--summary", metavar="FILE", help="Leading causes by machine, exposure and grease, as CSV.")
    ] = "",
    pareto: Annotated[str, typer.Option("--pareto", metavar="FILE.png", help="Draw the leading causes.")] = "",
    no_text: NoText = False,
    no_experience: NoExperience = False,
) -> None:
    """Review many cases; bad rows are set aside while the good ones go through."""
    from diag.cli import batch_commands

    if template:
        batch_commands.template()
    else:
        batch_commands.batch(cases, out, bad, summary, pareto, form.value if form else None, not no_text,
                             not no_experience)


@app.command()
def learn(
    train: Annotated[str, typer.Option("--train", metavar="OUT", help="Train and keep the model in this file.")] = "",
    assess: Annotated[
        bool, typer.Option("--assess", help="Try it on worlds it wasn't trained on, beside network and guess.")
    ] = False,
    cases: Annotated[int, typer.Option("--cases", help="Invented cases to draw.")] = 2000,
    seed: Annotated[int, typer.Option("--seed", help="The same seed draws the same cases.", min=0)] = 0,
    log: Annotated[
        str, typer.Option("--log", metavar="PATH|URL", help="Add confirmed cases of this case log; - is the usual one.")
    ] = "",
    also: Annotated[
        str, typer.Option("--also", metavar="FOLDER", help="Try it on solved cases too: case files with causes.yaml.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Train or assess the optional second opinion."""
    from diag.cli import learn_commands

    learn_commands.learn(train, assess, cases, seed, log, also, as_json)


@app.command()
def demo(
    name: Annotated[str, typer.Argument(metavar="[NAME]", help="One of --list.")] = "",
    names: Annotated[bool, typer.Option("--list", help="List the invented cases.")] = False,
    as_json: AsJson = False,
    units: Units = UnitSystem.metric,
    working: Working = False,
) -> None:
    """Review a case of the invented brickworks."""
    from diag.cli import demo as brickworks

    if names:
        brickworks.show_list(as_json)
    else:
        brickworks.show(name or None, as_json, units.value, working)


@app.command()
def serve(
    host: Annotated[str, typer.Option("--host", help="Address; another than this machine's own needs --token.")] = (
        "127.0.0.1"
    ),
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="0 takes any free one.")] = 8075,
    token: Annotated[str, typer.Option("--token", help="What one must know to come in.", envvar="DIAG_TOKEN")] = "",
    folder: Annotated[str, typer.Option("--folder", metavar="DIR", help="Where the walks are kept.")] = "diag-walks",
) -> None:
    """The guided walk as a page for phone and desk, and an API."""
    from diag.cli import serve_commands

    serve_commands.serve(host, port, token, folder)
