"""The papers say what the job says: each figure worked out anew and found in the text."""

from __future__ import annotations

import pytest

from basswright.papers import papers
from basswright.papers.blocks import Table
from basswright.papers.hearing import TABLE_DBA
from tests.papers.reading import bare, html_text, pdf_pages
from tests.papers.samples import SAMPLES

SHOWN = {
    "vented": {
        "quote": [
            # 349 + 279 + 57 + 4.20 + 12.90 + 24 parts; 4.75 h at 60; 20 % tax
            "Parts €726.10",
            "Labour, 4.75 h at €60.00 an hour €285.00",
            "Net total €1,011.10",
            "Tax, 20% €202.22",
            "Total €1,213.32",
            "6 m €9.50 €57.00",
            "Valid until 8 April 2026",
            "Tax number XX 000 111",
            "Corner Garage Sound · 4 Invented Lane, Sampleton · +00 000 0000",
            "116.2 dB promised, 80% of cases",
            "31.4 Hz promised, 80% of cases",
            "294 L 68 L taken by the box",
            "The total stays €186.68 below the budget of €1,400.00.",
            "Mono 400 the cheapest, the easiest to fit, €225.12 less 113.4 dB 36 Hz 318 L €988.20",
            "Depth 380 mm foot, 220 mm top",
        ],
        "fitting": [
            "Crimping tool for 25 mm²",
            "80 A; Tansy Loom Strip Eighty, Tansy Loom Strip Base",
            "within 450 mm of the battery plus",
            "Mass 24.5 kg",
            "both pairs of terminals in parallel",
            "battery plus (30)",
            "body, bare metal (31)",
            "left wheel arch 185 mm",
            # 24.5 kg at 9.80665 m/s2: 240.3 N
            "forwards, hard braking 217 N",
            "sideways, bends and swerves 169 N",
            "rearwards, pulling away 121 N",
            "forwards, crash at 20 g 4,810 N",
            "Rated to hold 6,000 N",
        ],
        "tuning": [
            # 31.62 V times 10^(x/20)
            "0 dBFS 31.62 V",
            "−5 dBFS 17.78 V",
            "−6 dBFS 15.85 V",
            "−10 dBFS 10.00 V",
            "45 Hz",
            "Low-pass 80 Hz, 24 dB per octave, Linkwitz-Riley",
            "Infrasonic filter 27 Hz, 24 dB per octave, Butterworth",
            "Polarity reversed",
            "Delay of the front speakers 4.20 ms",
            "46 Hz −4.5 dB 2.80",
            "31 Hz +1.5 dB 1.40",
        ],
        "customer": [
            "1.5 h",
            # E1 = 440 / 2^(41/12) = 41.2 Hz is the lowest open string at or above 31.4 Hz
            "the lowest string of a four-string bass guitar (about 41 Hz)",
            "It plays 1.2 dB louder than you asked for.",
            "Kept in 80% of cases",
            "Clean level at your ear 116.2 dB 118.4 dB 115.0 dB",
            "85 dB(A) 8 h 13 h",
            "100 dB(A) 15 min 24 min",
            # 118.4 dB less 34.5 dB at 40 Hz
            "118.4 dB of bass at 40 Hz alone reads only 84 dB(A)",
        ],
        "acceptance": [
            "at least 116.2 dB",
            "at most 31.4 Hz",
            "31.62 V",
            "at most 0.36 V",
            "at least 13.6 V",
            "58 A / 15 A",
            "at most 22 mA",
        ],
    },
    "built-in": {
        "quote": [
            "on request",
            "Items on request have no price yet and are not in the total: 1.",
            # 39 + 1.5 x 95 = 181.50; 8.25 % tax
            "Tax, 8.25% $14.97",
            "Total without the items on request $196.47",
            "The total is $46.47 above the budget of $150.00.",
            "Width 13 9/16 in",
            "Cones 1 × 8 in",
            "March 9, 2026",
        ],
        "fitting": [
            "built into the box",
            "not stated; weigh it",
            "none chosen; the box must not travel loose",
            "The mass is not stated, so the forces are not known",
            "17.7 ft",
            "a clip at least every 17 11/16 in",
            "Space: depth at the top, +3/16 in to spare; measure again",
        ],
        "tuning": [
            "The gain is set by ear.",
            "not needed for a closed box; off",
            "try both, keep the louder at the low-pass frequency",
        ],
        "customer": [
            "Do not play it with the engine off",
            "It plays 2.8 dB less loud than you asked for.",
            "the very lowest notes stay soft",
        ],
        "acceptance": ["at least 101.2 dB", "Promise kept"],
    },
    "crowded": {
        "quote": ["<angle> & $dollar #hash [x] *y* _z_", "€50,942.40", "31.25 h"],
        "fitting": [
            "Kestrel Fold Cell Ninety; Harrow Vane Rotor 180",
            "1/0 AWG",
            "idle, night, hot 58 A 32 A +11 A",
            "The fixing is rated below the crash force",
            "62 W with music",
        ],
        "tuning": [
            "tuning not stated; ask the supplier before full power",
            "Battery resistance estimated from its cold-cranking amps.",
        ],
        "customer": ["Parked, it starts again for about 21 days."],
        "acceptance": [
            "114.9 dB no",
            "30.5 Hz yes",
            "lower end −1.3 dB",
            "lower end +0.4 dB",
            "The promise was not kept",
            "Gain found low; set again.",
        ],
    },
}


