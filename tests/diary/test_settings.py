"""What stitchlog.toml may say, and one clear line for what it may not."""

import tomllib

import pytest

from stitchlog.diary import settings
from stitchlog.errors import StitchlogError


def load(text: str | bytes) -> settings.Settings:
    return settings.parsed(text.encode() if isinstance(text, str) else text)


def test_without_a_file_the_usual_values_hold():
    assert load("") == settings.Settings()


def test_what_is_written_holds():
    text = '\ufeffdate_order = "DMY"\nwaste = 0.1\nskein_strands = 4\nweek_start = "Sunday"\n[next_up]\ndue = 5\n'
    read = load(text)
    assert (read.date_order, read.waste, read.skein_strands, read.week_start) == ("day-first", 0.1, 4, "sunday")
    assert read.next_up.due == 5.0 and read.next_up.habit == settings.NextUp().habit


@pytest.mark.parametrize("said", ["day-first", "D/M/Y", "dd/mm/yyyy"])
def test_the_order_of_dates_has_several_names(said):
    assert load(f'date_order = "{said}"').date_order == "day-first"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("waste =", "cannot be read as settings"),
        ("waste = 0.1\nwaste = 0.2", "cannot be read as settings"),
        (b"\xff\xfe", "cannot be read as settings"),
        ("colour = 1", "colour is not a setting; the settings are date_order"),
        ('date_order = "sideways"', '"day-first" or "month-first" or "iso"'),
        ("date_order = 5", "in double quotes"),
        ("week_start = []", "in double quotes"),
        ("language = true", "in double quotes"),
        ("waste = -1", "0 to 0.95"),
        ("waste = nan", "write a number"),
        ("skein_length_m = inf", "write a number"),
        ('strand_length_cm = "45"', "write a number"),
        ("strand_length_cm = true", "write a number"),
        ("skein_strands = 2.5", "write a whole number"),
        ("next_up = 5", r"write \[next_up\]"),
        ("[next_up]\nluck = 5", r"\[next_up\] luck is not a setting"),
        ("[next_up]\ndays = 0", r"\[next_up\] days is 0; write a whole number, 1 or more"),
        ("[[waste]]\n", "write a number"),
    ],
)
def test_what_cannot_be_is_said_in_one_line(text, says):
    with pytest.raises(StitchlogError, match=says) as refused:
        load(text)
    assert str(refused.value).startswith("stitchlog.toml: ") and "\n" not in str(refused.value)


def test_the_explained_file_names_every_setting_and_changes_none():
    text = settings.explained()
    assert load(text) == settings.Settings()
    set_ = "\n".join(line.removeprefix("# ") for line in text.splitlines() if " = " in line or line.startswith("["))
    # What was answered about a file is written by an import alone.
    assert {*tomllib.loads(set_)} == {*settings.Settings.__dataclass_fields__} - {"imports"}
    assert {*tomllib.loads(set_)["next_up"]} == {*settings.NextUp.__dataclass_fields__}
    assert load(set_).skein_strands == settings.Settings().skein_strands
