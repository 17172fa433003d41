"""Sheets as suppliers send them: several languages, layouts and encodings, read without help.

All makers and things are invented. Every sheet tells of the same two boxes, so that one
expectation serves all.
"""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from openpyxl import Workbook

from basswright.catalogue.sheets import read_sheet
from basswright.records.amplifier import Amplifier
from basswright.records.enclosure import Cuboid, Enclosure

#: Name -> encoding and text. The first box is 640 x 380 x 350 mm, closed, for 300 W at
#: 4 ohm and 299 or 1,299; the second 550 x 360 x 340 mm, vented, for 250 W.
SHEETS = {
    "01_de.csv": (
        "cp1252",
        "Preisliste Herbst;;;;;;;;;;\n"
        "Stand: 01.10.;;;;;;;;;;\n"
        "Artikel;Hersteller;Bezeichnung;Bauart;Breite;Höhe;T"
        "iefe;Treiber Zoll;Belastbarkeit;Impedanz;Nettopreis\n"
        ";;;;(mm);(mm);(mm);;(W RMS);(Ohm);(€)\n"
        "4711;Demo Haus;Kiste A;geschlossen;640;380;350;12;300;4;1.299,00\n"
        "4712;Demo Haus;Kiste B;Bassreflex;550;360;340;10;250;2x4;299,90\n"
        '4713;Demo Haus;Kiste C;Bandpass;700;400;380;12 1/2";125-400;2;k.A.\n'
        "Summe;;;;;;;;;;1.598,90\n"
        "Alle Preise zzgl. MwSt.;;;;;;;;;;\n",
    ),
    "02_fr.csv": (
        "utf-8-sig",
        "Référence;Marque;Désignation;Type de caisson;Dimensions L x H x P"
        " (cm);Haut-parleur;Puissance RMS;Impédance;Poids (kg);Prix HT (€)\n"
        "F-1;Demo Maison;Boîte 1;clos;64 x 38 x 35;30 cm;300 W;4 Ω;17,5;1 299,00 €\n"
        "F-2;Demo Maison;Boîte 2;bass-reflex;55 x 36 x "
        "34;25 cm;250 W;double bobine 4 Ω;15,2;299,90 €\n"
        "F-3;Demo Maison;Boîte 3;passe-bande;70 × 4"
        "0 × 38;Ø 30 cm;125 à 400 W;2 Ω;n.c.;459 €\n",
    ),
    "03_es.txt": (
        "utf-8",
        "Código|Marca|Modelo|Tipo|Ancho (mm)|Alto (mm)|Fondo (mm)"
        "|Altavoz (pulgadas)|Potencia RMS (W)|Impedancia|Peso|PVP\n"
        'E1|Demo Casa|Caja 1|sellada|640|380|350|12"|300|4 ohm|17,5 kg|299,00 €\n'
        'E2|Demo Casa|Caja 2|bass reflex|550|360|340|10"|250|2+2 ohm|15 kg|1.249,50 €\n',
    ),
    "04_it.txt": (
        "utf-16",
        "Codice\tMarca\tModello\tTipo\tLarghezza mm\tAltezza mm\tProfondi"
        "tà mm\tDiametro woofer\tPotenza RMS\tImpedenza\tPeso kg\tPrezzo\n"
        "I1\tDemo Casa\tCassa 1\tchiusa\t640\t380\t350\t300 mm\t300 W\t4 Ω\t17,5\t299,00\n"
        "I2\tDemo Casa\tCassa 2\treflex\t550\t360\t340\t25"
        "0 mm\t250 W\tdoppia bobina 4 Ω\t15,2\t1.249,50\n",
    ),
    "05_pl.csv": (
        "cp1250",
        "Indeks;Producent;Nazwa;Typ obudowy;Szerokość [mm];Wysokość [mm];Głębokość [m"
        "m];Średnica głośnika;Moc RMS [W];Impedancja [ohm];Waga [kg];Cena netto [PLN]\n"
        'P1;Demo Dom;Skrzynia 1;zamknięta;640;380;350;12";300;4;17,5;1 299,00\n'
        'P2;Demo Dom;Skrzynia 2;bas-refleks;550;360;340;10";250;2x2;15,2;899,00\n',
    ),
    "06_us.csv": (
        "utf-8",
        "SKU,Brand,Model,Enclosure Type,W x H x D (in.),Sub Siz"
        "e,RMS Power,Nominal Impedance,Weight (lbs),Dealer,MSRP\n"
        'U1,Demo Home,Box 1,Sealed,"25 1/4 x 15 x 13-3/4'
        '","12""",300 Watts,4 Ohms,38.5,$199.00,$299.00\n'
        'U2,Demo Home,Box 2,Ported,"21.5"" x 14"" x 13.5"""'
        ',"10""",250W,Dual 4 Ohm,33,"$1,149.00","$1,499.00"\n'
        "U3,Demo Home,Box 3,Slot-Ported,25.25 x 15 x 13.75"
        ',"12 1/2""",125-400W RMS,2Ω,"40 lb","$249","$349"\n',
    ),
    "07_ch.csv": (
        "mac_roman",
        "Artikel-Nr.;Marke;Modell;Gehäuse;Abmessungen BxHxT in mm;Ch"
        "assis-Ø;Leistung (RMS);Anschlussimpedanz;Gewicht;Preis CHF\n"
        "C1;Demo Haus;Würfel 1;geschlossen;640x380x350;30 cm;300 W;4 Ω;17.5 kg;1'299.00\n"
        "C2;Demo Haus;Würfel 2;Bassreflex;550x360x340;25 cm;250 W;2 Ω;15.2 kg;CHF 899.–\n",
    ),
    "09_dwh.csv": (
        "utf-8",
        "Item;Manufacturer;Product;Type;Size (D x W "
        "x H) mm;Woofer;Power;Load;Weight;Net;Gross\n"
        "D1;Demo Home;Chest 1;closed box;350 x 640 x 3"
        '80;12";150–300 W;4 ohm;17,5 kg;299,00;355,81\n'
        "D2;Demo Home;Chest 2;vented;340 x 550 x 3"
        '60;10";≤ 250 W;2 ohm;15 kg;199,00;236,81\n',
    ),
    "11_units_row.csv": (
        "utf-8",
        "Nr;Marke;Modell;Typ;B;H;T;Ø;RMS;Z;Preis\n"
        ";;;;mm;mm;mm;cm;W;Ω;EUR\n"
        "K1;Demo Haus;Eins;geschlossen;640;380;350;30;300;4;299\n"
        "K2;Demo Haus;Zwei;Bassreflex;550;360;340;25;250;2;399\n",
    ),
    "12_nounit.csv": (
        "utf-8",
        "SKU,Brand,Model,Type,Width,Height,Depth,Woofer Size,RMS,Impedance,Price\n"
        "N1,Demo Home,One,Sealed,25.25,15,13.75,12,300,4,199\n"
        "N2,Demo Home,Two,Ported,21.5,14,13.5,10,250,2,249\n",
    ),
    "13_wedge.csv": (
        "utf-8",
        "Art.Nr.;Hersteller;Produktname;Prinzip;Breite mm;Höhe mm;Tiefe unten mm;Tiefe oben mm"
        ";Anzahl Chassis;Chassisgröße;RMS/Max;Max. Leistung;Impedanz (Ohm);EK netto;UVP brutto\n"
        "W1;Demo Haus;Keil 1;geschl.;640;380;350;2"
        "20;1;30cm;300/600 W;600 W;4;299,00;449,00\n"
        "W2;Demo Haus;Keil 2;BR;550;360;340;210;2;25cm;250/500 W;500 W;2;199,00;299,00\n",
    ),
    "15_pages.csv": (
        "utf-8",
        '"Item\n'
        'no.","Brand","Model\n'
        'name","Type","Width\n'
        '(mm)","Height\n'
        '(mm)","Depth\n'
        '(mm)","Driver\n'
        '(inch)","Power\n'
        'RMS (W)","Imp.\n'
        '(ohm)","Net price\n'
        '(EUR)"\n'
        "G1,Demo Home,G one,sealed,640,380,350,12,300,4,299\n"
        '"Item\n'
        'no.","Brand","Model\n'
        'name","Type","Width\n'
        '(mm)","Height\n'
        '(mm)","Depth\n'
        '(mm)","Driver\n'
        '(inch)","Power\n'
        'RMS (W)","Imp.\n'
        '(ohm)","Net price\n'
        '(EUR)"\n'
        "G2,Demo Home,G two,ported,550,360,340,10,250,2,399\n"
        ",,,,,,,,,Subtotal,698\n",
    ),
}


