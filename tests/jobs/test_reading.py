"""Job files: what is read, what is refused, and in which words."""

from __future__ import annotations

from pathlib import Path

import pytest

from basswright.errors import InputError, InputErrors, NotFoundError, TooLargeError
from basswright.jobs import parse_job, read_job, sample_names, sample_text, write_job
from basswright.jobs.reading import LARGEST_BYTES

SAMPLE = sample_text()


def problems(text: str) -> dict[str, InputError]:
    """Return what is wrong with a job, by key."""
    with pytest.raises(InputErrors) as caught:
        parse_job(text)
    return {error.field: error for error in caught.value.errors}


def changed(old: str, new: str) -> str:
    """Return the sample with one passage replaced."""
    assert SAMPLE.count(old) == 1, old
    return SAMPLE.replace(old, new)


@pytest.mark.parametrize("name", sample_names())
def test_every_sample_reads_and_survives_being_written(name: str) -> None:
    job = parse_job(sample_text(name))
    assert parse_job(write_job(job)) == job
    assert "nvented" in job.car.name


def test_units_become_si_figures() -> None:
    job = parse_job(sample_text("suv"))
    assert job.car.load_space.width_floor_m == pytest.approx(41.5 * 0.0254, abs=1e-12)
    assert job.car.cabin.length_m == pytest.approx(106 * 0.0254, abs=1e-12)
    assert job.wish.luggage_keep_m3 == pytest.approx(12 * 0.3048**3, rel=1e-12)
    assert parse_job(SAMPLE).workshop.tax_share == pytest.approx(0.2)


def test_a_file_is_read_from_its_path_even_with_a_byte_order_mark(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(SAMPLE, encoding="utf-8-sig")
    assert read_job(file) == parse_job(SAMPLE)


def test_all_problems_are_told_at_once_with_their_keys() -> None:
    found = problems(
        """
        id = "Not An Id"
        titel = "x"
        [car]
        body = "boat"
        [car.load_space]
        kind = "hatchback"
        width_floor = 640
        width_above_arches_m = 1.2
        height = "-5 mm"
        depth_floor = "nan m"
        [car.load_space.opening]
        width = "3 parsec"
        [wish]
        budget = "lots"
        level = inf
        box_kinds = ["closed", "open"]
        """
    )
    assert "did you mean 'title'" in found["titel"].problem
    assert "did you mean 'width_above_arches'" in (
        found["car.load_space.width_above_arches_m"].problem
    )
    assert "unit is missing" in found["car.load_space.width_floor"].problem
    assert "640 mm" in found["car.load_space.width_floor"].allowed
    assert "parsec" in found["car.load_space.opening.width"].problem
    assert found["car.load_space.height"].value == "-5 mm"
    assert "more than 0 mm" in found["car.load_space.height"].allowed
    assert "not a length" in found["car.load_space.depth_floor"].problem
    assert "finite" in found["wish.level"].problem
    assert "vented" in found["wish.box_kinds"].allowed
    assert "hatchback" in found["car.body"].allowed
    assert "id" in found
    assert found["wish.low_limit"].problem.startswith("is missing")
    assert found["car.load_space.opening.height"].problem.startswith("is missing")
    assert found["car.cabin.length"].problem.startswith("is missing")


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('width_floor = "1010 mm"', 'width_floor = "1010"', "car.load_space.width_floor"),
        ('width_floor = "1010 mm"', "width_floor = true", "car.load_space.width_floor"),
        ('width_floor = "1010 mm"', 'width_floor = "9 km"', "car.load_space.width_floor"),
        ('width_floor = "1010 mm"', "width_floor = {a = 1}", "car.load_space.width_floor"),
        ('level = "117 dB"', 'level = "300 dB"', "wish.level"),
        ("budget = 1100", "budget = -1", "wish.budget"),
        ("budget = 1100", "budget = nan", "wish.budget"),
        ("budget = 1100", "budget = 1" + "0" * 400, "wish.budget"),
        ("budget = 1100", "budget = true", "wish.budget"),
        ("visible = true", "visible = 2", "wish.visible"),
        ('body = "hatchback" ', "body = 3 ", "car.body"),
        ("[wish.weights]", "[[wish.weights]]", "wish.weights"),
        ('certainty = "80 %"', 'certainty = "180 %"', "wish.certainty"),
        ('id = "demo-hatchback"', 'id = "../etc/passwd"', "id"),
        ('title = "Demo: five', 'titles = "x"\ntitle = "', "titles"),
    ],
)
def test_a_bad_value_is_told_at_its_key(old: str, new: str, key: str) -> None:
    assert key in problems(changed(old, new))


def test_the_kind_of_space_follows_from_the_body() -> None:
    job = parse_job(changed('kind = "hatchback"\n', ""))
    assert job.car.load_space.kind == "hatchback"


def test_an_unknown_kind_of_space_lists_the_kinds() -> None:
    found = problems(changed('kind = "hatchback"\n', 'kind = "bathtub"\n'))
    assert "estate" in found["car.load_space.kind"].allowed


