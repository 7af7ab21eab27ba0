"""The invented stitcher of the demo diary: pieces, colours, events and prompts, as plain data.

Everything here is made up. Colour codes are a letter for the family and a number of our own.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date


def day(text: str) -> date:
    return date.fromisoformat(text)


FIRST_DAY = day("2025-01-01")
LAST_DAY = day("2026-10-31")


@dataclass(frozen=True)
class Piece:
    """One row of pieces.csv, and how the stitcher is drawn to it: (from, weight), the last one at or before a day holds."""

    name: str
    total: int
    width: int
    height: int
    count: int
    over: int
    strands: int
    fabric: str
    fabric_colour: str
    tags: str
    palette: str = ""  # "code weight, code weight"; empty where the picture gives the chart
    pull: tuple[tuple[str, float], ...] = ()
    done_before: int = 0
    started: str = ""
    set_aside: str = ""
    due: str = ""
    want: str = ""
    motif: str = ""
    extras: str = ""  # any of: fractions, backstitch, knots, beads, so_far, minutes_only
    by_coverage: bool = False  # the total is left out and follows from width, height and coverage
    planned_start: str = ""
    chart_known: bool = False
    photos: tuple[str, ...] = field(default=())  # months (or "finish", "first") of which the last session has a picture


PIECES = (
    Piece("Harbour at First Light", 90000, 300, 300, 25, 1, 1, "evenweave", "#F3EFE3",
          "sea; ship; blue; full-coverage; home", motif="harbour", extras="so_far",
          pull=(("2025-01-01", 2.6), ("2025-07-01", 2.4), ("2026-01-01", 1.4), ("2026-02-01", 3.0), ("2026-06-01", 1.6),
                ("2026-10-01", 2.2)),
          done_before=63480, started="2022-09-10", want="0.20", chart_known=True,
          photos=("first", "2025-05", "2025-10", "2026-03", "2026-09", "2026-10")),
    Piece("Otter Creek", 0, 180, 150, 32, 2, 2, "linen", "#E8DFCB",
          "animal; river; water; green; home", motif="otter", extras="fractions backstitch",
          pull=(("2025-01-01", 2.0), ("2025-07-01", 2.6), ("2026-01-01", 1.2), ("2026-03-01", 2.6), ("2026-06-01", 1.8),
                ("2026-10-01", 2.4)),
          done_before=8610, started="2024-02-17", want="0.25", chart_known=True,
          photos=("first", "2025-05", "2025-11", "2026-05", "2026-09", "2026-10")),
    Piece("Salt Wind Sampler", 11400, 150, 190, 36, 2, 1, "linen", "#DDE3E2",
          "sea; word; border; blue; home",
          "B14 30, B21 22, B27 14, R08 9, E06 9, N07 8, G28 8", extras="backstitch",
          pull=(("2025-01-01", 2.0), ("2025-07-01", 2.2), ("2025-09-15", 6.0)), done_before=6240, started="2024-03-02"),
    Piece("Three Pears", 0, 84, 56, 14, 1, 2, "aida", "#FBF8EE",
          "fruit; small; green; gift; travel", motif="pears", chart_known=True,
          pull=(("2025-02-01", 2.6), ("2025-03-20", 9.0)), planned_start="2025-02-22",
          photos=("first", "2025-03", "finish")),
    Piece("Bramble Hare", 7865, 110, 130, 16, 1, 2, "aida", "#F2EBDD",
          "animal; fruit; leaf; green; home",
          "E09 20, E06 15, E21 13, V12 12, G11 12, G15 9, R15 6, N01 5, E12 5, V08 3", extras="fractions backstitch knots",
          pull=(("2025-01-25", 2.2), ("2025-05-18", 0.0), ("2026-03-07", 2.4), ("2026-06-01", 0.6), ("2026-10-01", 0.8)),
          planned_start="2025-01-25", set_aside="2025-05-18", want="0.08"),
    Piece("Kingfisher Bookmark", 1144, 26, 110, 22, 1, 1, "aida", "#F7F5EF",
          "bird; river; blue; small; travel; gift",
          "B12 34, B14 16, O05 18, N01 7, N16 5, G25 20",
          pull=(("2025-04-12", 1.4), ("2025-09-01", 4.0)), planned_start="2025-04-12", due="2025-09-30"),
    Piece("Moth and Moon", 0, 110, 110, 18, 1, 2, "aida", "#22263A",
          "night; moon; insect; dark-cloth; home", motif="moth", extras="beads", chart_known=True,
          pull=(("2025-07-12", 2.0), ("2025-10-01", 2.6), ("2025-12-01", 7.0), ("2026-03-02", 12.0)), planned_start="2025-07-12",
          photos=("first", "2025-09", "2025-11", "finish")),
    Piece("Fern Alphabet", 5230, 170, 90, 28, 1, 1, "evenweave", "#EFEFE6",
          "word; leaf; green; over-one", "G09 30, G11 30, G15 22, G02 18",
          pull=(("2025-09-06", 0.9), ("2025-11-15", 0.0)), planned_start="2025-09-06", set_aside="2025-11-15"),
    Piece("Small Hours Owl", 0, 72, 84, 14, 1, 2, "aida", "#E7EAF0",
          "bird; night; moon; winter; gift", motif="owl", extras="backstitch",
          pull=(("2025-10-18", 2.4), ("2025-12-01", 5.0), ("2026-01-12", 14.0)), planned_start="2025-10-18",
          due="2026-01-31", photos=("first", "2025-12", "finish")),
    Piece("Snail Mail", 624, 40, 32, 14, 1, 2, "aida", "#FFFDF5",
          "animal; small; gift; travel; word", "E18 34, E09 20, R04 16, B07 22, N13 8",
          pull=(("2026-01-06", 5.0), ("2026-01-29", 30.0)), planned_start="2026-01-06", due="2026-02-07"),
    Piece("Lemon Grove", 4158, 90, 84, 16, 1, 2, "aida", "#F9F4E4",
          "fruit; leaf; summer; yellow", "Y06 30, Y03 14, Y13 9, G09 18, G15 14, G05 9, N01 6",
          extras="minutes_only",
          pull=(("2026-01-13", 0.8), ("2026-06-10", 1.5), ("2026-09-01", 0.5)), planned_start="2026-01-13", by_coverage=True),
    Piece("Beetle Cabinet", 3136, 56, 56, 40, 1, 1, "linen", "#E4DCCB",
          "insect; small; over-one; travel", "G25 18, B14 14, V12 12, Y13 12, R12 10, N16 20, E12 8, B27 6", extras="backstitch",
          pull=(("2026-01-20", 0.45),), planned_start="2026-01-20", by_coverage=True),
    Piece("Teapot Weather", 0, 88, 92, 32, 2, 2, "linen", "#EDE6DA",
          "tea; weather; home; blue", motif="teapot", extras="backstitch knots", chart_known=True,
          pull=(("2026-01-27", 0.8), ("2026-06-15", 1.8), ("2026-08-15", 3.0), ("2026-10-01", 12.0)),
          planned_start="2026-01-27", photos=("first", "2026-07", "2026-09", "finish")),
    Piece("Marsh Heron", 12960, 120, 180, 28, 2, 2, "evenweave", "#E6E9E2",
          "bird; water; river; green; blue",
          "B21 20, B07 14, G28 14, G09 10, N07 11, N01 8, E18 9, N13 5, Y13 3, G31 6", extras="fractions minutes_only",
          pull=(("2026-03-14", 1.2), ("2026-08-01", 0.9)), planned_start="2026-03-14", want="0.12", by_coverage=True),
    Piece("Allotment Patchwork", 6400, 80, 80, 14, 1, 2, "aida", "#F4F1E6",
          "leaf; flower; summer; full-coverage; travel",
          "G05 16, G11 15, E09 14, R26 11, Y06 11, V08 10, G15 12, N01 11",
          pull=(("2026-04-11", 1.1), ("2026-07-20", 0.7)), planned_start="2026-04-11", want="0.05"),
    Piece("Winter Fox", 0, 90, 105, 28, 2, 2, "evenweave", "#26344A",
          "animal; fox; snow; winter; tree; dark-cloth", motif="fox", extras="backstitch beads", chart_known=True,
          pull=(("2026-06-01", 4.6), ("2026-07-05", 1.4), ("2026-08-05", 5.0), ("2026-10-01", 6.0)), planned_start="2026-06-03",
          due="2026-11-30", want="0.20",
          photos=("first", "2026-06", "2026-08", "2026-09", "2026-10")),
    Piece("Rowan Border", 0, 150, 150, 40, 2, 1, "linen", "#F1EADB",
          "tree; leaf; red; border; one-colour; travel", motif="rowan",
          pull=(("2026-09-01", 0.0),), planned_start="2026-09-01", want="0.10", due="2026-12-20", chart_known=True,
          photos=("first", "2026-09", "2026-10")),
    Piece("Plum Jam Label", 1260, 54, 42, 20, 2, 3, "evenweave", "#F6EFE2",
          "fruit; word; small; gift", "R15 38, V12 24, G11 16, G02 8, N13 14", extras="backstitch",
          pull=(("2026-10-12", 1.6),), planned_start="2026-10-12", due="2026-12-10"),
    Piece("Cloud Herd", 8840, 130, 100, 36, 2, 1, "linen", "#A9BFCB",
          "animal; weather; summer; white",
          "N01 34, N04 22, E03 12, N07 8, G09 10, G28 8, N16 6", by_coverage=True, chart_known=True),
)

# code, name, hex, skeins on hand
COLOURS = """
B03 first frost #DCE8F0 2
B07 milk sky #B9D3E6 3
B10 washed denim #8FB0CC 1
B12 kingfisher #2E8FB8 2
B14 deep channel #1F5D86 2
B18 midnight ferry #1B2F52 1
B21 slate roof #53697D 2
B24 ink pot #16203A 1
B27 harebell #7C97D1 1
B30 cold harbour #3F7796 1
G02 new willow #C9D98B 1
G05 lime peel #A3BF4B 1
G09 duckweed #6F9E46 3
G11 fern #4C7F3F 2
G15 holly #2C5A3A 2
G18 yew #1D3B2C 1
G22 river mint #9CCDB4 1
G25 bottle glass #2F7F6D 2
G28 lichen #B4B98A 2
G31 olive crate #757B3A 1
G34 reed bed #93934F 1
R04 rosehip #D8412F 1
R08 rowan berry #B8252B 2
R12 old brick #8F3A2E 1
R15 plum jam #5E1F33 1
R19 foxglove #C95C8C 0
R22 shell pink #F1C6C3 2
R26 rhubarb #DE7F84 1
R30 paper rose #E9A9A0 1
Y03 butter paper #F7E8B0 2
Y06 lemon rind #F2CF3B 1
Y10 lantern #F0A92B 1
Y13 honey jar #CF8A1E 1
Y16 straw hat #DDBB74 2
Y19 first light #FBDDA0 1
O02 apricot #F3B187 2
O05 fox #D06A24 2
O08 rust hinge #A54A1B 1
O11 ember #E6562A 0.5
O14 peach skin #F7CDA6 1
V04 lilac smoke #C7B6D8 1
V08 thistle #8E6BAF 1
V12 bramble #4F2C5E 1
V15 dusk #6D6A93 2
V18 sloe #2E2240 1
V21 heather tea #A98FB5 0.5
E03 oat #E3D3B4 2
E06 rope #C2A578 2
E09 otter #7A5435 2
E12 peat #4A3223 1
E15 bark #5F4A3A 1
E18 wet sand #A88B68 1
E21 hazel #94653A 1
E24 walnut #38261C 0
E27 toast #B98A5A 1
N01 salt #FBFAF5 4
N04 fog #DADCDA 2
N07 pewter #A3A8AB 1
N10 rain #73797F 1
N13 charcoal #3B4045 2
N16 lamp black #17181A 1
N19 moth wing #C9BFB0 1
N22 candle wax #F3EBDA 1
N25 ash #8C8780 0.5
"""

# event, part, starts, ends, target, piece, half_counts, kind, shared
EVENTS = [
    ("New Leaf January", "Week 1", "2026-01-05", "2026-01-11", "", "", "", "start", ""),
    ("New Leaf January", "Week 2", "2026-01-12", "2026-01-18", "", "", "", "start", ""),
    ("New Leaf January", "Week 3", "2026-01-19", "2026-01-25", "", "", "", "start", ""),
    ("New Leaf January", "Week 4", "2026-01-26", "2026-02-01", "", "", "", "start", ""),
    ("Gift shelf", "Snail Mail", "2026-01-05", "2026-02-07", "", "Snail Mail", "", "finish", ""),
    ("Gift shelf", "Plum Jam Label", "2026-10-12", "2026-12-10", "", "Plum Jam Label", "", "finish", ""),
    ("Lantern Ladder", "Rung 1", "2026-05-04", "2026-05-06", "210", "", "1", "target", ""),
    ("Lantern Ladder", "Rung 2", "2026-05-07", "2026-05-09", "240", "", "1", "target", ""),
    ("Lantern Ladder", "Rung 3", "2026-05-10", "2026-05-12", "270", "", "1", "target", ""),
    ("Lantern Ladder", "Rung 4", "2026-05-13", "2026-05-15", "300", "", "1", "target", ""),
    ("Lantern Ladder", "Rung 5", "2026-05-16", "2026-05-18", "330", "", "1", "target", ""),
    ("Lantern Ladder", "Rung 6", "2026-05-19", "2026-05-21", "360", "", "1", "target", ""),
    ("Lantern Ladder", "Rung 7", "2026-05-22", "2026-05-24", "390", "", "1", "target", ""),
    ("Winter Fox stitch-along", "Section 1", "2026-06-01", "2026-06-30", "1/6", "Winter Fox", "", "target", ""),
    ("Winter Fox stitch-along", "Section 2", "2026-07-01", "2026-07-31", "1/6", "Winter Fox", "", "target", ""),
    ("Winter Fox stitch-along", "Section 3", "2026-08-01", "2026-08-31", "1/6", "Winter Fox", "", "target", ""),
    ("Winter Fox stitch-along", "Section 4", "2026-09-01", "2026-09-30", "1/6", "Winter Fox", "", "target", ""),
    ("Winter Fox stitch-along", "Section 5", "2026-10-01", "2026-10-31", "1/6", "Winter Fox", "", "target", ""),
    ("Winter Fox stitch-along", "Section 6", "2026-11-01", "2026-11-30", "1/6", "Winter Fox", "", "target", ""),
    ("Length a Day", "September", "2026-09-01", "2026-09-30", "", "Rowan Border", "", "length", ""),
    ("Length a Day", "October", "2026-10-01", "2026-10-31", "", "Rowan Border", "", "length", ""),
    ("Length a Day", "November", "2026-11-01", "2026-11-30", "", "Rowan Border", "", "length", ""),
    ("Harvest Table weekend", "Friday to Sunday", "2026-09-25", "2026-09-27", "480", "", "", "target", ""),
    ("Owl Light fortnight", "Night 1-2", "2026-11-09", "2026-11-10", "120", "", "", "target", "no"),
    ("Owl Light fortnight", "Night 3-4", "2026-11-11", "2026-11-12", "120", "", "", "target", "no"),
    ("Owl Light fortnight", "Night 5-6", "2026-11-13", "2026-11-14", "150", "", "", "target", "no"),
    ("Owl Light fortnight", "Night 7-8", "2026-11-15", "2026-11-16", "150", "", "", "target", "no"),
    ("Owl Light fortnight", "Night 9-10", "2026-11-17", "2026-11-18", "180", "", "", "target", "no"),
    ("Owl Light fortnight", "Night 11-12", "2026-11-19", "2026-11-20", "180", "", "", "target", "no"),
    ("Owl Light fortnight", "Night 13-14", "2026-11-21", "2026-11-22", "210", "", "", "target", "no"),
    ("First Frost weekend", "Friday to Sunday", "2026-11-27", "2026-11-29", "360", "", "", "target", ""),
]

# event, prompt, needs, stitches
PROMPTS = [
    ("Harvest Table weekend", "Something ripe", "fruit", 40),
    ("Harvest Table weekend", "Feather or beak", "bird", 40),
    ("Harvest Table weekend", "By the water", "river; sea", 40),
    ("Harvest Table weekend", "Only one colour in the needle", "one-colour", 40),
    ("Harvest Table weekend", "A leaf turning", "leaf", 40),
    ("Harvest Table weekend", "Four paws", "animal", 40),
    ("Harvest Table weekend", "The oldest on the pile", "full-coverage home", 40),
    ("Harvest Table weekend", "Fits in a coat pocket", "small travel", 40),
    ("Harvest Table weekend", "The kettle is on", "tea", 40),
    ("Harvest Table weekend", "Six legs or eight", "insect", 40),
    ("Harvest Table weekend", "Stitched on the dark", "dark-cloth", 40),
    ("Harvest Table weekend", "Green on green", "green", 40),
    ("First Frost weekend", "Bare branches", "tree", 30),
    ("First Frost weekend", "Fur and whiskers", "animal", 30),
    ("First Frost weekend", "A light in the window", "home", 30),
    ("First Frost weekend", "Snow on the ground", "snow; winter", 30),
    ("First Frost weekend", "Red berries", "red; fruit", 30),
    ("First Frost weekend", "A present for somebody", "gift", 30),
    ("First Frost weekend", "Wings", "bird; insect", 30),
    ("First Frost weekend", "Ice on the river", "river water", 30),
    ("First Frost weekend", "Words of comfort", "word", 30),
    ("First Frost weekend", "Over one, in good light", "over-one; full-coverage", 30),
    ("First Frost weekend", "Something to begin", "weather white", 30),
    ("First Frost weekend", "Under the bridge", "bridge", 30),
]

SETTINGS = """\
# Settings of this diary. Any line may be left out; the usual value then holds.

date_order = "iso"          # how dates are written where they are not year-month-day: "iso", "day-first" or "month-first"
week_start = "monday"

strand_length_cm = 45       # one length of thread, as cut
skein_length_m = 8
skein_strands = 6
tail_cm = 4                 # lost at each end of a length
method = "row"              # "row": half crosses out, crossed coming back; "each": every cross finished before the next
waste = 0.10                # thread lost to knots, trials and fraying, as a share
"""
