"""The calendar file, against RFC 5545 (from memory: 3.1 folding, 3.6.1 events, 3.8.2.2 DTEND), and the checklist."""

from html.parser import HTMLParser
from pathlib import Path

import icalendar
import pandas as pd
import pytest

from stitchlog import open_diary
from stitchlog.reports import plan
from tests.reports.plan.diaries import steady, write

DEMO = Path(__file__).parents[3] / "data_demo"
EVENTS = [
    "Owl; light, by night,Night 1,2026-04-02,2026-04-02,100",
    "Turn,,2026-04-28,2027-01-03,100,Otter",
    "Owl; light, by night,Night 2,2026-04-03,2026-04-05,100",
    "Twice,,2026-04-03,2026-04-05,100",
    "Twice,,2026-04-06,2026-04-08,100",
    "Æble-høst på ærø med blå øjne og flere bogstaver end der er plads til i én linje,,2026-04-03,2026-04-05,9",
]


@pytest.fixture
def made(tmp_path):
    def make(events, as_of="2026-03-31", pieces=("Otter,20300,14,1,2,,,2026-04-20",)):
        quoted = [row.replace("Owl; light, by night", '"Owl; light, by night"') for row in events]
        diary = write(tmp_path, steady("2025-09-13", 200, 100), list(pieces), quoted)
        return plan.calendar_file(plan.capacity(diary, "2026-04-01", "2026-04-30", as_of, paths=50))

    return make


def entries(data: bytes) -> dict[str, icalendar.Event]:
    return {str(e["summary"]): e for e in icalendar.Calendar.from_ical(data).walk("VEVENT")}


def test_lines_are_short_enough_and_end_as_the_standard_asks(made):
    data = made(EVENTS)
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    data.decode("utf-8")


def test_the_file_says_who_wrote_it_and_each_entry_when(made):
    text = made(EVENTS).decode("utf-8")
    assert "VERSION:2.0" in text and "PRODID:" in text
    assert text.count("DTSTAMP:20260331T000000Z") == text.count("BEGIN:VEVENT") == len(EVENTS) + 1


def test_days_are_whole_and_the_end_is_the_day_after(made):
    found = entries(made(EVENTS))
    night = found["Owl; light, by night: Night 1"]
    assert (str(night["dtstart"].dt), str(night["dtend"].dt)) == ("2026-04-02", "2026-04-03")
    assert b"DTSTART;VALUE=DATE:20260402" in made(EVENTS)
    turn = found["Turn"]
    assert (str(turn["dtstart"].dt), str(turn["dtend"].dt)) == ("2026-04-28", "2027-01-04")
    due = found["Otter is due"]
    assert (str(due["dtstart"].dt), str(due["dtend"].dt)) == ("2026-04-20", "2026-04-21")


def test_text_is_escaped(made):
    assert rb"SUMMARY:Owl\; light\, by night: Night 1" in made(EVENTS)


def test_importing_again_updates(made):
    before = {k: str(e["uid"]) for k, e in entries(made(EVENTS[:3])).items()}
    moved = [EVENTS[2].replace("2026-04-05", "2026-04-07").replace(",100", ",150"), EVENTS[1], EVENTS[0], EVENTS[5]]
    after = entries(made(moved, as_of="2026-04-01"))
    assert {k: str(after[k]["uid"]) for k in before} == before
    assert len({str(e["uid"]) for e in after.values()}) == len(after)
    assert after["Turn"]["sequence"] > 0
    data = made(EVENTS)
    assert data == made(EVENTS)
    assert len({line for line in data.split(b"\r\n") if line.startswith(b"UID")}) == len(EVENTS) + 1


def test_no_promise_makes_an_empty_calendar(made):
    assert b"VEVENT" not in made([], pieces=())


def test_the_last_day_holds_what_the_period_cuts_off(made):
    fit_end = entries(made(["Long,,2026-03-01,2026-06-30,9000"]))["Long"]["dtend"].dt
    assert pd.Timestamp(fit_end) == pd.Timestamp("2026-07-01")


def test_the_checklist_is_well_formed_and_holds_every_promise():
    ahead = plan.figures(open_diary(DEMO).at("2026-10-31"), paths=50)
    page = plan.checklist(ahead)
    open_tags: list[str] = []

    class Reader(HTMLParser):
        def handle_starttag(self, tag, attrs):
            if tag not in ("meta", "br"):
                open_tags.append(tag)

        def handle_endtag(self, tag):
            assert open_tags.pop() == tag

    Reader().feed(page)
    assert open_tags == []
    for text in [*ahead.fit.goals["label"], *ahead.prompts.rows["prompt"], *ahead.bag["piece"]]:
        assert text in page
    assert "@page" in page and "http" not in page and "src=" not in page


def test_names_cannot_break_the_checklist(tmp_path):
    diary = write(tmp_path, steady("2026-01-01", 90, 50), events=["<b>&Wild</b>,1 < 2,2026-04-01,2026-04-10,10"])
    page = plan.checklist(plan.figures(diary.at("2026-03-31"), paths=50))
    assert "<b>&Wild" not in page and "&lt;b&gt;&amp;Wild&lt;/b&gt;: 1 &lt; 2" in page