def test_what_is_no_toml_names_the_line() -> None:
    with pytest.raises(InputError, match="line 1"):
        parse_job("this is not toml")


def test_a_file_too_deep_for_the_parser_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="not TOML"):
        parse_job("a = " + "[" * 100_000)


def test_a_whole_number_of_ten_thousand_digits_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="not TOML"):
        parse_job("a = " + "9" * 10_000)


def test_a_file_beyond_the_limit_is_refused_unread(tmp_path: Path) -> None:
    file = tmp_path / "huge.toml"
    with file.open("wb") as stream:
        stream.truncate(LARGEST_BYTES + 1)
    with pytest.raises(TooLargeError, match=r"huge\.toml"):
        read_job(file)


def test_bytes_that_are_no_utf8_are_told_with_their_line(tmp_path: Path) -> None:
    file = tmp_path / "old.toml"
    file.write_bytes(b'id = "x"\ntitle = "M\xfcller"\n')
    with pytest.raises(InputError, match="0xfc in line 2"):
        read_job(file)


@pytest.mark.parametrize("name", ["missing.toml", "."])
def test_a_path_that_cannot_be_read_is_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_job(tmp_path / name)


def test_an_empty_file_names_every_required_key_and_nothing_else() -> None:
    found = problems("")
    assert all(error.problem.startswith("is missing") for error in found.values())
    assert {"id", "title", "car.name", "car.body", "wish.level", "wish.budget"} <= set(found)


def test_origins_name_figures_by_their_keys() -> None:
    job = parse_job(
        SAMPLE
        + """
        [car.origins]
        "cabin.length" = { kind = "measured", low = "2460 mm", high = "98 1/2 in", note = "laser" }
        """
    )
    origin = job.car.origins["cabin.length_m"]
    assert (origin.kind, origin.low, origin.note) == ("measured", 2.46, "laser")
    assert origin.high == pytest.approx(98.5 * 0.0254)
    assert parse_job(write_job(job)) == job


@pytest.mark.parametrize(
    "line",
    [
        '"cabin.colour" = { kind = "measured" }',
        '"cabin.length" = "measured"',
        '"cabin.length" = { low = "1 m" }',
        '"cabin.length" = { kind = "guessed" }',
        '"cabin.length" = { kind = "measured", low = "1 kg" }',
        '"cabin.length" = { kind = "measured", lower = "1 m" }',
    ],
)
def test_a_bad_origin_is_told(line: str) -> None:
    found = problems(f"{SAMPLE}\n[car.origins]\n{line}\n")
    assert any(key.startswith('car.origins."cabin.') for key in found)


def test_a_sample_that_is_not_there_names_those_that_are() -> None:
    with pytest.raises(NotFoundError, match="estate"):
        sample_text("submarine")


def test_an_alternator_that_gives_more_at_idle_than_its_rating_is_refused() -> None:
    """Both figures cannot be right, and every charging balance would rest on the wrong one."""
    text = sample_text("hatchback").replace(
        '# alternator_idle = "60 A"', 'alternator_idle = "150 A"'
    )
    with pytest.raises(InputErrors, match=r"alternator_idle.*at most 120 A"):
        parse_job(text)


def test_an_empty_list_and_a_wrong_name_are_told_in_plain_words() -> None:
    """What is allowed is told, not how the program checks it."""
    text = sample_text("hatchback")
    kinds = '["closed", "vented", "passive-radiator", "bandpass"]'
    with pytest.raises(InputErrors, match=r"box_kinds: has 0 entries; allowed: at least 1"):
        parse_job(text.replace(kinds, "[]"))
    with pytest.raises(InputErrors, match=r"id: .*allowed: small letters, digits and hyphens"):
        parse_job(text.replace('id = "demo-hatchback"', 'id = "Bad ID"'))


def test_a_space_in_a_saloons_cabin_needs_no_boot() -> None:
    """A console box plays into the cabin; nobody has to measure the boot for it."""
    head, _, rest = sample_text("saloon").partition("[car.load_space]")
    tail = rest[rest.index("[car.cabin]") :]
    space = """[car.load_space]
kind = "console"
length = "600 mm"
width_front = "280 mm"
width_rear = "320 mm"
height_front = "300 mm"
height_rear = "350 mm"
[car.load_space.opening]
width = "700 mm"
height = "700 mm"
"""
    assert parse_job(head + space + tail).car.cabin.boot_volume_m3 == 0


def test_a_currency_is_three_capitals() -> None:
    """It stands beside every price of every paper."""
    text = sample_text("hatchback").replace('currency = "EUR"', 'currency = "???"')
    with pytest.raises(InputErrors, match=r"workshop.currency: .*such as EUR"):
        parse_job(text)


def test_a_figure_estimated_from_a_refused_reading_is_not_told_too() -> None:
    text = SAMPLE.replace('height = "1160 mm"', 'height = "-1160 mm"')
    with pytest.raises(InputErrors) as caught:
        parse_job(text)
    assert [error.field for error in caught.value.errors] == ["car.cabin.height"]
