from pathlib import Path

import pytest
from PIL import Image

from stitchlog import open_diary

PIECES = """\
piece,total,width,height,coverage,count,over,strands,fabric,done_before,started,finished,set_aside,due,want,tags
Tide Clock,3000,,,,25,1,1,evenweave,1200,2024-05-01,,,,,sea; blue
Fern Gate,,40,50,0.8,32,2,2,linen,,,,,,,leaf; green
Small Drum,260,,,,14,1,2,aida,,2025-12-28,2026-01-09,,,,gift; small
Night Bus,900,,,,18,1,2,aida,,,,2025-11-30,,0.2,night
Unsized,,,,,16,1,2,aida,50,,,,,,word
Paper Boat,400,,,,14,1,2,aida,,,,,2026-01-20,,sea
"""
DIARY = """\
piece,date,stitches,half,quarter,three_quarter,unpicked,so_far,backstitch,knots,beads,minutes,colours,photo,note
Tide Clock,2025-10-03,,,,,,1250,,,,40,B1; B2,photos/a.png,
Night Bus,2025-10-10,60,,,,,,,,,30,,,
Fern Gate,2025-11-02,100,10,4,4,,,,,,60,G1:40; G2,,First leaf
Tide Clock,2025-12-22,,,,,,1400,,,,100,B2,,
Fern Gate,2025-12-27,50,,,,12,,20,,,30,G1,,
Fern Gate,2025-12-27,30,,,,,,,,,,G3,,Evening light
Small Drum,2025-12-28,80,,,,,,,,,,R1,photos/b.png,
Unsized,2025-12-30,40,,,,,,,,,,,,
Fern Gate,2026-01-02,,,,,,,,,,45,,,
Tide Clock,2026-01-05,,,,,,1460,,,,,B3,photos/c.png,
Small Drum,2026-01-09,180,,,,,,,,,120,R1; R2,photos/d.png,Last stitch
Night Bus,2026-01-10,20,,,,,,,,,,,,
Fern Gate,2026-03-01,10,,,,25,,,3,2,15,,,
"""
EVENTS = """\
event,part,starts,ends,target,piece,half_counts,kind
Leaf along,Section 1,2025-12-20,2026-01-05,100,fern gate,,target
Leaf along,Section 2,2026-01-06,2026-02-05,100,Fern Gate,,target
New week,,2025-12-26,2026-01-01,,,,start
Boat week,,2026-01-01,2026-01-07,,Paper Boat,,start
Sea days,,2026-01-01,2026-01-07,40,,,target
"""
PROMPTS = """\
event,prompt,needs,stitches
Sea days,Salt on the air,sea,40
Sea days,Something green,green; gift,500
"""
THREADS = "code,name,hex,skeins\nR2,brick,#8F3A2E,1\n"


@pytest.fixture
def folder(tmp_path) -> Path:
    """A diary with fractions, counts to date, an estimated session, an unknown total and a piece nobody sized."""
    for name, text in (
        ("pieces", PIECES),
        ("diary", DIARY),
        ("events", EVENTS),
        ("prompts", PROMPTS),
        ("threads", THREADS),
    ):
        (tmp_path / f"{name}.csv").write_text(text, "utf-8")
    (tmp_path / "photos").mkdir()
    for name in "abcd":
        Image.new("RGB", (8, 6), "#8FAE5D").save(tmp_path / "photos" / f"{name}.png")
    return tmp_path


@pytest.fixture
def diary(folder):
    return open_diary(folder)


@pytest.fixture
def empty(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\n", "utf-8")
    return open_diary(tmp_path)
