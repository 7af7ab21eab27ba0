"""The tables as an open standard describes them, held against the general-purpose validator of that standard."""

import json
import shutil

import pytest
from frictionless import Package, system

from stitchlog.diary import descriptor, schema, store
from tests.conftest import DEMO


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("standard") / "demo"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("store", "reports", "photos", descriptor.FILE))
    store.ingest(folder)
    return folder


def faults(folder) -> list[list]:
    with system.use_context(trusted=True):
        report = Package(str(folder / descriptor.FILE)).validate()
    assert not report.errors, report.errors
    return report.flatten(["rowNumber", "fieldName", "type"])


def test_the_demo_diary_is_what_its_description_says(demo):
    package = json.loads((demo / descriptor.FILE).read_text("utf-8"))
    assert {r["path"] for r in package["resources"]} == {t.file for t in schema.TABLES if (demo / t.file).exists()}
    assert faults(demo) == []


def test_the_description_comes_from_the_definitions_of_the_reader(demo):
    package = json.loads((demo / descriptor.FILE).read_text("utf-8"))
    for resource in package["resources"]:
        table = next(t for t in schema.TABLES if t.file == resource["path"])
        required = {f["name"] for f in resource["schema"]["fields"] if f.get("constraints", {}).get("required")}
        assert required == set(table.required)
        for field in resource["schema"]["fields"]:
            assert field["description"].startswith(table.column(field["name"]).meaning)


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ("Otter,2026-13-01,5,", [3, "date", "type-error"]),
        ("Otter,2026-01-01,x,", [3, "stitches", "type-error"]),
        ("Otter,2026-01-01,-5,", [3, "stitches", "constraint-error"]),
        (",2026-01-01,5,", [3, "piece", "constraint-error"]),
        ("Otter,2026-01-01,5,,9", [3, "", "extra-cell"]),
    ],
)
def test_the_validator_finds_what_the_reader_leaves_out(tmp_path, row, fault):
    (tmp_path / "diary.csv").write_text(f"piece,date,stitches,mood\nOtter,2026-01-01,5,calm\n{row}\n")
    assert store.ingest(tmp_path).left_out == 1
    assert faults(tmp_path) == [fault]


def test_separators_decimal_commas_and_encodings_are_described_as_they_are(tmp_path):
    text = "Piece;date;stitches;note\r\nCafé;2026-01-01;12,5;naïve\r\n"
    (tmp_path / "diary.csv").write_bytes(text.encode("utf-16"))
    (tmp_path / "threads.csv").write_bytes("code;name\r\nB12;bleu d'été\r\n".encode("cp1252"))
    store.ingest(tmp_path)
    assert faults(tmp_path) == []


def test_days_in_another_order_are_described_as_days_in_any_form(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nOtter,13/04/2026,5\nOtter,2026-04-14,5\n")
    assert store.ingest(tmp_path).left_out == 0
    assert faults(tmp_path) == []


def test_it_is_not_written_again_where_it_says_nothing_new(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nOtter,2026-01-01,5\n")
    store.ingest(tmp_path)
    before = (tmp_path / descriptor.FILE).stat().st_mtime_ns
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nOtter,2026-01-01,6\n")
    store.ingest(tmp_path)
    assert (tmp_path / descriptor.FILE).stat().st_mtime_ns == before


def test_a_description_of_somebody_elses_is_left_alone(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nOtter,2026-01-01,5\n")
    (tmp_path / descriptor.FILE).write_text('{"name": "mine"}')
    store.ingest(tmp_path)
    assert (tmp_path / descriptor.FILE).read_text() == '{"name": "mine"}'