AMPLIFIERS = (
    "Artikel;Hersteller;Modell;Kanäle;Leistung an 4 Ohm (W RMS);Leistung an 2 Ohm;"
    "Gebrückt an 4 Ohm;Klasse;Sicherung;Preis\n"
    "V1;Demo Haus;Kraft 1;1;300;500;;D;60 A;299,00\n"
    "V2;Demo Haus;Kraft 2;2;2 x 75;2 x 120;240;AB;2 x 25 A;1.199,00\n"
    "V3;Demo Haus;Kraft 4;4;4 x 75 W;4 x 120 W;2 x 240 W;AB;40;399,00\n"
)


def _sheet(folder: Path, name: str, text: str, encoding: str) -> Path:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return path


def _is_the_first(box: object) -> None:
    assert isinstance(box, Enclosure)
    assert box.kind == "closed"
    assert (box.shape.width_m, box.shape.height_m) == pytest.approx((0.64, 0.38), abs=0.003)
    if isinstance(box.shape, Cuboid):
        assert box.shape.depth_m == pytest.approx(0.35, abs=0.001)
    else:
        assert (box.shape.depth_bottom_m, box.shape.depth_top_m) == (0.35, 0.22)
    assert box.driver.size_m == pytest.approx(0.3, abs=0.006)
    assert (box.power_high_w, box.load_ohm) == (300.0, 4.0)
    assert box.price in (199.0, 299.0, 1299.0)


