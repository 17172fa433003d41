"""The PDF of every paper of three jobs: complete, within its edges, archivable, readable."""

from __future__ import annotations

import io
import re
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader
from pypdf.generic import ContentStream

from basswright.papers import papers
from basswright.papers.typesetting import FAMILY, in_family, pdf, pictures
from tests.papers.reading import bare, pdf_pages, words_of
from tests.papers.samples import SAMPLES

NAMES = ("quote", "fitting", "tuning", "customer", "acceptance")
JOBS = tuple(SAMPLES)
SIZES_MM = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}


def sheet(contexts, job, name):
    """Return one paper of a job before it is set."""
    return next(paper for paper in papers(contexts[job]) if paper.name == name)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("name", NAMES)
def test_no_word_is_lost(contexts, folders, job, name):
    text = "".join(pdf_pages(folders[job] / f"{name}.pdf"))
    missing = [word for word in words_of(sheet(contexts, job, name)) if bare(word) not in text]
    # A text that runs over a page is parted by foot and head.
    pages = pdf_pages(folders[job] / f"{name}.pdf")
    assert [word for word in missing if not _runs_over(bare(word), pages)] == []


def _runs_over(word: str, pages: list[str]) -> bool:
    return any(
        word[:cut] in first and word[cut:] in second
        for first, second in pairwise(pages)
        for cut in range(1, len(word))
    )


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("name", NAMES)
def test_every_page_says_which_job_revision_and_page_it_is(contexts, folders, job, name):
    head = contexts[job].head
    pages = pdf_pages(folders[job] / f"{name}.pdf")
    for index, page in enumerate(pages, start=1):
        assert bare(f"Job {head.number}") in page
        assert bare(f"Revision {head.revision}") in page
        assert bare(f"Page {index} of {len(pages)}") in page
        assert bare(head.workshop) in page


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("name", NAMES)
def test_paper_size_title_and_language(contexts, folders, job, name):
    reader = PdfReader(folders[job] / f"{name}.pdf")
    wanted = SIZES_MM[contexts[job].head.paper]
    for page in reader.pages:
        found = tuple(float(side) * 25.4 / 72 for side in page.mediabox[2:])
        assert found == pytest.approx(wanted, abs=0.1)
    paper = sheet(contexts, job, name)
    assert reader.metadata.title == f"{paper.title} – {paper.subtitle}"
    assert str(reader.trailer["/Root"]["/Lang"]).lower().startswith("en")


@pytest.mark.parametrize("name", NAMES)
def test_the_file_says_that_it_is_an_archive_and_an_accessible_document(folders, name):
    """ISO 19005-2 level A and ISO 14289-1, as identified in the metadata."""
    reader = PdfReader(folders["vented"] / f"{name}.pdf")
    told = reader.trailer["/Root"]["/Metadata"].get_data().decode()
    assert re.search(r"pdfaid:part>2<", told)
    assert re.search(r"pdfaid:conformance>A<", told)
    assert re.search(r"pdfuaid:part>1<", told)
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("name", NAMES)
def test_every_picture_has_words_for_those_who_cannot_see_it(contexts, folders, job, name):
    paper = sheet(contexts, job, name)
    wanted = {
        figure.alt
        for block in paper.blocks
        for figure in getattr(block, "items", ())
        if hasattr(figure, "alt")
    }
    found = _alternatives(PdfReader(folders[job] / f"{name}.pdf").trailer["/Root"])
    assert wanted <= found


def _alternatives(root) -> set[str]:
    found, waiting, seen = set(), [root["/StructTreeRoot"]], set()
    while waiting:
        element = waiting.pop()
        element = element.get_object() if hasattr(element, "get_object") else element
        if isinstance(element, list):
            waiting += element
        elif isinstance(element, dict) and id(element) not in seen:
            seen.add(id(element))
            if "/Alt" in element:
                found.add(str(element["/Alt"]))
            if "/K" in element:
                waiting.append(element["/K"])
    return found


