"""A supplier's sheet by browser and by program: looked at, corrected once, taken in."""

from __future__ import annotations

import csv
import io
import re
import time
from pathlib import Path

import httpx
import pytest
from sqlalchemy import Engine

from basswright.catalogue.store import Catalogue
from basswright.errors import InputError
from basswright.web.catalogue_pages import grouped
from basswright.web.sheet_desk import Sheet, SheetDesk, safe_name

#: Three heads that say nothing: what they tell has to be told by a person.
HEAD = "C7;Marke;Modell;Bauart;Breite (mm);C11;Tiefe (mm);Chassis;Belastbarkeit;C16\n"
ROW = "DT-{0};Demo Foo;Thud {0};geschlossen;{1};360;300;12 in;125-400 W RMS;315,92\n"
SHEET = HEAD + "".join(ROW.format(i, "" if i % 10 == 3 else 600) for i in range(40))
CORRECTIONS = {"C7": "id", "C11": "shape.height [mm]", "C16": "price"}


def _upload(client: httpx.Client, text: str, name: str = "list.csv", **told: str) -> httpx.Response:
    files = {"file": (name, text.encode(), "text/csv")}
    return client.post("/catalogue/sheets", files=files, data={"kind": "enclosures", **told})


def _columns(page: str) -> dict[str, int]:
    """Return the number of each column of the form by its head."""
    named = re.findall(r'name="target-(\d+)" aria-label="([^"]+) tells"', page)
    return {head: int(number) for number, head in named}


def _wait(client: httpx.Client, address: str) -> str:
    for _ in range(200):
        if client.get(f"{address}/state").status_code == 204:
            return client.get(address).text
        time.sleep(0.05)
    raise AssertionError("the sheet was never done")


def test_a_sheet_is_looked_at_corrected_once_and_taken_in(
    client: httpx.Client, engine: Engine
) -> None:
    before = Catalogue(engine).counts()["enclosures"]
    shown = _upload(client, SHEET, supplier="Demo Trade")
    address = shown.url.path
    assert "No column tells" in shown.text
    assert "price" in shown.text
    numbers = _columns(shown.text)
    told = {}
    for head, target in CORRECTIONS.items():
        name, _, unit = target.partition(" ")
        told |= {f"target-{numbers[head]}": name, f"unit-{numbers[head]}": unit.strip("[]")}
    client.post(f"{address}/read", data=told)
    page = _wait(client, address)
    assert "Take in the 36 good rows" in page
    assert Catalogue(engine).counts()["enclosures"] == before
    report = list(csv.DictReader(io.StringIO(client.get(f"{address}/report.csv").text[1:])))
    assert [row["row"] for row in report if row["outcome"] == "refused"] == ["5", "15", "25", "35"]
    client.post(f"{address}/take", data={"partial": "true"})
    assert "36 new" in _wait(client, address)
    assert Catalogue(engine).counts()["enclosures"] == before + 36
    again = _upload(client, SHEET, supplier="Demo Trade")
    assert "No column tells" not in again.text
    assert "remembered" in again.text
    assert "Demo Trade" in client.get("/catalogue").text


def test_a_column_told_twice_is_said_beside_the_form(client: httpx.Client) -> None:
    shown = _upload(client, SHEET)
    numbers = _columns(shown.text)
    told = {f"target-{numbers[head]}": "price" for head in ("C16", "C7")}
    answer = client.post(f"{shown.url.path}/read", data=told)
    assert 'role="alert"' in answer.text
    assert client.get(f"{shown.url.path}/report.csv").status_code == 409


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("list.exe", SHEET, "no sheet"),
        ("list", SHEET, "no sheet"),
        ("list.csv", "nothing\nof use\n", "no heading"),
        ("list.xlsx", "no workbook", "list.xlsx"),
        ("list.json", "{", "list.json"),
        ("list.csv", "", "list.csv"),
    ],
)
def test_what_is_no_sheet_is_refused_in_words(
    client: httpx.Client, name: str, text: str, said: str
) -> None:
    answer = _upload(client, text, name)
    assert answer.status_code == 422
    assert said in answer.text
    assert "Traceback" not in answer.text


def test_a_kind_that_does_not_exist_is_refused(client: httpx.Client) -> None:
    assert _upload(client, SHEET, kind="../cars").status_code == 422


