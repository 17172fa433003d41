"""What goes into the papers: complete, documented, and all of it used."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from pydantic import BaseModel

from basswright.errors import InputError
from basswright.papers import Extras, PapersContext, TuningFacts, context, papers
from basswright.papers.pen import pen
from basswright.papers.writers import SHEETS
from basswright.records.system import PriceLine
from tests.papers.reading import words_of
from tests.papers.samples import SAMPLES, TODAY, vented

DOCUMENTED = Path(__file__).parents[2] / "docs" / "papers.md"


class Watched:
    """A record that notes which of its fields are read, by dotted path."""

    def __init__(self, record: BaseModel, path: str, read: set[str]) -> None:
        self.__dict__.update(_record=record, _path=path, _read=read)

    def __getattr__(self, name: str) -> object:
        value = getattr(self._record, name)
        path = f"{self._path}.{name}".lstrip(".")
        if name in type(self._record).model_fields:
            self._read.add(path)
            return _watched(value, path, self._read)
        return value

    @property
    def __class__(self) -> type:
        return type(self._record)


def _watched(value: object, path: str, read: set[str]) -> object:
    own = type(value).__module__.startswith("basswright.papers")
    if isinstance(value, BaseModel) and own:
        return Watched(value, path, read)
    if isinstance(value, tuple):
        return tuple(_watched(entry, path, read) for entry in value)
    return value


def fields_of(record: type[BaseModel], path: str = "") -> set[str]:
    """Return the dotted path of every field of the papers' own records."""
    found: set[str] = set()
    for name, field in record.model_fields.items():
        here = f"{path}.{name}".lstrip(".")
        found.add(here)
        for inner in _records_in(field.annotation):
            found |= fields_of(inner, here)
    return found


def _records_in(annotation: object) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation] if annotation.__module__.startswith("basswright.papers") else []
    inner = getattr(annotation, "__args__", ())
    return [record for entry in inner for record in _records_in(entry)]


def test_every_documented_field_is_rendered_and_nothing_else(contexts):
    read: set[str] = set()
    for told in contexts.values():
        watched = Watched(told, "", read)
        writer = pen(watched)
        for sheet in SHEETS:
            sheet(writer)
    # The pages themselves read these two, when they are set.
    read |= {"head.paper", "figures.svg"}
    assert read == fields_of(PapersContext)


def test_every_field_is_in_the_documentation():
    text = DOCUMENTED.read_text("utf-8")
    assert [path for path in sorted(fields_of(PapersContext)) if f"`{path}`" not in text] == []


def test_the_example_of_the_documentation_writes_the_papers(tmp_path, monkeypatch):
    code = re.search(r"```python\n(.*?)```", DOCUMENTED.read_text("utf-8"), re.DOTALL)[1]
    sample = vented()
    monkeypatch.chdir(tmp_path)
    names = {name: getattr(sample, name) for name in ("job", "option", "prediction", "drawings")}
    exec(code, names)
    assert len(names["paths"]) == 18
    assert names["paths"][0].read_bytes().startswith(b"%PDF")


def made(**changes):
    """Return the context of the plain sample with other arguments."""
    sample = vented()
    given = {"today": TODAY, "tuning": sample.tuning, "extras": sample.extras, **changes}
    drawings = given.pop("drawings", sample.drawings)
    return context(sample.job, sample.option, sample.prediction, drawings, **given)


def test_the_quote_is_valid_for_the_stated_days():
    assert made(today=date(2026, 2, 20), valid_days=14).head.valid_until == date(2026, 3, 6)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"revision": 0}, "revision"),
        ({"valid_days": -1}, "valid_days"),
        ({"drawings": {"front": "<svg/>"}}, "drawings"),
        ({"drawings": {"plan": "not a drawing"}}, r"drawings\.plan"),
        ({"drawings": {"plan": "<html/>"}}, r"drawings\.plan"),
        ({"drawings": {"plan": '<!DOCTYPE a [<!ENTITY b "c">]><svg>&b;</svg>'}}, r"drawings\.plan"),
        ({"drawings": {"plan": "<svg>" + " " * 5_000_001 + "</svg>"}}, r"drawings\.plan"),
        ({"extras": Extras(logo="<p/>")}, "logo"),
        ({"tuning": {"gain_voltage_v": 0.0, "low_pass_hz": 80.0}}, r"tuning\.gain_voltage_v"),
        ({"tuning": {"low_pass_hz": 80.0}}, r"tuning\.gain_voltage_v"),
        ({"tuning": {"gain_voltage_v": 3.0, "low_pass_hz": 80.0, "bass": 1}}, r"tuning\.bass"),
    ],
)
def test_what_cannot_be_used_is_refused_by_its_name(changes, named):
    with pytest.raises(InputError, match=named):
        made(**changes)


