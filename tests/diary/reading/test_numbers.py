import pytest

from stitchlog.diary.reading import numbers
from stitchlog.diary.reading.problems import Wrong


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0", 0.0),
        ("120", 120.0),
        ("007", 7.0),
        ("+7", 7.0),
        ("-5", -5.0),
        ("\N{MINUS SIGN}5", -5.0),
        ("-0", 0.0),
        ("12.5", 12.5),
        (".5", 0.5),
        ("0.125", 0.125),
        ("1,234", 1234.0),
        ("1,234.5", 1234.5),
        ("1,234,567", 1234567.0),
        ("1 234", 1234.0),
        ("1\N{NO-BREAK SPACE}234", 1234.0),
        ("1\N{NARROW NO-BREAK SPACE}234,5", None),
        ("1'234", 1234.0),
        ("1\N{RIGHT SINGLE QUOTATION MARK}234.5", 1234.5),
        ("1.2345", 1.2345),
        ("1.234.567", 1234567.0),
        ("  42 ", 42.0),
    ],
)
def test_between_commas_a_point_is_the_decimal_mark(text, value):
    if value is None:
        with pytest.raises(Wrong):
            numbers.read(text)
    else:
        assert numbers.read(text) == value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12,5", 12.5),
        ("12.5", 12.5),
        ("0,125", 0.125),
        ("1.234,5", 1234.5),
        ("1 234,5", 1234.5),
        ("1,234,567", 1234567.0),
    ],
)
def test_between_semicolons_and_tabs_a_comma_may_be_the_decimal_mark(text, value):
    assert numbers.read(text, decimal_comma=True) == value


@pytest.mark.parametrize(
    ("text", "decimal_comma"),
    [("1.234", False), ("1.234", True), ("1,234", True), ("12.000", False), ("999,999", True)],
)
def test_a_thousand_is_never_read_as_a_thousandth(text, decimal_comma):
    with pytest.raises(Wrong) as fault:
        numbers.read(text, decimal_comma)
    assert fault.value.code == "unclear-number"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("nan", "bad-number"),
        ("inf", "bad-number"),
        ("1e999", "shortened-number"),
        ("1.2E+05", "shortened-number"),
        ("12abc", "bad-number"),
        ("12o", "bad-number"),
        ("1:15", "bad-number"),
        ("1,5", "bad-number"),
        ("12,34,567", "bad-number"),
        ("1 23", "bad-number"),
        ("1,234 567", "bad-number"),
        ("0x1F", "bad-number"),
        ("1_000", "bad-number"),
        ("\N{FULLWIDTH DIGIT ONE}2", "bad-number"),
        ("\N{ARABIC-INDIC DIGIT THREE}", "bad-number"),
        ("\N{SUPERSCRIPT TWO}", "bad-number"),
        ("\N{VULGAR FRACTION ONE HALF}", "bad-number"),
        ("(5)", "bad-number"),
        ("--5", "bad-number"),
        ("1.2.3", "bad-number"),
        ("-", "bad-number"),
        (".", "bad-number"),
        ("99999999999", "too-large"),
        ("9" * 400, "too-large"),
    ],
)
def test_what_is_no_number_is_refused(text, code):
    with pytest.raises(Wrong) as fault:
        numbers.read(text)
    assert fault.value.code == code
