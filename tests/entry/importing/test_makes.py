"""Workbooks of different makes give back the one life that they were made from, and a second import changes nothing."""

import datetime as dt

import pytest

from stitchlog import open_diary
from stitchlog.entry import importing
from tests.entry.importing import makes

TODAY = dt.date(2026, 4, 1)


def bytes_of(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file() and not p.name.startswith(".")}


@pytest.mark.parametrize("make", makes.MAKES, ids=lambda make: make.__name__)
def test_it_gives_back_the_life_it_was_made_from(make, tmp_path):
    file, folder = make(tmp_path), tmp_path / "diary"
    was = file.read_bytes()
    proposal = importing.read(file, folder, today=TODAY)
    assert proposal.questions == ()
    importing.apply(folder, proposal, TODAY)
    assert file.read_bytes() == was

    diary = open_diary(folder)
    told = zip(
        diary.sessions["piece"], diary.sessions["date"].dt.date, diary.sessions["stitches"].round(4), strict=True
    )
    assert sorted(told) == sorted(makes.LIFE)
    totals = dict(zip(diary.pieces["piece"], diary.pieces["total"], strict=True))
    assert set(totals) == set(makes.TOTALS)
    assert {p: t for p, t in totals.items() if t == t} in ({}, makes.TOTALS)
    assert not diary.left_out.shape[0]

    before = bytes_of(folder)
    again = importing.read(file, folder, today=TODAY)
    found = importing.difference(folder, again)
    assert found.nothing and found.known == len(makes.LIFE) and not found.changed
    importing.apply(folder, again, TODAY)
    assert bytes_of(folder) == before