def test_a_prediction_that_is_not_finite_is_refused():
    sample = vented()
    level = sample.prediction.loudest_db.copy()
    level[3] = np.nan
    broken = replace(sample.prediction, loudest_db=level)
    with pytest.raises(InputError, match="loudest_db"):
        context(sample.job, sample.option, broken, {}, today=TODAY)


def test_a_prediction_without_bass_is_refused():
    sample = vented()
    high = replace(sample.prediction, frequency_hz=sample.prediction.frequency_hz * 100)
    with pytest.raises(InputError, match="third-octave"):
        context(sample.job, sample.option, high, {}, today=TODAY)


def test_settings_may_be_given_by_hand():
    told = made(tuning={"gain_voltage_v": 12.5, "low_pass_hz": 70.0})
    assert told.tuning == TuningFacts(gain_voltage_v=12.5, low_pass_hz=70.0)


def test_without_settings_plain_ones_follow_from_the_box():
    told = made(tuning=None).tuning
    assert (told.gain_voltage_v, told.low_pass_hz, told.front_high_pass_hz) == (31.6, 80.0, 80.0)
    # common practice, no source: an infrasonic corner at 0.8 of the 34 Hz tuning
    assert told.infrasonic_hz == 27.0
    assert told.polarity is None


def test_settings_of_the_tuning_room_are_taken_over_whole():
    told = made().tuning
    assert (told.bass_delay_s, told.front_delay_s, told.polarity) == (0.0, 0.0042, "reversed")
    assert [band.frequency_hz for band in told.bands] == [46.0, 63.5, 31.0]
    assert told.cautions == ("A tone at full level heats the coil: keep it short.",)


def test_bands_are_read_off_the_prediction_at_their_centres():
    sample = vented()
    told = made()
    frequency = sample.prediction.frequency_hz
    assert [band.frequency_hz for band in told.promise.bands] == [20, 25, 31.5, 40, 50, 63, 80, 100]
    for band in told.promise.bands:
        nearest = int(np.argmin(np.abs(np.log(frequency / band.frequency_hz))))
        assert band.level_db == pytest.approx(sample.prediction.loudest_db[nearest], abs=0.6)
        assert band.low_db < band.level_db < band.high_db
        at = sample.prediction.limit_index[nearest]
        assert band.limit == sample.prediction.limits[at]


def test_bands_outside_the_prediction_are_left_out():
    sample = vented()
    short = sample.prediction
    inside = (short.frequency_hz > 27) & (short.frequency_hz < 90)
    arrays = {
        name: value[inside] for name, value in vars(short).items() if isinstance(value, np.ndarray)
    }
    cut = replace(short, **arrays)
    told = context(sample.job, sample.option, cut, {}, today=TODAY)
    assert [band.frequency_hz for band in told.promise.bands] == [31.5, 40, 50, 63, 80]


def test_an_amplifier_that_senses_the_signal_needs_no_remote_wire():
    sample = vented()
    amplifier = sample.option.amplifier.model_copy(update={"signal_sensing": True})
    option = sample.option.model_copy(update={"amplifier": amplifier})
    told = context(sample.job, option, sample.prediction, {}, today=TODAY)
    assert "remote" not in {run.purpose for run in told.fitting.runs}


def test_labour_may_be_stated_in_minutes():
    sample = vented()
    lines = (
        PriceLine(what="Fit", count=90, unit="min", each=1.0, kind="labour"),
        PriceLine(what="Measure", count=0.75, unit="h", each=60.0, kind="labour"),
        PriceLine(what="Call-out", count=1, each=30.0, kind="labour"),
    )
    option = sample.option.model_copy(update={"lines": lines})
    told = context(sample.job, option, sample.prediction, {}, today=TODAY)
    assert told.quote.labour_h == pytest.approx(2.25)
    assert told.quote.labour_total == pytest.approx(165.0)


def test_work_at_no_charge_is_not_on_request():
    sample = vented()
    free = (PriceLine(what="Fit", count=2, unit="h", each=0.0, kind="labour"),)
    option = sample.option.model_copy(update={"lines": free})
    told = context(sample.job, option, sample.prediction, {}, today=TODAY)
    assert told.quote.on_request == 0
    words = words_of(papers(told)[0])
    assert "on request" not in words
    assert words.count("€0.00") > 2


@pytest.mark.parametrize("name", tuple(SAMPLES))
def test_labour_is_the_sum_of_the_stated_times(contexts, name):
    hours = {"vented": 4.75, "built-in": 1.5, "crowded": 31.25}
    assert contexts[name].quote.labour_h == pytest.approx(hours[name])
