"""The thread basket and the settings of the demo. A colour's code is its family's letter and a number of our own."""

from __future__ import annotations

# code, name, hex, skeins on hand
COLOURS = """
B03 first frost #DCE8F0 1
B07 milk sky #B9D3E6 1
B10 washed denim #8FB0CC 0.5
B12 kingfisher #2E8FB8 1.5
B14 deep channel #1F5D86 1.5
B18 midnight ferry #1B2F52 0.5
B21 slate roof #53697D 1
B24 ink pot #16203A 1
B27 harebell #7C97D1 0.5
B30 cold harbour #3F7796 0.5
G02 new willow #C9D98B 1
G05 lime peel #A3BF4B 0.5
G09 duckweed #6F9E46 2
G11 fern #4C7F3F 1
G15 holly #2C5A3A 0.75
G18 yew #1D3B2C 1
G22 river mint #9CCDB4 0.5
G25 bottle glass #2F7F6D 1
G28 lichen #B4B98A 0.75
G31 olive crate #757B3A 1
G34 reed bed #93934F 0.25
R04 rosehip #D8412F 0.5
R08 rowan berry #B8252B 0.5
R12 old brick #8F3A2E 1
R15 plum jam #5E1F33 0.25
R19 foxglove #C95C8C 0
R22 shell pink #F1C6C3 1.5
R26 rhubarb #DE7F84 0.25
R30 paper rose #E9A9A0 0.5
Y03 butter paper #F7E8B0 1
Y06 lemon rind #F2CF3B 0.5
Y10 lantern #F0A92B 1
Y13 honey jar #CF8A1E 0.5
Y16 straw hat #DDBB74 1
Y19 first light #FBDDA0 0.5
O02 apricot #F3B187 1
O05 fox #D06A24 1
O08 rust hinge #A54A1B 0.5
O11 ember #E6562A 0.5
O14 peach skin #F7CDA6 0.5
V04 lilac smoke #C7B6D8 0.5
V08 thistle #8E6BAF 0.5
V12 bramble #4F2C5E 0.75
V15 dusk #6D6A93 1
V18 sloe #2E2240 1
V21 heather tea #A98FB5 0.5
E03 oat #E3D3B4 2
E06 rope #C2A578 1
E09 otter #7A5435 0.75
E12 peat #4A3223 0.25
E15 bark #5F4A3A 1
E18 wet sand #A88B68 0.5
E21 hazel #94653A 0.5
E24 walnut #38261C 0
E27 toast #B98A5A 1
N01 salt #FBFAF5 2.5
N04 fog #DADCDA 1
N07 pewter #A3A8AB 0.5
N10 rain #73797F 1
N13 charcoal #3B4045 1
N16 lamp black #17181A 0.5
N19 moth wing #C9BFB0 0.5
N22 candle wax #F3EBDA 0.5
N25 ash #8C8780 0.5
"""

SETTINGS = """\
# Settings of this diary. Any line may be left out; the usual value then holds.

date_order = "iso"          # how other dates are written: "iso" (year-month-day only), "day-first" or "month-first"
week_start = "monday"

strand_length_cm = 45       # one length of thread, as cut
skein_length_m = 8
skein_strands = 6
tail_cm = 4                 # lost at each end of a length
method = "row"              # "row": half crosses out, crossed coming back; "each": every cross finished before the next
waste = 0.10                # thread lost to knots, trials and fraying, as a share
"""
