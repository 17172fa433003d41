"""The catalogue from a terminal: import, check, make the demo range."""

from __future__ import annotations

from typing import Annotated

import typer

app = typer.Typer(help="What can be bought.", no_args_is_help=True)

Store = Annotated[
    str | None, typer.Option("--store", help="database address; default: the user's own")
]


@app.command("make-demo")
def make_demo(
    store: Store = None,
    seed: Annotated[int, typer.Option(help="another seed makes another range")] = 20,
) -> None:
    """Fill the store with the invented demo range."""
    from basswright import database
    from basswright.catalogue import demo
    from basswright.catalogue.store import Catalogue

    made = demo.make(seed)
    catalogue = Catalogue(database.connect(store))
    catalogue.replace(made.snapshot)
    for kind, count in catalogue.counts().items():
        typer.echo(f"{count:6d}  {kind}")