def _is_the_second(box: object) -> None:
    assert isinstance(box, Enclosure)
    assert box.kind == "vented"
    assert (box.shape.width_m, box.shape.height_m) == pytest.approx((0.55, 0.36), abs=0.006)
    assert box.driver.size_m == pytest.approx(0.25, abs=0.006)
    assert (box.power_high_w, box.load_ohm in (1.0, 2.0)) == (250.0, True)


@pytest.mark.parametrize("name", list(SHEETS))
def test_a_sheet_is_read_rightly_without_any_correction(name: str, tmp_path: Path) -> None:
    """Language, order of the sides, units, decimal signs, encoding, totals and footnotes."""
    encoding, text = SHEETS[name]
    report = read_sheet(_sheet(tmp_path, name, text, encoding), kind="enclosures")
    _is_the_first(report.records[0])
    _is_the_second(report.records[1])
    if encoding not in ("utf-8", "utf-8-sig", "utf-16"):
        assert report.encoding == encoding
    if len(report.records) > 2:
        third = report.records[2]
        assert isinstance(third, Enclosure)
        assert third.power_low_w == 125.0


def test_what_a_row_lacks_is_still_refused_and_totals_are_not(tmp_path: Path) -> None:
    """A box without a price is refused; the line of totals and the footnote are told."""
    encoding, text = SHEETS["01_de.csv"]
    report = read_sheet(_sheet(tmp_path, "de.csv", text, encoding), kind="enclosures")
    assert (report.accepted, report.remarked, report.refused) == (1, 3, 1)
    told = {note.row: note for note in report.notes}
    assert told[7].column == "Nettopreis [EUR]"
    assert "totals" in told[8].problem
    assert "title" in told[9].problem


def test_a_retail_price_is_taken_only_without_a_net_one_and_said(tmp_path: Path) -> None:
    """The dealer's price goes before the list price; a retail price is told as one."""
    for name, price in (("06_us.csv", 199.0), ("09_dwh.csv", 299.0), ("13_wedge.csv", 299.0)):
        encoding, text = SHEETS[name]
        report = read_sheet(_sheet(tmp_path, name, text, encoding), kind="enclosures")
        assert report.records[0].price == price
        assert not any("retail" in text for text in report.assumptions)
    encoding, text = SHEETS["03_es.txt"]
    report = read_sheet(_sheet(tmp_path, "es.txt", text, encoding), kind="enclosures")
    assert any("retail or gross price" in text for text in report.assumptions)


def test_bare_lengths_get_the_only_possible_unit_and_it_is_said(tmp_path: Path) -> None:
    """Inches where only they hold the cones; without cones to tell, centimetres stay refused."""
    encoding, text = SHEETS["12_nounit.csv"]
    report = read_sheet(_sheet(tmp_path, "n.csv", text, encoding), kind="enclosures")
    assert any("'Width'" in told and "taken as in" in told for told in report.assumptions)
    either = (
        "Brand,Model,Type,Width,Height,Depth,Driver,Price\n"
        "Demo Home,One,sealed,30,25,20,4 in,100\nDemo Home,Two,sealed,31,26,21,4 in,100\n"
    )
    report = read_sheet(_sheet(tmp_path, "e.csv", either, "utf-8"), kind="enclosures")
    assert report.refused == 2
    assert "unit is missing" in report.notes[0].problem