CASES = [
    (job, name, text)
    for job, papers_shown in SHOWN.items()
    for name, texts in papers_shown.items()
    for text in texts
]


@pytest.fixture(scope="module")
def read(folders):
    """Text of each paper by job and name: from the PDF, and from the page."""
    return {
        (job, name): (
            "".join(pdf_pages(folders[job] / f"{name}.pdf")),
            html_text(folders[job] / f"{name}.html"),
        )
        for job, shown in SHOWN.items()
        for name in shown
    }


@pytest.mark.parametrize(("job", "name", "text"), CASES)
def test_the_figure_is_on_the_paper(read, job, name, text):
    printed, page = read[job, name]
    assert bare(text) in printed
    assert bare(text) in page


@pytest.mark.parametrize("job", tuple(SAMPLES))
def test_every_price_line_is_on_the_quote_with_its_amount(contexts, read, job):
    printed = read[job, "quote"][0]
    for line in contexts[job].quote.lines:
        assert bare(line.what) in printed
        if line.each:
            assert f"{line.count * line.each:,.2f}" in printed


@pytest.mark.parametrize("job", tuple(SAMPLES))
def test_totals_add_up_to_the_cent(contexts, job):
    quoted = contexts[job].quote
    lines = sum(round(line.count * line.each, 2) for line in quoted.lines)
    assert quoted.net_total == pytest.approx(lines, abs=0.005)
    assert quoted.net_total == pytest.approx(quoted.parts_total + quoted.labour_total, abs=0.005)
    assert quoted.total == pytest.approx(quoted.net_total + quoted.tax, abs=0.005)
    assert quoted.tax == pytest.approx(quoted.net_total * quoted.tax_share, abs=0.005)


@pytest.mark.parametrize("job", tuple(SAMPLES))
def test_every_row_has_a_cell_for_every_column(contexts, job):
    tables = [b for paper in papers(contexts[job]) for b in paper.blocks if isinstance(b, Table)]
    assert len(tables) > 8
    for table in tables:
        assert {len(row) for row in table.rows} == {len(table.columns)}


def test_gain_voltage_is_only_given_where_a_meter_can_reach_it(read):
    assert "31.60V" in read["crowded", "tuning"][0]
    assert "31.60V" not in read["built-in", "tuning"][0]
    assert "31.60V" not in read["built-in", "acceptance"][0]


def test_levels_of_the_hearing_table_rise(read):
    printed = read["vented", "customer"][0]
    places = [printed.index(f"{level:.0f}dB(A)") for level in TABLE_DBA]
    assert places == sorted(places)
