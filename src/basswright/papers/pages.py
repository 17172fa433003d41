"""From a paper to an HTML page that stands alone: no script, no network, prints well."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

from basswright.papers.blocks import Paper
from basswright.papers.facts import Head
from basswright.papers.logo import is_png

if TYPE_CHECKING:
    from jinja2 import Template


def html(paper: Paper, head: Head, drawn: Mapping[str, str]) -> str:
    """Write one paper as a page.

    Parameters
    ----------
    paper : Paper
    head : Head
        Size of the paper.
    drawn : mapping of str to str
        SVG text of the figures, by name.

    Returns
    -------
    str
        HTML text. Drawings are shown as images, so that no script in one can run.
    """
    images = {name: _data_address(svg) for name, svg in drawn.items()}
    logo = head.logo if is_png(head.logo) or not head.logo else _data_address(head.logo)
    page = {"a4": "A4", "us-letter": "letter"}[head.paper]
    return _template().render(
        paper=paper, images=images, logo=logo, lang=paper.language, page_size=page
    )


def _data_address(svg: str) -> str:
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode()


@cache
def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("basswright.papers", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("paper.html")
