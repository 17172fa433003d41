"""The commands: Car, Wish, Options, System, Papers, Proof from a terminal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from basswright import __version__
from basswright.cli import (
    catalogue_commands,
    codes,
    job_commands,
    measure_commands,
    proof_commands,
    signal_commands,
    tuning_commands,
    workshop_commands,
)
from basswright.cli.work import (
    open_catalogue,
    read_job,
    steps,
    workshop_logo,
    write_data,
    write_json,
)

app = typer.Typer(
    name="basswright",
    help="Choose a ready-made bass enclosure and its amplifier for one particular car.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
app.add_typer(catalogue_commands.app, name="catalogue")
app.add_typer(job_commands.app, name="job")
app.add_typer(workshop_commands.app, name="workshop")
app.add_typer(signal_commands.app, name="signal")
app.add_typer(measure_commands.app, name="measure")
app.add_typer(proof_commands.app, name="proof")
app.command("tune")(tuning_commands.tune)

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="job file (TOML)")]
OptionName = Annotated[str, typer.Argument(metavar="OPTION", help="its number or its id")]
AsJson = Annotated[bool, typer.Option("--json", help="print JSON by the documented schema")]
Store = Annotated[
    str | None, typer.Option("--store", help="database address; default: the user's own")
]


@app.callback(invoke_without_command=True)
def _root(
    version: Annotated[bool, typer.Option("--version", help="print the version")] = False,
) -> None:
    if version:
        typer.echo(f"basswright {__version__}")
        raise typer.Exit


@app.command()
def options(
    job: JobFile,
    most: Annotated[int, typer.Option(min=1, max=200, help="how many systems to show")] = 12,
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Whole priced systems for this car, best first, and what was left out and why.

    Leaves with 3 when no system meets every wish and the nearest are shown.
    """
    from basswright import stages

    the_job = read_job(job)
    snapshot = open_catalogue(store)
    with steps(quiet=as_json) as on_step:
        found = stages.options(the_job, snapshot, most=most, on_step=on_step)
    if as_json:
        write_json(found)
    else:
        from rich.console import Console

        from basswright.cli import show

        show.options(Console(highlight=False), found)
    raise typer.Exit(codes.DONE if found.wish_met else codes.WISH_NOT_MET)


@app.command()
def system(job: JobFile, option: OptionName, as_json: AsJson = False, store: Store = None) -> None:
    """One option in depth: fit, response, amplifier match, supply, price."""
    from basswright import stages

    the_job = read_job(job)
    snapshot = open_catalogue(store)
    with steps(quiet=as_json) as on_step:
        found = stages.system(the_job, snapshot, option, on_step=on_step)
    if as_json:
        write_json(found)
    else:
        from rich.console import Console

        from basswright.cli import show

        show.system(
            Console(highlight=False), found.option, found.prediction, the_job.workshop.currency
        )


@app.command()
def papers(
    job: JobFile,
    option: OptionName,
    out: Annotated[Path, typer.Option(help="folder to write into")] = Path("out"),
    language: Annotated[
        str, typer.Option(help="of the papers, such as en, de, de-CH; default: the job's")
    ] = "",
    revision: Annotated[int, typer.Option(min=1, max=999, help="of these papers")] = 1,
    page: Annotated[bool, typer.Option("--html", help="as web pages as well")] = False,
    logo: Annotated[
        Path | None, typer.Option(help="SVG or PNG; default: the workshop's own")
    ] = None,
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Write quote, fitting sheet, tuning sheet, customer sheet and acceptance record."""
    from datetime import date

    from basswright import papers as paper
    from basswright import stages
    from basswright.papers.language import language as language_of

    the_job = read_job(job)
    if language:
        shop = the_job.workshop.model_copy(update={"language": language})
        the_job = the_job.model_copy(update={"workshop": shop})
    language_of(the_job.workshop.language)
    issue = paper.Issue(
        day=date.today(),
        revision=revision,
        formats=("pdf", "html") if page else ("pdf",),
        extras=paper.Extras(logo=workshop_logo(logo, store)),
    )
    snapshot = open_catalogue(store)
    with steps(quiet=as_json) as on_step:
        written = stages.papers(the_job, snapshot, option, out, issue=issue, on_step=on_step)
    if as_json:
        write_data([str(path) for path in written])
    else:
        for path in written:
            typer.echo(path)


@app.command()
def compare(
    job: JobFile,
    first: OptionName,
    second: Annotated[str, typer.Argument(metavar="OTHER", help="its number or its id")],
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Two options side by side, as figures and as heard."""
    from basswright import stages

    the_job, prepared = read_job(job), stages.prepare(open_catalogue(store))
    with steps(quiet=as_json) as on_step:
        systems = [
            stages.system(the_job, prepared, option, on_step=on_step) for option in (first, second)
        ]
    both = stages.compare(*systems)
    if as_json:
        write_json(both)
    else:
        from rich.console import Console

        from basswright.cli import show

        show.comparison(Console(highlight=False), both)


@app.command()
def tradeoffs(
    job: JobFile,
    option: Annotated[str, typer.Argument(metavar="[OPTION]", help="its number or its id")] = "1",
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """What room, cone, kind of box, power and load cost and bring in this car."""
    from basswright import stages

    the_job, snapshot = read_job(job), open_catalogue(store)
    with steps(quiet=as_json) as on_step:
        found = stages.tradeoffs(the_job, snapshot, option, on_step=on_step)
    if as_json:
        write_json(found)
    else:
        from rich.console import Console

        from basswright.cli import show_tradeoffs

        show_tradeoffs.tradeoffs(Console(highlight=False), found)


@app.command()
def feed(
    job: JobFile,
    option: OptionName,
    track: Annotated[Path | None, typer.Option(help="your own WAV or FLAC file")] = None,
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """What an option's supply does under music, and what would steady it."""
    from basswright import stages

    the_job, snapshot = read_job(job), open_catalogue(store)
    with steps(quiet=as_json) as on_step:
        system = stages.system(the_job, snapshot, option, on_step=on_step)
        found = stages.under_music(system, snapshot, track=track)
    if as_json:
        write_data([remedy.model_dump(mode="json") for remedy in found])
    else:
        for remedy in found:
            typer.echo(remedy.text)


@app.command()
def why(
    job: JobFile,
    enclosure: Annotated[str, typer.Argument(metavar="ENCLOSURE", help="id of the box")],
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Why a named box is not among the options, and what would let it in."""
    from basswright import stages

    found = stages.why(read_job(job), open_catalogue(store), enclosure)
    if as_json:
        write_json(found)
    else:
        typer.echo(found.text)


@app.command("app")
def in_browser(
    lan: Annotated[
        bool, typer.Option("--lan", help="share it in the workshop, by a link with a token")
    ] = False,
    port: Annotated[int, typer.Option(min=1, max=65535)] = 8765,
    open_browser: Annotated[bool, typer.Option("--open/--no-open", help="open a browser")] = True,
    store: Store = None,
) -> None:
    """The same job in a browser, on this machine."""
    from basswright import database, web

    web.serve(database.connect(store), lan=lan, port=port, open_browser=open_browser)
