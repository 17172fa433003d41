"""A workshop's own settings are kept once and stand in every new job."""

from __future__ import annotations

import pytest

from basswright.errors import InputErrors
from basswright.jobs import parse_job, sample_names, sample_text
from basswright.jobs.own import (
    FILE,
    keep_logo,
    keep_workshop,
    own_logo,
    own_workshop,
    with_own_workshop,
)
from basswright.records.job import LabourTimes, Workshop


def test_a_workshop_that_kept_nothing_has_the_usual_settings(tmp_path):
    assert own_workshop(tmp_path / "new") == Workshop()
    assert own_logo(tmp_path / "new") == ""


def test_settings_are_kept_one_after_the_other(tmp_path):
    keep_workshop(tmp_path, {"name": 'The "Loud" Shed', "tax": "19 %"})
    kept = keep_workshop(tmp_path, {"valid_days": "14", "address": "Under the bridge 1"})
    assert kept == own_workshop(tmp_path)
    assert (kept.name, kept.tax_share, kept.valid_days) == ('The "Loud" Shed', 0.19, 14)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"nmae": "x"}, "did you mean 'name'"),
        ({"tax": "nineteen"}, "tax"),
        ({"valid_days": "-3"}, "valid_days"),
        ({"currency": "euro"}, "currency"),
    ],
)
def test_what_cannot_be_used_is_told_and_nothing_is_kept(tmp_path, changes, told):
    with pytest.raises(InputErrors, match=told):
        keep_workshop(tmp_path, {"name": "Shed", **changes})
    assert not (tmp_path / FILE).exists()


def test_a_file_that_was_spoilt_by_hand_is_told(tmp_path):
    (tmp_path / FILE).write_text('name = "x"\nrate = 3\n')
    with pytest.raises(InputErrors, match="rate"):
        own_workshop(tmp_path)


@pytest.mark.parametrize("sample", sample_names())
def test_a_new_job_begins_with_the_settings_and_loses_nothing_else(sample):
    own = Workshop(
        name='The "Loud" Shed # 2',
        address="Under the bridge 1",
        tax_share=0.19,
        language="de",
        labour=LabourTimes(fit_box_s=5400.0),
    )
    before = parse_job(sample_text(sample))
    after = parse_job(with_own_workshop(sample_text(sample), own))
    assert after.workshop == own
    assert after.model_copy(update={"workshop": before.workshop}) == before


def test_settings_are_put_into_a_job_that_has_no_such_table():
    text = sample_text().partition("# What goes on every paper")[0]
    assert "[workshop]" not in text
    own = Workshop(name="Shed", currency="USD")
    assert parse_job(with_own_workshop(text, own)).workshop == own


def test_remarks_beside_the_settings_stay():
    text = with_own_workshop(sample_text(), Workshop(lengths="inch"))
    assert 'lengths = "inch"                 # metric or inch' in text


def test_a_logo_is_kept_and_taken_away(tmp_path):
    keep_logo(tmp_path / "new", "<svg/>")
    assert own_logo(tmp_path / "new") == "<svg/>"
    keep_logo(tmp_path / "new", "")
    assert own_logo(tmp_path / "new") == ""