def test_a_sheet_that_is_gone_or_not_read_is_told(client: httpx.Client) -> None:
    assert client.get("/catalogue/sheets/0123456789abcdef").status_code == 404
    address = _upload(client, SHEET).url.path
    assert client.get(f"{address}/report.csv").status_code == 409
    assert client.post(f"{address}/take", data={}).status_code == 409


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("../../etc/passwd.csv", "passwd.csv"),
        ("C:\\temp\\list.CSV", "list.csv"),
        ("/.csv", "sheet.csv"),
        ("a/../..csv", "sheet.csv"),
        ("<b>\x00\n$(x).json", "b--- --x.json"),
        ("x" * 300 + ".xlsx", "x" * 80 + ".xlsx"),
    ],
)
def test_a_file_name_is_no_path(name: str, kept: str) -> None:
    found = safe_name(name)
    assert Path(found).name == found
    assert len(found) <= 86
    assert re.fullmatch(r"[\w -]+\.\w+", found)
    if "<" not in name:
        assert found == kept


def test_a_script_in_the_name_of_a_sheet_is_shown_as_text(client: httpx.Client) -> None:
    shown = _upload(client, SHEET.replace("C7", "<script>x</script>"), "<script>1.csv")
    assert "<script>x" not in shown.text
    assert "<script>1" not in shown.text
    assert "&lt;script&gt;" in shown.text


def test_only_so_many_sheets_stay_on_the_desk(engine: Engine) -> None:
    desk = SheetDesk(Catalogue(engine))
    about = Sheet(kind="enclosures", supplier="", name="list.csv")
    sheets = [desk.open(about, SHEET.encode()) for _ in range(9)]
    assert not sheets[0].file.exists()
    assert sheets[-1].file.exists()
    with pytest.raises(InputError):
        desk.open(about.model_copy(update={"name": "list.txt"}), b"\x00\x01")


def test_what_is_the_same_is_told_once(client: httpx.Client, tmp_path: Path) -> None:
    from basswright.catalogue.sheets import read_sheet

    file = tmp_path / "list.csv"
    file.write_text(SHEET, encoding="utf-8")
    found = grouped(read_sheet(file, kind="enclosures", mapping=CORRECTIONS).notes)
    refused = [group for group in found if group.first.fate == "refused"]
    assert [(group.count, group.rows) for group in refused] == [(4, "5, 15, 25, 35")]


def test_a_program_checks_and_takes_a_sheet(client: httpx.Client, engine: Engine) -> None:
    import json

    before = Catalogue(engine).counts()["enclosures"]
    data = {"kind": "enclosures", "supplier": "Demo Trade", "columns": json.dumps(CORRECTIONS)}

    def send(**more: str) -> httpx.Response:
        files = {"file": ("list.csv", SHEET.encode(), "text/csv")}
        return client.post("/api/catalogue/sheets", files=files, data={**data, **more})

    checked = send(check="true").json()
    assert (checked["rows"], checked["accepted"], checked["refused"]) == (40, 36, 4)
    assert checked["taken_in"] is False
    assert checked["columns"]["C11"] == "shape.height [mm]"
    whole = send()
    assert whole.status_code == 422
    assert "missing" in whole.json()["problems"][0]["message"]
    assert Catalogue(engine).counts()["enclosures"] == before
    taken = send(partial="true").json()
    assert (taken["taken_in"], taken["added"]) == (True, 36)
    assert send(partial="true").json()["same"] == 36
    assert Catalogue(engine).counts()["enclosures"] == before + 36


@pytest.mark.parametrize("columns", ["no json", "[1]", '{"a": 1}', '{"nobody": "price"}'])
def test_a_program_is_told_of_columns_that_make_no_sense(
    client: httpx.Client, columns: str
) -> None:
    files = {"file": ("list.csv", SHEET.encode(), "text/csv")}
    answer = client.post("/api/catalogue/sheets", files=files, data={"columns": columns})
    assert answer.status_code == 422
    assert answer.json()["message"]


def test_doubts_name_the_figures_that_clash(client: httpx.Client, engine: Engine) -> None:
    catalogue = Catalogue(engine)
    assert "None: the figures" in client.get("/catalogue/doubts").text
    box = next(each for each in catalogue.snapshot().enclosures if each.sensitivity_db)
    wild = box.model_copy(update={"sensitivity_db": 108.0, "low_limit_hz": 20.0})
    catalogue.update([wild])
    page = client.get("/catalogue/doubts").text
    assert box.id in page
    assert "108" in page
    assert client.get("/catalogue/doubts", params={"text": "no such word"}).text.count("<li") == 0
    told = client.get("/api/catalogue/doubts").json()
    assert {each["id"] for each in told} == {box.id}
    assert "contradiction" in {each["severity"] for each in told}