def test_only_the_open_font_is_embedded(folders):
    names = {
        str(font.get_object()["/BaseFont"]).partition("+")[2]
        for page in PdfReader(folders["vented"] / "quote.pdf").pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert names
    assert all(name.startswith(FAMILY.replace(" ", "")) for name in names)


@pytest.mark.parametrize("job", JOBS)
def test_nothing_runs_over_the_edge_of_a_page(contexts, job):
    """The outer eight millimetres of every page stay white, and no page is empty."""
    drawn = {figure.name: figure.svg for figure in contexts[job].figures}
    for paper in papers(contexts[job]):
        for image in pictures(paper, contexts[job].head, drawn, pixels_per_inch=40):
            dark = np.asarray(Image.open(io.BytesIO(image)).convert("L")) < 250
            edge = int(8 / 25.4 * 40)
            inner = dark[edge:-edge, edge:-edge]
            assert dark.sum() == inner.sum(), paper.name
            assert inner[inner.shape[0] // 8 : -inner.shape[0] // 10].any(), paper.name


@pytest.mark.parametrize(("name", "size_mm"), [("plan", (130, 120)), ("side", (82.5, 65))])
def test_a_drawing_to_scale_is_printed_in_its_true_size(contexts, folders, name, size_mm):
    """The frame of each drawing is found again among the paths of the pages, in millimetres."""
    told = next(figure for figure in contexts["vented"].figures if figure.name == name)
    assert told.size_mm == size_mm
    # The inner frame stands 20 and 60 units, quarters of a millimetre, inside the drawing.
    wanted = (size_mm[0] - 40 / 4, size_mm[1] - 60 / 4)
    found = [
        (width * 25.4 / 72, height * 25.4 / 72)
        for page in PdfReader(folders["vented"] / "fitting.pdf").pages
        for width, height in _frames(page)
    ]
    assert any(np.allclose(size, wanted, atol=0.15) for size in found)


def _frames(page) -> list[tuple[float, float]]:
    """Return the sizes of the closed paths of a page and of the forms on it, in points."""
    found: list[tuple[float, float]] = []
    matrix = np.eye(3)
    stack = []
    points: list[np.ndarray] = []
    for operands, operator in _operations(page):
        if operator == b"q":
            stack.append(matrix)
        elif operator == b"Q":
            matrix = stack.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = (float(value) for value in operands)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif operator in (b"m", b"l"):
            points.append(np.array([float(operands[0]), float(operands[1]), 1.0]) @ matrix)
        elif operator in (b"S", b"f", b"B", b"n", b"s"):
            if len(points) >= 4:
                sides = np.ptp(np.array(points)[:, :2], axis=0)
                found.append((float(sides[0]), float(sides[1])))
            points = []
    return found


def _operations(page) -> list[tuple[list, bytes]]:
    """Return the drawing steps of a page, with those of its forms in their places."""
    reader, found = page.pdf, []

    def walk(stream, resources) -> None:
        for operands, operator in ContentStream(stream, reader).operations:
            if operator == b"Do":
                form = resources["/XObject"][operands[0]].get_object()
                if form["/Subtype"] == "/Form":
                    found.append(([], b"q"))
                    if "/Matrix" in form:
                        found.append((form["/Matrix"], b"cm"))
                    walk(form, form.get("/Resources", resources))
                    found.append(([], b"Q"))
            else:
                found.append((operands, operator))

    walk(page.get_contents(), page["/Resources"])
    return found


def test_several_threads_may_set_papers_at_once(contexts):
    told = contexts["built-in"]
    drawn = {figure.name: figure.svg for figure in told.figures}
    quote = papers(told)[0]
    with ThreadPoolExecutor(6) as threads:
        made = list(threads.map(lambda _: pdf(quote, told.head, drawn), range(24)))
    assert len(set(made)) == 1


def test_words_of_a_drawing_are_set_in_the_family_of_the_papers():
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg"><text font-family="Arial">a</text>'
        "<text style=\"font-family:'Courier New',monospace;fill:red\">b</text>"
        "<style>text { font-family: Georgia }</style></svg>"
    )
    found = in_family(drawing)
    assert "Arial" not in found
    assert "Courier" not in found
    assert "Georgia" not in found
    assert "fill:red" in found
    assert found.count(FAMILY) == 4
    assert ElementTree.fromstring(found).tag.endswith("svg")