def test_the_right_sheet_of_a_workbook_is_read(tmp_path: Path) -> None:
    """Merged headings, footnotes, totals, a date where a power stood; boxes and amplifiers."""
    book = Workbook()
    cover, a_day = book.active, datetime.date(2026, 5, 10)
    assert cover is not None
    for row in (["Demo Home price list"], ["Valid from", datetime.date(2026, 10, 1)], *[["x"]] * 9):
        cover.append(row)
    boxes = book.create_sheet("Boxes")
    heads = ["Item", "Brand", "Name", "Type", "W", "H", "D"]
    for row in (
        ["Demo Home price list 2026"],
        [],
        ["", "", "", "", "Outside (mm)", "", "", "Driver", "", "Electrical", "", "Price"],
        [*heads, "Size (in)", "Qty", "RMS (W)", "Ohm", "EUR net"],
        ["X1", "Demo Home", "Cube 1*", "sealed", 640, 380, 350, 12, 1, 300, 4, 299.0],
        ["X2", "Demo Home", "Cube 2", "ported", 550, 360, 340, 10, 2, 250, "2x4", 459.5],
        ["X3", "Demo Home", "Cube 3", "ported", 550, 360, 340, 10, 1, a_day, 4, 459.5],
        ["* while stocks last"],
        ["Total", *[None] * 10, 1217.5],
    ):  # fmt: skip
        boxes.append(row)
    boxes.merge_cells("E3:G3")
    boxes.column_dimensions["I"].hidden = True
    amplifiers = book.create_sheet("Amps")
    amplifiers.append(["Item", "Brand", "Name", "Channels", "RMS @ 4 ohm", "RMS @ 2 ohm", "EUR"])
    amplifiers.append(["A1", "Demo Home", "Amp 1", 1, 300, 500, 199])
    path = tmp_path / "book.xlsx"
    book.save(path)
    report = read_sheet(path, kind="enclosures")
    first, second = report.records
    _is_the_first(first)
    _is_the_second(second)
    assert isinstance(second, Enclosure)
    assert second.driver.count == 2
    (refusal,) = [note for note in report.notes if note.fate == "refused"]
    assert (refusal.row, refusal.problem[:6]) == (7, "a date")
    (amplifier,) = read_sheet(path, kind="amplifiers").records
    assert isinstance(amplifier, Amplifier)
    assert [each.power_w for each in amplifier.ratings] == [300.0, 500.0]


def test_amplifiers_with_powers_for_each_channel(tmp_path: Path) -> None:
    """Several channels and several fuses in one cell."""
    path = _sheet(tmp_path, "amps.csv", AMPLIFIERS, "cp1252")
    found = read_sheet(path, kind="amplifiers").records
    assert [each.id for each in found] == ["V1", "V2", "V3"]
    assert [each.fuse_a for each in found if isinstance(each, Amplifier)] == [60.0, 50.0, 40.0]
    assert all(isinstance(each, Amplifier) for each in found)
    second = found[1]
    assert isinstance(second, Amplifier)
    told = [(each.mode, each.load_ohm, each.power_w) for each in second.ratings]
    expected = [("per-channel", 4.0, 75.0), ("per-channel", 2.0, 120.0), ("bridged", 4.0, 240.0)]
    assert told == expected


def test_figures_that_contradict_each_other_are_told_at_import(tmp_path: Path) -> None:
    """A net volume greater than the outside is accepted with a remark that names it."""
    sheet = (
        "Brand,Model,Type,Width [mm],Height [mm],Depth [mm],Driver size,Net volume [L],Price\n"
        "Demo Foo,A1,sealed,400,350,300,10 in,30,100\nDemo Foo,A2,sealed,400,350,300,10 in,90,100\n"
    )
    report = read_sheet(_sheet(tmp_path, "v.csv", sheet, "utf-8"), kind="enclosures")
    assert (report.accepted, report.remarked, report.refused) == (1, 1, 0)
    (note,) = report.notes
    assert (note.row, note.column) == (3, "net_volume_m3")


def test_no_fraction_is_read_where_none_is_usual(tmp_path: Path) -> None:
    """300/600 W are two powers and not half a watt; as a sensitivity it is refused."""
    sheet = (
        "Brand,Model,Type,Width [mm],Height [mm],Depth [mm],Driver size,Power,Sensitivity,Price\n"
        "Demo Foo,A1,sealed,640,380,350,12 in,300/600 W,,100\n"
        "Demo Foo,A2,sealed,640,380,350,12 in,300,88/91,100\n"
    )
    report = read_sheet(_sheet(tmp_path, "f.csv", sheet, "utf-8"), kind="enclosures")
    (box,) = report.records
    assert isinstance(box, Enclosure)
    assert box.power_high_w == 300.0
    assert [note.fate for note in report.notes] == ["accepted with a remark", "refused"]


def test_a_guess_that_most_cells_speak_against_is_dropped(tmp_path: Path) -> None:
    """The woofer's name is no size; the next column that can be one is taken instead."""
    sheet = (
        "Brand,Model,Type,Width [mm],Height [mm],Depth [mm],Woofer model,Cone Ø,Max SPL,Price\n"
        "Demo Foo,A1,sealed,640,380,350,Thunder,12 in,121,100\n"
        "Demo Foo,A2,sealed,640,380,350,Rumble,10 in,122,100\n"
    )
    report = read_sheet(_sheet(tmp_path, "g.csv", sheet, "utf-8"), kind="enclosures")
    assert report.refused == 0
    sizes = [each.driver.size_m for each in report.records if isinstance(each, Enclosure)]
    assert sizes == pytest.approx([0.3048, 0.254])
    assert "Woofer model" in report.unused_columns
